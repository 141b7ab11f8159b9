// Package faultsheet plays sheets of mistakes that designers make, written
// from the user's side without a look at the rules, and tells of each whether
// what is found names its cause. Beside the mistakes stand variations with
// which nothing is wrong, and of which nothing may be found.
package faultsheet

import (
	"fmt"
	"os"
	"regexp"
	"strconv"

	"kitgauge/checker/finding"
	"kitgauge/checker/source"
)

// Case is a mistake, or a variation with which nothing is wrong, as a change
// of an example kit.
type Case struct {
	ID    string
	Group string
	Words string
	Kit   string
	// Patch and Catalogue are JSON Patches on the kit and on the catalogue of
	// the examples; nil where there is none.
	Patch, Catalogue *source.Node
	// Mirrored and Inches are changes of the whole kit, made after the patch.
	Mirrored, Inches bool
	// Causes are what the right finding is known by: one of them suffices.
	Causes []Cause
	Least  finding.Severity // that the right finding has to have
	// Remedy and CatalogueRemedy undo the mistake.
	Remedy, CatalogueRemedy *source.Node
	// Obey are the remedies of findings as somebody obeys them to the letter,
	// Rounds how often that is done, and Gone the finding that must then be
	// gone. Without Gone the cause has to be named before anything is obeyed.
	Obey   []Obedience
	Rounds int
	Gone   *Cause
}

// Cause is what a finding is known by.
type Cause struct {
	Place *regexp.Regexp // found in its place, in the path of the value, or in its message
	Says  *regexp.Regexp // found in its message or in its remedy
}

// Obedience is a remedy obeyed: where a finding is found by its cause, the
// patch is applied, $1 in it being what the first group of Says caught. A
// Shift adds that many mm to the lengths at these JSON Pointers instead.
type Obedience struct {
	Cause
	Patch *source.Node
	Shift []string
}

// Read reads a sheet.
func Read(file string) ([]Case, error) {
	text, err := os.ReadFile(file)
	if err != nil {
		return nil, err
	}
	docs, problems := source.Parse(file, text)
	if len(problems) > 0 {
		return nil, problems[0]
	}
	list := docs[0].Root.Get("cases")
	if list == nil {
		return nil, fmt.Errorf("%s: there are no cases", file)
	}
	var cases []Case
	for _, n := range list.Items {
		c, err := readCase(n)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", n.Pos(), err)
		}
		cases = append(cases, c)
	}
	return cases, nil
}

func readCase(n *source.Node) (c Case, err error) {
	c = Case{
		ID: word(n, "id"), Group: word(n, "group"), Words: word(n, "mistake") + word(n, "variation"), Kit: word(n, "kit"),
		Patch: n.Get("patch"), Catalogue: n.Get("catalogue"), Mirrored: n.Get("mirrored") != nil, Inches: n.Get("inches") != nil,
		Remedy: n.Get("remedy"), CatalogueRemedy: n.Get("catalogue_remedy"), Least: finding.Major, Rounds: 1,
	}
	if least := word(n, "severity"); least != "" {
		if c.Least, err = finding.ParseSeverity(least); err != nil {
			return c, err
		}
	}
	if rounds := word(n, "rounds"); rounds != "" {
		if c.Rounds, err = strconv.Atoi(rounds); err != nil {
			return c, err
		}
	}
	for _, m := range items(n, "cause") {
		cause, err := readCause(m)
		if err != nil {
			return c, err
		}
		c.Causes = append(c.Causes, cause)
	}
	if m := n.Get("gone"); m != nil {
		gone, err := readCause(m)
		if err != nil {
			return c, err
		}
		c.Gone = &gone
	}
	for _, m := range items(n, "obey") {
		cause, err := readCause(m)
		if err != nil {
			return c, err
		}
		o := Obedience{Cause: cause, Patch: m.Get("patch")}
		for _, at := range items(m, "shift") {
			o.Shift = append(o.Shift, at.Scalar)
		}
		c.Obey = append(c.Obey, o)
	}
	return c, nil
}

// readCause reads the two expressions; where one is left out, all fits.
func readCause(n *source.Node) (c Cause, err error) {
	if c.Place, err = regexp.Compile("(?i)" + word(n, "place")); err != nil {
		return c, err
	}
	c.Says, err = regexp.Compile("(?i)" + word(n, "says"))
	return c, err
}

func word(n *source.Node, key string) string {
	if m := n.Get(key); m != nil {
		return m.Scalar
	}
	return ""
}

func items(n *source.Node, key string) []*source.Node {
	if m := n.Get(key); m != nil {
		return m.Items
	}
	return nil
}

// Fits reports whether a finding is known by the cause.
func (c Cause) Fits(f *finding.Finding) bool {
	at := c.Place.MatchString(f.Place) || c.Place.MatchString(f.Identity) || c.Place.MatchString(f.Message)
	return at && c.Says.MatchString(f.Message+"\n"+f.Remedy)
}

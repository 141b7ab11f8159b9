// Package fill writes into a kit file what follows from the rest of it and is
// not stated: lengths, ties, markers, rows, amounts, and the smallest part of
// the catalogue that satisfies every rule. What stands is never changed.
//
// Nothing is known here that a rule knows: a length is what the rule asks for
// that wants it stated, and whether a part will do is found out by a check of
// the kit with that part in it.
package fill

import (
	"slices"
	"strings"
	"time"

	"kitgauge/checker"
	"kitgauge/checker/edit"
	"kitgauge/checker/facts"
	"kitgauge/checker/finding"
	"kitgauge/checker/source"
)

// Options says what is filled in.
type Options struct {
	Only []string      // names of groups; none is all
	Time time.Duration // that it may take; 0 sets no limit
}

// Filled is a file with what follows written into it.
type Filled struct {
	Text          []byte
	Before, After []*checker.Result // the file as it was, and as it is with Text
	Made          []Made
	Open          []Open
	Checks        int // how often the kit was checked
}

// Made is one thing that was written.
type Made struct {
	Group string
	Place string // "line 7"
	Says  string // what was written there
}

// Open is one thing that could not be written, and why.
type Open struct {
	Group, Place, Why string
}

// group is one sort of thing that is filled in.
type group struct {
	name, about string
	fill        func(*filler) error
}

// groups go in the order in which one rests on another.
var groups []group

func init() { // the functions look at groups themselves
	groups = []group{
		{"outlets", "outlets that lines use, and the others blanked", (*filler).outlets},
		{"bolt-count", "the number of the pump's bolts", (*filler).boltCount},
		{"parts", "the smallest fitting, conduit, fuse, cable and bolt that will do", (*filler).parts},
		{"free-lengths", "the least free length of each span", (*filler).freeLengths},
		{"ties", "ties along runs that nothing holds", (*filler).ties},
		{"cut-lengths", "the length to cut of each line", (*filler).cutLengths},
		{"elements", "the smallest metering element that will do", (*filler).elements},
		{"markers", "the number of the line at both of its ends", byRule("paperwork/line-marked", nil)},
		{"rows", "rows of the call-out sheet", (*filler).rows},
		{"revisions", "the revision of each document", byRule("paperwork/document-revision", nil)},
		{"first-fill", "the grease of the first fill", (*filler).firstFill},
		{"steps", "lines that a step of the procedure leaves out", byRule("procedure/every-line", nil)},
		{"parts-list", "the parts list, with spares", (*filler).partsList},
	}
}

// Groups lists what can be filled in, by name, with what it is.
func Groups() (names, abouts []string) {
	for _, g := range groups {
		names, abouts = append(names, g.name), append(abouts, g.about)
	}
	return names, abouts
}

// mostRounds is how often a kit is filled again because a part that was chosen
// first turned out not to do, once the rest was there.
const mostRounds = 6

// Kit fills in the kits of a file.
func Kit(c *checker.Checker, file string, text []byte, o Options) (*Filled, error) {
	spent := &budget{began: time.Now(), limit: o.Time}
	before, err := c.Check(file, text)
	if err != nil {
		return nil, err
	}
	out := &Filled{Text: text, Before: before, Checks: 1}
	for i, r := range before {
		if r.Facts == nil || givenUp(r) != "" {
			continue
		}
		best, err := document(c, r, o, spent)
		if err != nil {
			return nil, err
		}
		for _, changes := range best.batches {
			if out.Text, err = edit.Apply(out.Text, i, changes...); err != nil {
				return nil, err
			}
		}
		out.Made, out.Open = append(out.Made, best.made...), append(out.Open, best.open...)
		out.Checks += best.checks
	}
	out.Checks++
	out.After, err = c.Check(file, out.Text)
	return out, err
}

// document fills in one kit, again where a part that was chosen turns out not
// to do. Of all rounds the one counts that leaves least to be found.
func document(c *checker.Checker, r *checker.Result, o Options, spent *budget) (*filler, error) {
	config, err := c.Config(r.File)
	if err != nil {
		return nil, err
	}
	var best *filler
	checks, banned := 0, map[string]string{}
	for range mostRounds {
		f := &filler{checker: c, limit: config.Limit, was: weigh(r.Findings), root: r.Text.Root, now: r, banned: banned, chosen: map[string]choice{}, spent: spent}
		for _, g := range groups {
			if len(o.Only) > 0 && !slices.Contains(o.Only, g.name) {
				continue
			}
			if err := f.fillGroup(g); err != nil {
				return nil, err
			}
		}
		checks += f.checks
		if best == nil || f.burden() < best.burden() {
			best = f
		}
		if f.over != "" || !f.ban() {
			break
		}
	}
	best.checks = checks
	return best, nil
}

// filler fills in one kit.
type filler struct {
	checker *checker.Checker
	limit   func(id string) limit
	was     map[rulePlace]weight // what was found in the kit as it stood
	root    *source.Node         // the kit as it is now
	now     *checker.Result      // of its check
	batches [][]edit.Change      // that made it so; each names places of what the ones before it left
	group   string
	made    []Made
	open    []Open
	checks  int
	spent   *budget
	over    string            // why no more can be filled in, "" while it can
	chosen  map[string]choice // by what is chosen
	banned  map[string]string // what turned out not to do, with why, by what is chosen and option
}

// facts are those of the kit as it is now.
func (f *filler) facts() *facts.Kit { return f.now.Facts }

// try checks the kit with some changes made, and lets it be as it is.
func (f *filler) try(changes []edit.Change) (*source.Node, *checker.Result, error) {
	root, err := edit.Tree(f.root, changes...)
	if err != nil {
		return nil, nil, err
	}
	text := root.JSON()
	if f.over = f.spent.spend(len(text)); f.over != "" {
		return nil, nil, errOver
	}
	f.checks++
	results, err := f.checker.Check(f.now.File, text)
	if err != nil {
		return nil, nil, err
	}
	if f.over = givenUp(results[0]); f.over != "" {
		return nil, nil, errOver
	}
	return root, results[0], nil
}

// accept makes changes.
func (f *filler) accept(changes []edit.Change) error {
	if len(changes) == 0 {
		return nil
	}
	root, result, err := f.try(changes)
	if err != nil {
		return err
	}
	f.root, f.now = root, result
	f.batches = append(f.batches, changes)
	return nil
}

// note keeps what is to be said of a change.
func (f *filler) note(place, says string) {
	f.made = append(f.made, Made{f.group, place, says})
}

// lacks keeps what could not be written.
func (f *filler) lacks(place, why string) {
	f.open = append(f.open, Open{f.group, place, why})
}

// byRule makes the edits that the findings of a rule ask for, as far as nothing
// stands where they write. Where there are none, why says what is missing.
func byRule(rule string, why func(f *filler, place string) string) func(*filler) error {
	return func(f *filler) error {
		var changes []edit.Change
		for i := range f.now.Findings {
			found := &f.now.Findings[i]
			if found.Rule != rule {
				continue
			}
			fresh := f.fresh(found)
			for _, c := range fresh {
				f.note(found.Place, said(c))
			}
			if len(fresh) == 0 {
				reason := found.Message
				if why != nil {
					reason = why(f, found.Place)
				}
				f.lacks(found.Place, reason)
			}
			changes = append(changes, fresh...)
		}
		return f.accept(changes)
	}
}

// cutLengths states the length to cut of each line.
func (f *filler) cutLengths() error {
	return byRule("routing/cut-length-stated", func(f *filler, place string) string {
		for _, l := range f.facts().Lines {
			if l.Place() == place {
				return l.Needed.Reason("its way")
			}
		}
		return ""
	})(f)
}

// firstFill states the grease of the first fill.
func (f *filler) firstFill() error {
	return byRule("reservoir/first-fill-listed", func(f *filler, _ string) string {
		return f.facts().Pump.FirstNeed.Reason("what reservoir and lines take")
	})(f)
}

// fresh are the edits of a finding that change nothing that stands.
func (f *filler) fresh(found *finding.Finding) []edit.Change {
	var list []edit.Change
	for _, c := range found.Edits {
		if c.Do == edit.Insert || c.Do == edit.Set && f.empty(c.At) {
			list = append(list, c)
		}
	}
	return list
}

// empty reports whether nothing is stated at a place.
func (f *filler) empty(pointer string) bool {
	n := f.root.Lookup(pointer)
	return n == nil || n.Kind == source.Null
}

// said is what a change writes, in words: cut_length: 745 mm.
func said(c edit.Change) string {
	keys := source.Keys(strings.TrimSuffix(c.At, "/-"))
	return keys[len(keys)-1] + ": " + plain(c.Value)
}

// plain is a value of a change without the quotes of a text.
func plain(value string) string {
	if strings.HasPrefix(value, `"`) {
		return strings.Trim(value, `"`)
	}
	return value
}

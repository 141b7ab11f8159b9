package faultsheet

import (
	"bytes"
	"encoding/json"
	"fmt"
	"regexp"
	"strconv"
	"strings"

	"kitgauge/checker"
	"kitgauge/checker/faultcard"
	"kitgauge/checker/finding"
	"kitgauge/checker/report"
	"kitgauge/checker/source"
	"kitgauge/examples"
)

// day is that for which concessions are judged.
const day = "2026-11-25"

// catalogueFile is the catalogue of the examples.
const catalogueFile = "parts/winter.parts.yaml"

// first is how many findings somebody reads before doing something.
const first = 5

// Outcome says whether what was found is right.
type Outcome int

// The outcomes, from the best.
const (
	Right     Outcome = iota // the cause is among the first findings
	Late                     // it is behind others
	Weak                     // it is named at a severity that does not count
	Elsewhere                // something is found, and not the cause
	Missed                   // nothing is found
)

// String is the word used in the table.
func (o Outcome) String() string {
	return [...]string{"right", "late", "weak", "elsewhere", "missed"}[o]
}

// Verdict is what became of a case.
type Verdict struct {
	Outcome Outcome
	Said    string // the first finding, or what else is to be known
}

// Player plays cases. It is safe for use by several goroutines.
type Player struct {
	checker   *checker.Checker
	catalogue *source.Node
	kits      map[string]*source.Document
	order     order
}

// NewPlayer reads the examples.
func NewPlayer() (*Player, error) {
	p := &Player{checker: newChecker(examples.ReadFile), kits: map[string]*source.Document{}, order: order{}}
	for _, name := range []string{"gritter", "loader", "trailer"} {
		doc, err := checker.Clean(name)
		if err != nil {
			return nil, err
		}
		p.kits[name] = doc
		p.order.add(doc.Root, "")
	}
	text, err := examples.ReadFile("", catalogueFile)
	if err != nil {
		return nil, err
	}
	docs, problems := source.Parse(catalogueFile, text)
	if len(problems) > 0 {
		return nil, problems[0]
	}
	p.catalogue = docs[0].Root
	return p, nil
}

func newChecker(read func(kit, file string) ([]byte, error)) *checker.Checker {
	return checker.New(checker.Options{ReadFile: read, NoSettings: true, On: day})
}

// version is a kit with its catalogue, as text.
type version struct{ kit, catalogue []byte }

// faulty puts the mistake into the example.
func (p *Player) faulty(c *Case) (v version, err error) {
	clean := p.kits[c.Kit]
	if clean == nil {
		return v, fmt.Errorf("there is no example kit %q", c.Kit)
	}
	if v.kit, err = patched(c.Patch, clean.Root); err != nil {
		return v, err
	}
	if c.Catalogue != nil {
		if v.catalogue, err = patched(c.Catalogue, p.catalogue); err != nil {
			return v, err
		}
	}
	return v, nil
}

func patched(patch, node *source.Node) ([]byte, error) {
	if patch == nil {
		return node.JSON(), nil
	}
	return faultcard.Apply(patch, node)
}

// repatched applies a patch to text.
func repatched(patch *source.Node, text []byte) ([]byte, error) {
	docs, problems := source.Parse("patched", text)
	if len(problems) > 0 {
		return nil, problems[0]
	}
	return patched(patch, docs[0].Root)
}

// check checks a version and returns what is found, in the order in which it
// is printed.
func (p *Player) check(c *Case, v version) ([]finding.Finding, error) {
	var kit any
	if err := json.Unmarshal(v.kit, &kit); err != nil {
		return nil, err
	}
	if c.Mirrored {
		kit = mirror(kit)
	}
	if c.Inches {
		kit = Inches(kit)
	}
	var text bytes.Buffer
	p.order.write(&text, kit, "")
	by := p.checker
	if v.catalogue != nil {
		by = newChecker(func(kit, file string) ([]byte, error) {
			if strings.HasSuffix(file, catalogueFile) {
				return v.catalogue, nil
			}
			return examples.ReadFile(kit, file)
		})
	}
	results, err := by.Check(p.kits[c.Kit].File, text.Bytes())
	if err != nil {
		return nil, err
	}
	return printed(results[0].Findings), nil
}

// printed puts findings into the order of the terminal's sheet, where those
// that could not be evaluated for one reason make one entry.
func printed(list []finding.Finding) []finding.Finding {
	out := report.Standing(list, finding.Violated)
	seen := map[string]bool{}
	for _, f := range report.BySeverity(list, finding.NotEvaluated) {
		if !seen[f.Message] {
			seen[f.Message] = true
			out = append(out, f)
		}
	}
	return out
}

// Findings are those of a case, in the order in which they are printed.
func (p *Player) Findings(c *Case) ([]finding.Finding, error) {
	v, err := p.faulty(c)
	if err != nil {
		return nil, err
	}
	return p.check(c, v)
}

// Play plays a mistake.
func (p *Player) Play(c *Case) (Verdict, error) {
	v, err := p.faulty(c)
	if err != nil {
		return Verdict{}, err
	}
	found, err := p.check(c, v)
	if err != nil {
		return Verdict{}, err
	}
	if c.Gone != nil {
		return p.obeyed(c, v, found)
	}
	verdict := judge(c, found)
	if verdict.Outcome == Right || len(c.Obey) == 0 {
		return verdict, nil
	}
	return p.silenced(c, v, verdict)
}

// judge holds what was found against the cause.
func judge(c *Case, found []finding.Finding) Verdict {
	if len(found) == 0 {
		return Verdict{Missed, "nothing"}
	}
	verdict := Verdict{Elsewhere, describe(&found[0])}
	for i := range found {
		f := &found[i]
		if !c.caused(f) {
			continue
		}
		switch {
		case f.Severity >= c.Least && i < first:
			return Verdict{Right, describe(f)}
		case f.Severity >= c.Least:
			verdict = better(verdict, Verdict{Late, fmt.Sprintf("%d before it: %s", i, describe(&found[0]))})
		default:
			verdict = better(verdict, Verdict{Weak, describe(f)})
		}
	}
	return verdict
}

func better(a, b Verdict) Verdict {
	if b.Outcome < a.Outcome {
		return b
	}
	return a
}

func (c *Case) caused(f *finding.Finding) bool {
	for _, cause := range c.Causes {
		if cause.Fits(f) {
			return true
		}
	}
	return false
}

// silenced obeys all figures and tells whether the kit is then clean and
// still wrong.
func (p *Player) silenced(c *Case, v version, verdict Verdict) (Verdict, error) {
	for _, o := range c.Obey {
		kit, err := repatched(o.Patch, v.kit)
		if err != nil {
			return Verdict{}, err
		}
		v.kit = kit
	}
	found, err := p.check(c, v)
	if err != nil {
		return Verdict{}, err
	}
	if len(found) == 0 {
		return Verdict{Missed, "all figures obeyed, nothing is left and the kit is still wrong; at first " + verdict.Said}, nil
	}
	return verdict, nil
}

// obeyed obeys the first remedy that fits in each round, until the finding is
// gone.
func (p *Player) obeyed(c *Case, v version, found []finding.Finding) (Verdict, error) {
	for range c.Rounds {
		obedience, figure := c.remedy(found)
		if obedience == nil {
			return Verdict{Missed, "no finding whose remedy can be obeyed"}, nil
		}
		kit, err := obedience.apply(v.kit, figure)
		if err != nil {
			return Verdict{}, err
		}
		v.kit = kit
		if found, err = p.check(c, v); err != nil {
			return Verdict{}, err
		}
	}
	for i := range found {
		if c.Gone.Fits(&found[i]) {
			return Verdict{Elsewhere, "the remedy obeyed does not clear it: " + describe(&found[i])}, nil
		}
	}
	return Verdict{Right, "the remedy obeyed clears it"}, nil
}

// remedy is the first that can be obeyed, with the figure in it.
func (c *Case) remedy(found []finding.Finding) (*Obedience, string) {
	for i := range found {
		f := &found[i]
		for j := range c.Obey {
			o := &c.Obey[j]
			if !o.Fits(f) {
				continue
			}
			m := o.Says.FindStringSubmatch(f.Message + "\n" + f.Remedy)
			return o, m[len(m)-1]
		}
	}
	return nil, ""
}

func (o *Obedience) apply(kit []byte, figure string) ([]byte, error) {
	if o.Patch != nil {
		docs, problems := source.Parse("obeyed", bytes.ReplaceAll(o.Patch.JSON(), []byte("$1"), []byte(figure)))
		if len(problems) > 0 {
			return nil, problems[0]
		}
		return repatched(docs[0].Root, kit)
	}
	by, err := strconv.ParseFloat(figure, 64)
	if err != nil {
		return nil, err
	}
	docs, problems := source.Parse("shifted", kit)
	if len(problems) > 0 {
		return nil, problems[0]
	}
	var list []string
	for _, at := range o.Shift {
		was, err := strconv.ParseFloat(strings.TrimSuffix(docs[0].Root.Lookup(at).Scalar, " mm"), 64)
		if err != nil {
			return nil, err
		}
		list = append(list, fmt.Sprintf(`{"op": "replace", "path": %q, "value": "%g mm"}`, at, was+by))
	}
	shift, problems := source.Parse("shift", []byte("["+strings.Join(list, ",")+"]"))
	if len(problems) > 0 {
		return nil, problems[0]
	}
	return patched(shift[0].Root, docs[0].Root)
}

var spaces = regexp.MustCompile(`\s+`)

// describe tells a finding in one line.
func describe(f *finding.Finding) string {
	text := fmt.Sprintf("%s %s at %s: %s; %s", f.Severity, f.Rule, f.Place, f.Message, f.Remedy)
	if f.Status == finding.NotEvaluated {
		text = "not evaluated, " + text
	}
	const most = 200
	r := []rune(spaces.ReplaceAllString(strings.TrimSuffix(text, "; "), " "))
	if len(r) > most {
		return string(r[:most-3]) + "..."
	}
	return string(r)
}

// Package propose makes a kit of a survey: lines from the pump to every point
// along the stations that were found, elements by what each point needs,
// conduits by what goes into them, free lengths by how the bodies move, then
// the feed, the papers and the steps of the work. Every figure comes from the
// facts that rules look at, and every limit from the rules, so that what is
// proposed passes them. What only a person can decide is left open, marked at
// its place and listed.
package propose

import (
	"bytes"
	"fmt"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"kitgauge/checker"
	"kitgauge/checker/document"
	"kitgauge/checker/finding"
	"kitgauge/checker/survey"
)

// Options says where the kit will be, and which parts there are.
type Options struct {
	File       string   // of the kit that is proposed; its settings apply
	Catalogues []string // as the kit names them, relative to itself
	// ReadFile reads the catalogues; nil reads files of the operating system.
	ReadFile func(kit, file string) ([]byte, error)
	Time     time.Duration // that it may take; 0 sets no limit
}

// Open is what is left to a person.
type Open struct {
	Place string // in the trade's words, or the cell of the survey
	Says  string
	at    []string // JSON Pointers of the places in the kit; none for a cell
}

// Proposal is a kit that was made of a survey.
type Proposal struct {
	Text   []byte // of the kit file
	Open   []Open
	Result *checker.Result // the check of the kit
	Lines  int
	Ways   int    // bundles
	Parts  string // that were chosen, with the timer's setting
}

// Outside reports whether the kit has findings at or above its gate.
func (p *Proposal) Outside() bool {
	gate := finding.Major
	if p.Result.Gate != nil {
		gate = *p.Result.Gate
	}
	for _, f := range p.Result.Findings {
		if f.AtOrAbove(gate) {
			return true
		}
	}
	return false
}

// New proposes a kit. The error is that of the rule packs or the settings, of
// catalogues that cannot be read, or of a proposal that takes too long.
func New(part *survey.Part, o Options) (*Proposal, error) {
	p := &planner{part: part, options: o, began: time.Now(), checker: checker.New(checker.Options{ReadFile: o.ReadFile, Remember: true, Time: o.Time})}
	if err := p.begin(); err != nil {
		return nil, err
	}
	for _, decide := range []func(){
		p.chooseTube, p.lay, p.choosePump, p.fitEnds, p.fitConduits, p.freeLengths, p.tie, p.cut,
		p.dose, p.checkTube, p.adjust, p.cut, p.fillUp, p.chooseFeed, p.chooseBolts, p.withhold, p.listParts,
	} {
		if decide(); p.err != nil {
			return nil, p.err
		}
	}
	return p.proposal()
}

// proposal checks the kit, and marks what is open in it.
func (p *planner) proposal() (*Proposal, error) {
	r := p.check()
	if p.err != nil {
		return nil, p.err
	}
	root := p.document()
	if member(p.part.Header, "number") == nil {
		p.leave("the kit", pointer("header", "number"), giveNumber)
	}
	open := slices.Concat(p.openCells(), p.open, found(r.Findings))
	open = once(open)
	var unplaced []Open
	for _, what := range open {
		placed := false
		for _, at := range what.at {
			placed = mark(root, at, "open: "+what.Says) || placed
		}
		if !placed {
			unplaced = append(unplaced, what)
		}
	}
	var b bytes.Buffer
	document.YAML(&b, root)
	text := append(head(unplaced, b.String()), b.Bytes()...)
	return &Proposal{Text: text, Open: open, Result: r, Lines: len(p.lines), Ways: len(p.bundles), Parts: p.chosen()}, nil
}

// head is the beginning of the file: what it is, and what is open and has no
// place of its own further down.
func head(open []Open, text string) []byte {
	var b bytes.Buffer
	b.WriteString("# yaml-language-server: $schema=kit.schema.json\n")
	b.WriteString("# That schema, for an editor: kitgauge schema > kit.schema.json, beside this file.\n")
	b.WriteString("# Proposed from a survey. What a person has to decide is marked open.\n")
	for _, o := range open {
		if !strings.Contains(text, o.Place+": "+o.Says) { // the cells of a survey are marked where they stand
			b.WriteString(document.Comment("open: " + o.Place + ": " + o.Says))
		}
	}
	return b.Bytes()
}

// chosen names the parts of which a kit has one, and the timer's setting.
func (p *planner) chosen() string {
	var list []string
	tube := p.tube
	if !slices.ContainsFunc(p.lines, func(l *line) bool { return l.untubed == "" }) {
		tube = ""
	}
	for _, part := range [][2]string{
		{"pump", p.pump.part}, {"grease", p.pump.grease}, {"tube", tube}, {"bolts", p.pump.bolts}, {"fuse", p.feed.fuse}, {"cable", p.feed.cable},
	} {
		if part[1] != "" {
			list = append(list, part[0]+" "+part[1])
		}
	}
	if t := p.timer(); t != nil {
		list = append(list, "pause "+get(t, "pause"))
		if run := get(t, "run"); run != "" {
			list = append(list, "run "+run)
		} else {
			list = append(list, "strokes "+get(t, "strokes"))
		}
	}
	return strings.Join(list, ", ")
}

// found is what the rules find of the kit. What is not evaluated of several
// things for the like of one reason is told once, with all of their places.
func found(findings []finding.Finding) []Open {
	var list []Open
	alike := map[string]int{}
	for _, f := range findings {
		if !f.AtOrAbove(finding.Minor) {
			continue
		}
		says := f.Message
		if f.Remedy != "" {
			says += "; " + f.Remedy
		}
		says = fmt.Sprintf("%s (%s, %s)", says, f.Rule, f.Severity)
		if i, is := alike[f.Rule]; is && f.Status == finding.NotEvaluated {
			list[i].Place += ", " + f.Place
			list[i].at = append(list[i].at, f.Pointer)
			continue
		}
		if f.Status == finding.NotEvaluated {
			alike[f.Rule] = len(list)
		}
		list = append(list, Open{Place: f.Place, Says: says, at: []string{f.Pointer}})
	}
	return list
}

// once leaves out what is said twice.
func once(list []Open) []Open {
	seen := map[[2]string]bool{}
	return slices.DeleteFunc(list, func(o Open) bool {
		key := [2]string{o.Place, o.Says}
		twice := seen[key]
		seen[key] = true
		return twice
	})
}

// openCells are the cells of the survey that are wrong; they are marked where
// they stand.
func (p *planner) openCells() []Open {
	var list []Open
	for _, c := range p.part.Open {
		says := c.Message
		if c.Remedy != "" {
			says += "; " + c.Remedy
		}
		list = append(list, Open{Place: c.At, Says: says})
	}
	return list
}

// CatalogueFor names a catalogue as a kit in a file names it.
func CatalogueFor(kitFile, catalogue string) (string, error) {
	from, err := filepath.Abs(filepath.Dir(kitFile))
	if err != nil {
		return "", err
	}
	to, err := filepath.Abs(catalogue)
	if err != nil {
		return "", err
	}
	name, err := filepath.Rel(from, to)
	if err != nil {
		return "", fmt.Errorf("no path leads from %s to %s", kitFile, catalogue)
	}
	return filepath.ToSlash(name), nil
}

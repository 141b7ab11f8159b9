package checker

import (
	"fmt"
	"maps"
	"strings"

	"kitgauge/checker/compare"
	"kitgauge/checker/edit"
	"kitgauge/checker/engine"
	"kitgauge/checker/facts"
	"kitgauge/checker/finding"
	"kitgauge/checker/kit"
	"kitgauge/checker/report"
	"kitgauge/checker/slip"
	"kitgauge/checker/source"
)

// Result is what the check of one kit gave: what every report shows of it, and
// what it rests on.
type Result struct {
	report.Kit
	Omitted []finding.Omitted // findings that are not listed
	Steps   uint64            // that the evaluation of the rules took, where they are counted
	Gone    []finding.Entry   // known findings of this kit that were not found again
	Given   int               // concessions that the kit states
	Gate    *finding.Severity // of the settings; nil where they set none
	Text    *source.Document  // without a Root where nothing could be read
	Facts   *facts.Kit        // nil where nothing could be read
	// Inputs are the texts that went into the check, the kit first.
	Inputs []Input
	drafts drafts
	look   func() *slip.Report // for what may explain what is found; nil where nothing was looked at
	// Unread is why the file could not be read; nil where it could.
	Unread error
}

func (c *Checker) result(doc *source.Document, texts ...Input) *Result {
	r := &Result{Kit: report.Kit{File: doc.File, Document: doc.Index}, Text: doc, Inputs: texts}
	if c.options.Known != nil {
		r.Inputs = append(r.Inputs, c.options.Known.Input)
	}
	r.Line = func(pos source.Pos) string {
		if d := c.text(r, pos); d != nil {
			return d.Line(pos.Line)
		}
		return ""
	}
	r.Around = func(pos source.Pos, reach int) (string, int) {
		if d := c.text(r, pos); d != nil {
			return d.Around(pos, reach)
		}
		return "", pos.Column
	}
	r.End = func(pos source.Pos, pointer string) source.Pos { return c.end(r, pos, pointer) }
	r.Correct = func(f *finding.Finding) *report.Correction { return c.correction(r, f) }
	return r
}

// text is that of the kit, or of a catalogue that it uses; nil where it is not
// at hand.
func (c *Checker) text(r *Result, pos source.Pos) *source.Document {
	if pos.File == r.File {
		return r.Text
	}
	if f := c.catalogues.Look(c.inTree(r.File, pos.File)); f != nil && f.file != nil && f.file.Node != nil {
		return f.file.Node.Document()
	}
	return nil
}

// RevisionAs is the result as one of two that are compared, under a name.
func (r *Result) RevisionAs(name string) compare.Revision {
	return compare.Revision{File: name, Shaped: r.Shaped, Facts: r.Facts, Findings: r.Findings}
}

// collect takes together, once, what is wrong with the files and what the rules
// found: sorted, without repeats, with fingerprints.
func (r *Result) collect(faults problems, o engine.Outcome) {
	r.Omitted, r.Steps = o.Omitted, o.Steps
	r.Rules, r.Checks, r.NotEvaluated, r.Waiting, r.Margins = o.Rules, o.Checks, o.NotEvaluated, o.Waiting, o.Margins
	r.Findings = append(faults.findings, o.Findings...)
	r.Shaped = !faults.partly
	r.Findings = sorted(r.Findings)
	finding.Fingerprint(r.Number, r.Findings)
}

// sorted sorts findings, and takes out the faults that are reported twice.
func sorted(list []finding.Finding) []finding.Finding {
	finding.Sort(list)
	kept := list[:0]
	for i, f := range list {
		if i > 0 && sameFault(f, list[i-1]) {
			continue
		}
		kept = append(kept, f)
	}
	return kept
}

// judge says which findings are permitted and which are known, and keeps to
// those that are listed.
func (r *Result) judge(o *Options, given []finding.Given, share float64) {
	if !o.NoConcessions {
		r.Given = len(given)
		r.concede(o.On, given)
	}
	if o.Known != nil {
		r.Gone = finding.MatchBaseline(r.Findings, r.Omitted, r.Number, o.Known.Entries, share)
	}
	r.cut()
}

// concede applies the concessions as of a day. The findings that they give
// rise to themselves get their fingerprints here.
func (r *Result) concede(on string, given []finding.Given) {
	if on == "" || len(given) == 0 {
		return
	}
	r.Findings = finding.Concede(r.Findings, r.Omitted, given, on)
	var own []finding.Finding
	var at []int
	for i, f := range r.Findings {
		if f.Fingerprint == "" {
			own, at = append(own, f), append(at, i)
		}
	}
	finding.Fingerprint(r.Number, own)
	for i, f := range own {
		r.Findings[at[i]].Fingerprint = f.Fingerprint
	}
}

// cut keeps the findings to those that are listed, and adds one that counts
// the others. It is as grave as the gravest of them, so that no gate lets more
// through than with the whole list.
func (r *Result) cut() {
	listed, out := finding.Cut(r.Findings, finding.MostListed)
	if r.Omitted = append(r.Omitted, out...); len(r.Omitted) == 0 {
		return
	}
	words, worst := finding.InWords(r.Omitted)
	more := finding.Finding{
		Rule: ruleListed, Title: fileRules[ruleListed], Severity: worst, Status: finding.Violated,
		Pos: r.Text.Root.Pos(), Place: "the file",
		Message: "there are more findings, which are not listed: " + words,
		Remedy:  "mend those that are listed first, then check again",
		Basis:   fmt.Sprintf("of one kit %d findings are listed, and %d of one rule", finding.MostListed, finding.MostOfRule),
	}
	if worst == finding.None {
		more.Severity, more.Status = finding.Minor, finding.Known
	}
	last := []finding.Finding{more}
	finding.Fingerprint(r.Number, last)
	r.Findings = append(listed, last...)
}

// fileRules are the faults of the file itself. They are findings like those
// of the packs, so that one list holds all that is wrong.
var fileRules = map[string]string{
	"file/syntax":      "The file can be read",
	"file/shape":       "The file has the shape of a kit",
	"file/value":       "Every value is of its kind, with its unit",
	"file/catalogue":   "The parts catalogues can be read",
	"file/reference":   "Every name leads to something",
	"file/concessions": "The concessions beside the kit can be read",
	"file/time":        "The check comes to its end in time",
	ruleJudged:         "Rules are looked at",
	ruleNumber:         "A kit has a number of its own",
	ruleListed:         "All that is found is listed",
	RuleWeakened:       "The change leaves the gate as strict as it is",
}

// ruleJudged is the finding of a kit at which no rule could be looked at.
const ruleJudged = "file/judged"

// ruleNumber is the finding of a kit whose number another kit of the run has.
const ruleNumber = "file/number"

// ruleListed is the finding that counts those that are not listed.
const ruleListed = "file/listed"

// FileRules lists the ids and titles of the findings that stand in no pack:
// the faults of the file itself, and those of concessions.
func FileRules() map[string]string {
	all := maps.Clone(fileRules)
	maps.Copy(all, finding.ConcessionRules)
	return all
}

// problems is what is wrong with the files that went into a check, as findings.
type problems struct {
	findings []finding.Finding
	partly   bool // the kit was not checked in full
}

// add adds problems under the rule of the file that they break. All but a
// reference that leads nowhere mean that the kit was not checked in full.
func (l *problems) add(rule string, list ...*source.Problem) {
	for _, p := range list {
		f := finding.Finding{
			Rule: rule, Title: fileRules[rule], Severity: finding.Major, Status: finding.Violated,
			Pos: p.Pos, Message: p.Message, Remedy: p.Remedy, Basis: "the schemas of kit and parts",
			Place: "the file", Cause: p.Whole,
		}
		if rule == "file/time" {
			f.Basis = "the time that is allowed for the check of one kit"
		}
		if p.Behind.File != "" {
			f.Related = []finding.Place{{Pos: p.Behind, Says: "the fault in the catalogue"}}
		}
		if p.Node != nil {
			f.Pointer, f.Identity, f.Place = p.Node.Pointer(), p.Node.Identity(), place(p.Node)
			f.Edits, f.Nearest, f.Choice = spelt(p), p.Nearest, p.Decide && p.Meant != ""
		}
		l.findings = append(l.findings, f)
		l.partly = l.partly || rule != "file/reference"
	}
}

// spelt are the edits that write a misspelt key or value right.
func spelt(p *source.Problem) []edit.Change {
	switch {
	case p.Key != "":
		return []edit.Change{{Do: edit.Rename, At: p.Node.Pointer(), Key: p.Key}}
	case p.Meant != "":
		at := p.Node
		if p.Wrong != nil {
			at = p.Wrong
		}
		return []edit.Change{{Do: edit.Set, At: at.Pointer(), Value: edit.Text(p.Meant)}}
	}
	return nil
}

// sameFault tells a wrong value that both schema and model report.
func sameFault(a, b finding.Finding) bool {
	file := strings.HasPrefix(a.Rule, "file/") && strings.HasPrefix(b.Rule, "file/")
	return file && a.Pos == b.Pos && (a.Message == b.Message || a.Rule == "file/value" && b.Rule == "file/shape")
}

// place names the part of the file that holds the node in the trade's words.
func place(n *source.Node) string {
	var path []*source.Node
	for ; n.Parent() != nil; n = n.Parent() {
		path = append(path, n)
	}
	if len(path) == 0 {
		return "the file"
	}
	section := path[len(path)-1].Key()
	if section == "" {
		return "the file" // a key without a name
	}
	word, listed := kit.Thing(section)
	if !listed || len(path) < 2 {
		return strings.ReplaceAll(section, "_", " ")
	}
	item := path[len(path)-2]
	return named(word, item) + within(path[:len(path)-2])
}

// named is a thing of a list with its number or name, else with its place in
// the list.
func named(word string, item *source.Node) string {
	for _, key := range []string{"number", "id", "part", "rule"} {
		if v := item.Get(key); v != nil && v.Scalar != "" {
			return word + " " + v.Scalar
		}
	}
	index := 0
	fmt.Sscan(item.Key(), &index)
	return fmt.Sprintf("%s %d in the list", word, index+1)
}

// within names the thing of a list inside of another thing: ", station fl-4".
// The path is the rest of it, the outermost last.
func within(path []*source.Node) string {
	for i := len(path) - 1; i > 0; i-- {
		if word, listed := kit.Thing(path[i].Key()); listed {
			return ", " + named(word, path[i-1]) + within(path[:i-1])
		}
	}
	return ""
}

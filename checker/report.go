package checker

import (
	"cmp"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"

	"kitgauge/checker/facts"
	"kitgauge/checker/files"
	"kitgauge/checker/finding"
	"kitgauge/checker/report"
	"kitgauge/checker/source"
	"kitgauge/checker/units"
)

// CheckFile checks every kit of a file; - is standard input. The error is a
// *files.Error where it cannot be read, a *BrokenPacks where a rule pack is
// faulty.
func (c *Checker) CheckFile(name string) ([]*Result, error) {
	var text []byte
	var err error
	plain := true
	if name == "-" {
		name = cmp.Or(c.options.StdinAs, "standard input")
		text, err = files.Read(c.options.Stdin)
	} else {
		text, plain, err = c.options.readNamed(name)
	}
	if err != nil {
		return nil, &files.Error{File: name, Err: err}
	}
	results, err := c.Check(name, text)
	for _, r := range results {
		if !plain {
			r.Line, r.Around, r.Correct = nil, nil, nil // a device or a pipe may hold what is nobody's business
		}
	}
	return results, err
}

// CheckFiles checks files, as many at once as can run, and keeps their order;
// done, which may be nil, is called after each. A file that cannot be read
// hides no other kit: its result says so, and so do those of the faults, which
// come last.
func (c *Checker) CheckFiles(names []string, faults []*files.Error, done func(file string)) ([]*Result, error) {
	lists := make([][]*Result, len(names))
	errs := make([]error, len(names))
	Parallel(len(names), func(i int) {
		lists[i], errs[i] = c.CheckFile(names[i])
		if done != nil {
			done(names[i])
		}
	})
	var results []*Result
	for i, err := range errs {
		var fault *files.Error
		switch {
		case errors.As(err, &fault):
			results = append(results, c.unreadable(fault))
		case err != nil:
			return nil, err
		}
		results = append(results, lists[i]...)
	}
	for _, fault := range faults {
		results = append(results, c.unreadable(fault))
	}
	clashes(results)
	return results, nil
}

// clashes adds a finding to every kit of a run of which something is known and
// whose number another kit of the run has: the record tells kits by their
// numbers, so that nobody can say of which of them it is known. The finding is
// as grave as the gravest that is known, so that no gate lets more through.
func clashes(results []*Result) {
	first := map[string]*Result{}
	others := map[*Result]*Result{}
	for _, r := range results {
		switch f := first[r.Number]; {
		case r.Number == "":
		case f == nil:
			first[r.Number] = r
		default:
			others[r] = f
			if others[f] == nil {
				others[f] = r
			}
		}
	}
	for _, r := range results {
		if other := others[r]; other != nil {
			r.clash(other)
		}
	}
}

// clash adds the finding of a kit that has the number of another.
func (r *Result) clash(other *Result) {
	known, worst := 0, finding.Minor
	for _, f := range r.Findings {
		if f.Status == finding.Known {
			known, worst = known+1, max(worst, f.Severity)
		}
	}
	if known == 0 {
		return
	}
	place := other.File
	if other.File == r.File {
		place = fmt.Sprintf("kit %d of the file", other.Document+1)
	}
	more := []finding.Finding{{
		Rule: ruleNumber, Title: fileRules[ruleNumber], Severity: worst, Status: finding.Violated,
		Pos: r.Text.Root.Pos(), Place: "the file",
		Message: fmt.Sprintf("the number %s is also that of %s, so that it cannot be told for which of them %s recorded as known", r.Number, place, report.Count(known, "finding is", "findings are")),
		Remedy:  "give each kit a number of its own, and record what is known of it",
		Basis:   "a record of known findings tells kits by their numbers",
	}}
	if n := r.Text.Root.At("header", "number"); n != nil {
		more[0].Pos, more[0].Pointer = n.Pos(), n.Pointer()
	}
	finding.Fingerprint(r.Number, more)
	r.Findings = append(r.Findings, more...)
	finding.Sort(r.Findings)
}

func (c *Checker) unreadable(why *files.Error) *Result {
	r := c.Unread(why.File, nil, &source.Problem{Pos: source.Pos{File: why.File}, Message: why.Err.Error(), Remedy: "see that it can be read, and check it again"})
	r.Unread = why
	return r
}

// Report gathers results for the packages below report. The version is that
// of the program that the reports are to name.
func (c *Checker) Report(version string, results ...*Result) (report.Run, error) {
	run := report.Run{Gate: Gate(results...), Version: version}
	if c.options.Policy != nil {
		run.Policy = c.options.Policy.Name
	}
	if c.options.Gate != nil {
		if moreLenient(*c.options.Gate, run.Gate) {
			run.Lowered = run.Gate
		}
		run.Gate = *c.options.Gate
	}
	inUse := map[string]report.Rule{}
	for _, r := range results {
		if r.Given > 0 {
			run.On = c.options.On
		}
		run.Gone = append(run.Gone, r.Gone...)
		run.Kits = append(run.Kits, r.Kit)
		config, err := c.Config(r.File)
		if err != nil {
			return run, err
		}
		for _, pack := range config.Packs {
			for _, rule := range pack.Rules {
				inUse[rule.ID] = report.Rule{ID: rule.ID, Title: rule.Title, Severity: rule.Severity, Why: rule.Why, Basis: rule.Basis}
			}
		}
	}
	run.Rules = slices.SortedFunc(maps.Values(inUse), func(a, b report.Rule) int { return strings.Compare(a.ID, b.ID) })
	return run, nil
}

// GateFor is the gate for the kit of a file alone.
func (c *Checker) GateFor(file string) (finding.Severity, error) {
	config, err := c.Config(file)
	switch {
	case err != nil:
		return finding.None, err
	case c.options.Gate != nil:
		return *c.options.Gate, nil
	case config.Settings != nil && config.Settings.HasGate:
		return config.Settings.Gate, nil
	}
	return finding.Major, nil
}

// Gate is the strictest gate that the settings of kits set, else major.
func Gate(results ...*Result) finding.Severity {
	var set []finding.Severity
	for _, r := range results {
		if r.Gate != nil {
			set = append(set, *r.Gate)
		}
	}
	if len(set) == 0 {
		return finding.Major
	}
	// none, which lets everything through, wraps round and comes last
	return slices.MinFunc(set, func(a, b finding.Severity) int { return cmp.Compare(a-1, b-1) })
}

// figures shows the computed quantities in the kit's own unit family.
func figures(k *facts.Kit) []report.Figures {
	var out []report.Figures
	for _, thing := range k.Figures() {
		row := report.Figures{Kind: thing.Kind, Place: thing.Place}
		for _, f := range thing.Figures {
			figure := report.Figure{Name: f.Name, Why: f.Value.Why}
			switch {
			case f.Value.Known:
				figure.Amount = finding.Amount{SI: f.Value.V, Dimension: f.Dimension.String(), Text: units.Format(f.Value.V, f.Dimension, k.Family())}
			case figure.Why == "":
				continue // it may be stated, and is not
			}
			row.Figures = append(row.Figures, figure)
		}
		out = append(out, row)
	}
	return out
}

// KnownFindings is the record of what results hold now, as ReadKnown reads it:
// of all rules, or of some. Then an older record keeps its lines of other rules,
// and of kits of which there is no result.
func KnownFindings(results []*Result, older *Known, rules ...string) []byte {
	var entries []finding.Entry
	checked := map[string]bool{}
	named := func(rule string) bool { return len(rules) == 0 || slices.Contains(rules, rule) }
	for _, r := range results {
		checked[finding.OneLine(r.Number)] = true
		for i := range r.Findings {
			if f := &r.Findings[i]; f.Recordable() && named(f.Rule) {
				entries = append(entries, finding.EntryOf(f, r.Number))
			}
		}
	}
	if older != nil {
		for _, e := range older.Entries {
			if !named(e.Rule) || !checked[finding.OneLine(e.Kit)] {
				entries = append(entries, e)
			}
		}
	}
	return finding.WriteKnown(entries)
}

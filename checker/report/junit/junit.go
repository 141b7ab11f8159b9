// Package junit writes the results of a run as XML in the style of JUnit,
// which build servers show as tests: a suite for each kit, a case for each
// rule. There is no standard of it; what is written is what is commonly read:
// the elements, in their order, of the schema of the Maven Surefire report
// (surefire-test-report.xsd, Apache) and of that of the xUnit plugin of Jenkins
// (junit-10.xsd), with file and line beside them, by which code hosts show where
// a case failed. Of several findings of a rule one element holds all, because
// many readers take the first alone.
package junit

import (
	"encoding/xml"
	"fmt"
	"io"
	"strings"

	"kitgauge/checker/finding"
	"kitgauge/checker/report"
)

type suites struct {
	XMLName  xml.Name `xml:"testsuites"`
	Name     string   `xml:"name,attr"`
	Tests    int      `xml:"tests,attr"`
	Failures int      `xml:"failures,attr"`
	Errors   int      `xml:"errors,attr"`
	Skipped  int      `xml:"skipped,attr"`
	Time     int      `xml:"time,attr"`
	Suites   []suite  `xml:"testsuite"`
}

type suite struct {
	Name       string     `xml:"name,attr"`
	File       string     `xml:"file,attr,omitempty"`
	Tests      int        `xml:"tests,attr"`
	Failures   int        `xml:"failures,attr"`
	Errors     int        `xml:"errors,attr"`
	Skipped    int        `xml:"skipped,attr"`
	Time       int        `xml:"time,attr"`
	Properties []property `xml:"properties>property"`
	Cases      []testCase `xml:"testcase"`
}

type property struct {
	Name  string `xml:"name,attr"`
	Value string `xml:"value,attr"`
}

// testCase is one rule in one kit. What does not count against the gate goes
// to Out, so that it can be read and fails nothing.
type testCase struct {
	ClassName string   `xml:"classname,attr"`
	Name      string   `xml:"name,attr"`
	Time      int      `xml:"time,attr"` // which schemas ask for; nothing is timed
	File      string   `xml:"file,attr,omitempty"`
	Line      int      `xml:"line,attr,omitempty"` // of the first finding, from 1
	Failure   *outcome `xml:"failure"`
	Skipped   *outcome `xml:"skipped"`
	Error     *outcome `xml:"error"`
	Out       *content `xml:"system-out"`
}

type outcome struct {
	Message string `xml:"message,attr"`
	Type    string `xml:"type,attr,omitempty"`
	Text    string `xml:",cdata"`
}

type content struct {
	Text string `xml:",cdata"`
}

// Write writes the results of a run. The same run gives the same bytes: there
// are no times in it.
func Write(w io.Writer, run report.Run) error {
	out := suites{Name: "kitgauge"}
	for i := range run.Kits {
		out.add(kit(&run.Kits[i], run))
	}
	if len(run.Gone) > 0 {
		out.add(gone(run.Gone))
	}
	text, err := xml.MarshalIndent(out, "", "  ")
	if err != nil {
		return fmt.Errorf("writing the result as XML: %w", err)
	}
	_, err = io.WriteString(w, xml.Header+noCommand(string(text))+"\n")
	return err
}

// noCommand breaks the sign by which the runner of a CI job knows a command
// anywhere in a line, and leaves the data as they are: by a reference, and by
// the end of a section where there are none.
func noCommand(text string) string {
	const open, shut, sign = "<![CDATA[", "]]>", "##["
	var b strings.Builder
	for {
		before, rest, found := strings.Cut(text, open)
		b.WriteString(strings.ReplaceAll(before, sign, "#&#35;["))
		if !found {
			return b.String()
		}
		section, after, _ := strings.Cut(rest, shut)
		b.WriteString(open + strings.ReplaceAll(section, sign, "#"+shut+open+"#[") + shut)
		text = after
	}
}

func (s *suites) add(one suite) {
	one.count()
	s.Tests += one.Tests
	s.Failures += one.Failures
	s.Errors += one.Errors
	s.Skipped += one.Skipped
	s.Suites = append(s.Suites, one)
}

// count counts every case once, by the gravest that there is in it.
func (s *suite) count() {
	s.Tests = len(s.Cases)
	for i := range s.Cases {
		switch c := &s.Cases[i]; {
		case c.Failure != nil:
			s.Failures++
		case c.Error != nil:
			s.Errors++
		case c.Skipped != nil:
			s.Skipped++
		}
	}
}

// kit makes the suite of one kit. Where the file could not be read, no rule
// was looked at, and none is said to have passed.
func kit(k *report.Kit, run report.Run) suite {
	inUse := map[string]bool{}
	for _, r := range run.Rules {
		inUse[r.ID] = k.Rules > 0 && !beside(r.ID)
	}
	found := map[string][]*finding.Finding{}
	for i := range k.Findings {
		f := &k.Findings[i]
		found[f.Rule] = append(found[f.Rule], f)
	}
	out := suite{Name: report.Visible(title(k)), File: report.Visible(k.File), Properties: properties(k, run)}
	for _, r := range run.AllRules() {
		if list := found[r.ID]; len(list) > 0 || inUse[r.ID] {
			out.Cases = append(out.Cases, rule(k, r.ID, list, run.Gate))
		}
	}
	return out
}

// beside tells the rules that are no test of a pack: the file's own faults, and
// those of concessions and of the gate itself. They have a case only where something is found.
func beside(rule string) bool {
	pack := report.Pack(rule)
	return pack == "file" || pack == "concession" || pack == "gate"
}

// title names the kit, and its file, so that two suites differ.
func title(k *report.Kit) string {
	if k.Number == "" {
		return k.Label()
	}
	return fmt.Sprintf("%s revision %s (%s)", k.Number, k.Revision, k.Label())
}

func properties(k *report.Kit, run report.Run) []property {
	var list []property
	for _, p := range []property{
		{"kit", k.Number}, {"revision", k.Revision}, {"title", k.Title}, {"status", k.Status},
		{"gate", run.Gate.String()}, {"verdict", k.Counts(run.Gate).Verdict(run.Gate)},
		{"weakened by settings", k.Weakened.Where()}, {"judged by", run.Policy}, {"not checked", strings.Join(run.Passed, "; ")},
		{"concessions as of", run.On}, {"kitgauge", run.Version}, {"caution", report.Caution},
	} {
		if p.Value != "" {
			list = append(list, property{p.Name, report.Visible(p.Value)})
		}
	}
	return list
}

func rule(k *report.Kit, id string, list []*finding.Finding, gate finding.Severity) testCase {
	c := testCase{ClassName: report.Visible(report.Pack(id)), Name: report.Visible(id), File: report.Visible(k.File)}
	if first := gravest(list, gate); first != nil {
		at := k.At(first)
		c.File, c.Line = report.Visible(at.File), at.Line
	}
	var permitted, out []string
	var failed, broken []*finding.Finding
	for _, f := range list {
		switch {
		case f.Status.Settled():
			permitted = append(permitted, described(k, f))
		case !k.Shaped && report.Pack(id) == "file": // the check itself could not be made
			broken = append(broken, f)
		case !f.AtOrAbove(gate):
			out = append(out, described(k, f))
		case f.Status == finding.NotEvaluated:
			broken = append(broken, f)
		default:
			failed = append(failed, f)
		}
	}
	switch {
	case len(failed) > 0:
		c.Failure = outcomeOf(k, append(failed, broken...))
	case len(broken) > 0:
		c.Error = outcomeOf(k, broken)
	case len(permitted) > 0:
		c.Skipped = &outcome{Message: whySkipped(list), Text: strings.Join(permitted, "\n")}
		permitted = nil
	}
	if out = append(out, permitted...); len(out) > 0 {
		c.Out = &content{strings.Join(out, "\n")}
	}
	return c
}

// gravest is the finding at which a case stands: the first that fails it, else
// the first.
func gravest(list []*finding.Finding, gate finding.Severity) *finding.Finding {
	for _, f := range list {
		if f.AtOrAbove(gate) {
			return f
		}
	}
	if len(list) == 0 {
		return nil
	}
	return list[0]
}

// outcomeOf is what findings of a rule come to: the first is the message, the
// gravest the type, and the text tells all.
func outcomeOf(k *report.Kit, list []*finding.Finding) *outcome {
	out := &outcome{Message: report.Visible(list[0].Place + ": " + list[0].Message)}
	if more := len(list) - 1; more > 0 {
		out.Message += fmt.Sprintf(" (and %d more)", more)
	}
	worst := list[0].Severity
	var texts []string
	for _, f := range list {
		worst = max(worst, f.Severity)
		texts = append(texts, described(k, f))
	}
	out.Type, out.Text = worst.String(), strings.Join(texts, "\n")
	return out
}

// whySkipped says in a few words why a case is passed over.
func whySkipped(list []*finding.Finding) string {
	conceded, known := 0, 0
	for _, f := range list {
		switch f.Status {
		case finding.Conceded:
			conceded++
		case finding.Known:
			known++
		}
	}
	switch {
	case known == 0:
		return fmt.Sprintf("%d conceded", conceded)
	case conceded == 0:
		return fmt.Sprintf("%d known", known)
	}
	return fmt.Sprintf("%d conceded, %d known", conceded, known)
}

// described is a finding in a few lines.
func described(k *report.Kit, f *finding.Finding) string {
	var b strings.Builder
	line := func(name, text string) {
		if text != "" {
			fmt.Fprintf(&b, "%s: %s\n", name, report.Visible(text))
		}
	}
	line(f.Severity.String()+", "+f.Status.String(), f.Rule)
	line("at", k.At(f).String())
	line("place", f.Place)
	line("found", f.Message)
	for _, a := range []struct {
		name   string
		amount *finding.Amount
	}{{"value", f.Value}, {"limit", f.Limit}, {"margin", f.Margin}} {
		if a.amount != nil {
			line(a.name, a.amount.Text)
		}
	}
	line("remedy", f.Remedy)
	line("basis", f.Basis)
	if c := f.Concession; c != nil {
		line("conceded", c.Reason)
		line("granted by", c.GrantedBy)
		line("until", c.Until)
	}
	return b.String()
}

// gone makes cases of the known findings that were not found again: they pass.
func gone(list []finding.Entry) suite {
	out := suite{Name: "known findings no longer found"}
	for _, g := range list {
		out.Cases = append(out.Cases, testCase{
			ClassName: report.Visible(report.Pack(g.Rule)),
			Name:      report.Visible(fmt.Sprintf("%s: kit %s, %s", g.Rule, g.Kit, g.Place)),
		})
	}
	return out
}

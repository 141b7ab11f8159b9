// Package markdown writes the results of a run as a summary for a CI job, in
// GitHub Flavored Markdown: the verdict first, then what each kit adds up to,
// then the findings, the gravest first. Whatever comes from a kit stands in a
// code span, in which nothing is markup, a link, a mention or an image.
package markdown

import (
	"cmp"
	"fmt"
	"io"
	"slices"
	"strings"

	"kitgauge/checker/finding"
	"kitgauge/checker/report"
)

// Limit is the number of bytes that a summary may have: a code host takes
// 1 MiB for a step, and other tools may write to the same file.
const Limit = 1<<20 - 1<<16

// Options says how the summary is written.
type Options struct {
	// Limit is the most bytes to write; 0 stands for [Limit]. What does not
	// fit is counted. The verdict and the caution are written in any case.
	Limit int
}

// Write writes the results of a run. The same run and options give the same
// bytes.
func Write(w io.Writer, run report.Run, o Options) error {
	if o.Limit == 0 {
		o.Limit = Limit
	}
	p := &page{left: o.Limit}
	c := run.Counts()
	end := "> **Caution.** " + report.Caution + "\n"
	p.must("# Kit check: " + c.Verdict(run.Gate) + "\n\n")
	p.left -= len(end) + len(cutNote(1<<30, 1<<30))
	if run.On != "" {
		p.must("Concessions are judged as of " + code(run.On) + ".\n\n")
	}
	p.judged(run)
	p.counts(run)
	p.slips(run)
	for s := finding.Critical; ; s-- {
		p.findings(run, heading(s), func(f *finding.Finding) bool { return f.Status == finding.Violated && f.Severity == s }, violated)
		if s == finding.None {
			break
		}
	}
	p.findings(run, "Not evaluated", status(finding.NotEvaluated), unknown)
	p.findings(run, "Conceded", status(finding.Conceded), conceded)
	p.gone(run.Gone)
	p.findings(run, "Known, and not counted against the gate", status(finding.Known), known)
	if p.cutFindings+p.cutKits > 0 {
		p.text.WriteString(cutNote(p.cutFindings, p.cutKits))
	}
	p.text.WriteString(end)
	_, err := io.WriteString(w, p.text.String())
	return err
}

func heading(s finding.Severity) string {
	if s == finding.None {
		return "Without severity"
	}
	word := s.String()
	return strings.ToUpper(word[:1]) + word[1:]
}

func status(s finding.Status) func(*finding.Finding) bool {
	return func(f *finding.Finding) bool { return f.Status == s }
}

func cutNote(findings, kits int) string {
	return fmt.Sprintf("> This summary is cut to keep its size: %s and %s in the table above are not shown. The other reports of this run hold them.\n\n",
		report.Count(findings, "entry", "entries"), report.Count(kits, "kit", "kits"))
}

// judged says by what the kits were judged, as far as that is less than usual,
// and what was not looked at. Of much of it only so much is told as leaves room
// for the findings.
func (p *page) judged(run report.Run) {
	const most = 20
	var list []string
	if run.Policy != "" {
		list = append(list, "Settings, packs, concessions and known findings are those of "+code(run.Policy)+".")
	}
	for _, w := range run.Weakened() {
		list = append(list, "**Weakened by settings**: "+code(w.Where()))
	}
	for _, passed := range run.Passed {
		list = append(list, "**Not checked**: "+code(passed))
	}
	if more := len(list) - most; more > 0 {
		list = append(list[:most], fmt.Sprintf("and %d more", more))
	}
	for _, text := range list {
		p.must(text + "\n\n")
	}
}

// page gathers the text and keeps to its size. Once something was left out,
// everything that follows is, so that what is shown is the gravest.
type page struct {
	text        strings.Builder
	left        int
	cutFindings int
	cutKits     int
}

func (p *page) must(s string) {
	p.text.WriteString(s)
	p.left -= len(s)
}

func (p *page) add(s string) bool {
	if len(s) > p.left {
		return false
	}
	p.must(s)
	return true
}

// counts is a table with a row for each kit. It takes at most half of the
// page, so that there is room for the findings.
func (p *page) counts(run report.Run) {
	if len(run.Kits) == 0 {
		p.must("No kit was checked.\n\n")
		return
	}
	half := p.left / 2
	p.left -= half
	p.must("| kit | file | critical | major | minor | not evaluated | conceded | known | checks | verdict |\n" +
		"| --- | --- | ---: | ---: | ---: | ---: | ---: | ---: | ---: | --- |\n")
	for i := range run.Kits {
		k := &run.Kits[i]
		c := k.Counts(run.Gate)
		row := fmt.Sprintf("| %s | %s | %d | %d | %d | %d | %d | %d | %d | %s |\n", cell(name(k)), cell(k.Label()),
			c.Critical, c.Major, c.Minor, c.NotEvaluated, c.Conceded, c.Known, c.Checks, c.Verdict(run.Gate))
		if p.cutKits > 0 || !p.add(row) {
			p.cutKits++
		}
	}
	p.left += half
	p.must("\n")
}

// slips is a section with what one slip may explain in each kit; nothing where
// none was found.
func (p *page) slips(run report.Run) {
	var list []string
	for i := range run.Kits {
		k := &run.Kits[i]
		for _, says := range k.Slips.Says() {
			list = append(list, fmt.Sprintf("- %s: %s\n", code(k.Label()), code(says)))
		}
	}
	p.section("Likely slips", "Look at the vehicle before anything is changed.\n\n", len(list), func(i int) string { return list[i] })
}

func name(k *report.Kit) string {
	if k.Number == "" || k.Revision == "" {
		return k.Number + k.Revision
	}
	return k.Number + " revision " + k.Revision
}

// findings is a section with an entry for each finding that belongs to it, the
// gravest first; nothing where there is none.
func (p *page) findings(run report.Run, title string, belongs func(*finding.Finding) bool, entry func(*report.Kit, *finding.Finding) string) {
	type one struct {
		k *report.Kit
		f *finding.Finding
	}
	var list []one
	for i := range run.Kits {
		k := &run.Kits[i]
		for j := range k.Findings {
			if f := &k.Findings[j]; belongs(f) {
				list = append(list, one{k, f})
			}
		}
	}
	slices.SortStableFunc(list, func(a, b one) int { return cmp.Compare(b.f.Severity, a.f.Severity) })
	p.section(title, "", len(list), func(i int) string { return entry(list[i].k, list[i].f) })
}

func (p *page) gone(list []finding.Entry) {
	p.section("No longer found", "These can leave the record of known findings.\n\n", len(list), func(i int) string {
		g := list[i]
		return fmt.Sprintf("- %s in kit %s at %s\n", code(g.Rule), code(g.Kit), code(g.Place))
	})
}

// section writes as many of n entries as fit, and counts the others.
func (p *page) section(title, lead string, n int, entry func(i int) string) {
	shown := 0
	for i := range n {
		if p.cutFindings > 0 {
			break
		}
		text := entry(i)
		if i == 0 {
			text = "## " + title + "\n\n" + lead + text
		}
		if !p.add(text) {
			break
		}
		shown++
	}
	p.cutFindings += n - shown
	if shown > 0 {
		p.must("\n")
	}
}

// head names rule and place of a finding.
func head(k *report.Kit, f *finding.Finding) string {
	text := "- **" + code(f.Rule) + "** at " + code(k.At(f).String())
	if f.Place != "" {
		text += ", " + code(f.Place)
	}
	return text
}

func line(label, text string) string {
	if text == "" {
		return ""
	}
	return "  - " + label + ": " + code(text) + "\n"
}

func violated(k *report.Kit, f *finding.Finding) string {
	return head(k, f) + "\n" + line("found", f.Message) + amounts(f) + line("remedy", f.Remedy) + line("basis", f.Basis)
}

func unknown(k *report.Kit, f *finding.Finding) string {
	return head(k, f) + ", " + f.Severity.String() + "\n" + line("found", f.Message)
}

func conceded(k *report.Kit, f *finding.Finding) string {
	text := head(k, f) + ", " + f.Severity.String() + "\n" + line("found", f.Message) + amounts(f)
	if c := f.Concession; c != nil {
		text += line("reason", c.Reason) + line("granted by", c.GrantedBy) + line("until", c.Until)
	}
	return text
}

func known(k *report.Kit, f *finding.Finding) string {
	return head(k, f) + ", " + f.Severity.String() + ": " + code(f.Message) + "\n"
}

func amounts(f *finding.Finding) string {
	var list []string
	for _, a := range []struct {
		name   string
		amount *finding.Amount
	}{{"value", f.Value}, {"limit", f.Limit}, {"margin", f.Margin}} {
		if a.amount != nil && a.amount.Text != "" {
			list = append(list, a.name+" "+code(a.amount.Text))
		}
	}
	if len(list) == 0 {
		return ""
	}
	return "  - " + strings.Join(list, ", ") + "\n"
}

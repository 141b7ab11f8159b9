// Package terminal writes the results of a run for a person at a terminal. A
// kit reads like an inspection sheet: names in a narrow column on the left,
// what belongs to them on the right, one sheet below the other. Everything
// that comes from a kit file is written so that it cannot steer the terminal,
// and nothing depends on colour.
package terminal

import (
	"io"

	"kitgauge/checker/finding"
	"kitgauge/checker/report"
)

// Options says how the results are written. The zero value is 80 cells wide,
// without colour and without the working.
type Options struct {
	Width   int  // cells in a line; 0 stands for 80, less than 40 for 40, more than 120 for 120
	Colour  bool // colour by ANSI escape sequences
	Working bool // every part of a rule that does not hold, with its value
	Unfold  bool // what follows from another finding in full, too
}

const (
	usualWidth = 80
	leastWidth = 40
	mostWidth  = 120 // longer lines are hard to read
)

// Write writes the results of a run. The same run and options give the same
// bytes. Lines keep to the width, except that the place of a finding,
// file:line:column, is never broken, so that it can be picked up whole.
func Write(w io.Writer, run report.Run, o Options) error {
	s := newSheet(o)
	for i := range run.Kits {
		s.kit(&run.Kits[i], run.Gate)
	}
	s.gone(run.Gone)
	s.close(run)
	return s.write(w)
}

// newSheet begins an output.
func newSheet(o Options) *sheet {
	if o.Width == 0 {
		o.Width = usualWidth
	}
	return &sheet{width: min(max(o.Width, leastWidth), mostWidth), palette: newPalette(o.Colour), working: o.Working, unfold: o.Unfold}
}

// kit writes one kit: its header, what does not hold, what is not known, and
// what it adds up to.
func (s *sheet) kit(k *report.Kit, gate finding.Severity) {
	counts := k.Counts(gate)
	s.header(k)
	if counts.Clean > 0 {
		s.paragraph(s.palette.plain, "nothing found: "+checked(counts)+"; "+counts.Verdict(gate))
		s.row("settings", s.palette.bad, k.Weakened.Where())
		s.blank()
		s.tables(k)
		return
	}
	s.dashes()
	s.blank()
	s.slips(k)
	shown := report.Standing
	if s.unfold {
		shown = report.BySeverity
	}
	following := report.Following(k.Findings)
	violated := shown(k.Findings, finding.Violated)
	for i := range violated {
		s.violated(k, &violated[i])
		s.following(following[violated[i].Fingerprint])
		s.blank()
	}
	unknown := report.BySeverity(k.Findings, finding.NotEvaluated)
	for _, group := range gather(unknown, func(f *finding.Finding) string { return f.Message }) {
		s.unknown(k, group)
		s.blank()
	}
	s.settled(k)
	s.row("settings", s.palette.bad, k.Weakened.Where())
	s.sums(counts, gate)
	s.blank()
	s.tables(k)
}

func (s *sheet) tables(k *report.Kit) {
	s.figures(k.Figures)
	s.margins(k.Margins)
}

// header names the kit: its file, then its title block.
func (s *sheet) header(k *report.Kit) {
	s.paragraph(s.palette.heading, k.Label())
	name := k.Number
	if k.Revision != "" {
		name = join(name, " ", "revision "+k.Revision)
	}
	name = join(name, ", ", k.Status)
	s.paragraph(s.palette.plain, join(name, ": ", k.Title))
}

// settled writes what does not hold and does not count against the gate.
func (s *sheet) settled(k *report.Kit) {
	for _, f := range report.BySeverity(k.Findings, finding.Conceded) {
		s.conceded(k, &f)
		s.blank()
	}
	known := report.BySeverity(k.Findings, finding.Known)
	for i := range known {
		s.known(k, &known[i])
	}
	if len(known) > 0 {
		s.blank()
	}
}

// sums writes what the findings of one kit, or of all, add up to.
func (s *sheet) sums(c report.Counts, gate finding.Severity) {
	s.row("total", s.palette.plain, total(c))
	s.row("beside", s.palette.plain, beside(c))
	s.row("checked", s.palette.plain, checked(c))
	verdict := s.palette.good
	if c.Unreadable > 0 || c.OutsideGate > 0 || c.OutsideGateUnknown > 0 {
		verdict = s.palette.bad
	}
	s.row("gate", verdict, c.Verdict(gate))
}

// close ends the run: the sum of several kits, and the caution.
func (s *sheet) close(run report.Run) {
	c := run.Counts()
	for _, passed := range run.Passed {
		s.paragraph(s.palette.bad, "not checked: "+passed)
	}
	switch {
	case c.Kits == 0:
		s.paragraph(s.palette.plain, "no kit was checked")
		return
	case c.Kits > 1:
		s.paragraph(s.palette.heading, number(c.Kits)+" kits together")
		s.dashes()
		s.row("kits", s.palette.plain, number(c.Clean)+" with nothing found, "+number(c.WithFindings)+" with findings, "+number(c.Unreadable)+" not checked in full")
		s.sums(c, run.Gate)
		s.blank()
	}
	if run.Policy != "" {
		s.paragraph(s.palette.plain, run.JudgedBy())
	}
	if run.On != "" {
		s.paragraph(s.palette.plain, "concessions judged as of "+run.On)
	}
	s.paragraph(s.palette.label, report.Caution)
}

func total(c report.Counts) string {
	text := number(c.Critical) + " critical, " + number(c.Major) + " major, " + number(c.Minor) + " minor"
	if c.None > 0 {
		text += ", " + number(c.None) + " without severity"
	}
	return text
}

// beside is what does not count against the gate, empty where there is none.
func beside(c report.Counts) string {
	text := ""
	if c.Conceded > 0 {
		text = number(c.Conceded) + " conceded"
	}
	if c.Known > 0 {
		text = join(text, ", ", number(c.Known)+" known")
	}
	return text
}

func checked(c report.Counts) string {
	text := report.Count(c.Rules, "rule", "rules") + ", " + report.Count(c.Checks, "check", "checks")
	if c.NotEvaluated > 0 {
		text += ", " + number(c.NotEvaluated) + " of them not evaluated"
	}
	if c.Waiting > 0 {
		text += ", " + number(c.Waiting) + " of them waiting until the kit goes to review"
	}
	return text
}

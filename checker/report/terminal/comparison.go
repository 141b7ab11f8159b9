package terminal

import (
	"io"
	"slices"
	"strings"

	"kitgauge/checker/compare"
	"kitgauge/checker/finding"
	"kitgauge/checker/report"
)

// WriteComparison writes what differs between two revisions of a kit. The
// same comparison and options give the same bytes.
func WriteComparison(w io.Writer, c *compare.Comparison, o Options) error {
	s := newSheet(o)
	s.titles(c)
	if c.Same() {
		s.paragraph(s.palette.plain, "no difference")
	} else {
		s.dashes()
		s.blank()
		s.changes(c)
		s.moved(c.Figures)
		for i := range c.Findings {
			s.differing(&c.Findings[i])
			s.blank()
		}
		s.differences(c)
	}
	s.blank()
	s.paragraph(s.palette.label, report.Caution)
	return s.write(w)
}

// titles names both revisions.
func (s *sheet) titles(c *compare.Comparison) {
	s.paragraph(s.palette.heading, c.New.File)
	s.paragraph(s.palette.plain, join(titled(c.New), ": ", c.New.Title))
	s.paragraph(s.palette.plain, "compared with "+join(c.Old.File, ": ", titled(c.Old)))
	for _, t := range []compare.Title{c.Old, c.New} {
		if !t.Shaped {
			s.paragraph(s.palette.bad, t.File+" cannot be read in full (see kitgauge check): what differs there can be missing here")
		}
	}
}

func titled(t compare.Title) string {
	revision := ""
	if t.Revision != "" {
		revision = "revision " + t.Revision
	}
	return join(join(t.Number, " ", revision), ", ", t.Status)
}

// sectionNames are the sections of a kit file, short enough for the column of
// names.
var sectionNames = map[string]string{
	"header": "header", "catalogues": "files", "vehicle": "vehicle", "bodies": "bodies", "joints": "joints", "points": "points",
	"pump": "pump", "lines": "lines", "bundles": "bundles", "zones": "zones", "feed": "feed", "documents": "papers",
	"parts_list": "parts", "procedure": "steps", "concessions": "conceded", "parts": "figures",
}

// changes writes what changed, each section beside its name.
func (s *sheet) changes(c *compare.Comparison) {
	for _, section := range c.Sections() {
		var lines []string
		for _, change := range c.Changes {
			if change.Section == section {
				lines = append(lines, hang(wrap(report.Visible(change.Text), s.width-margin-2), 2)...)
			}
		}
		s.rows(sectionNames[section], s.palette.plain, lines)
	}
	if len(c.Changes) > 0 {
		s.blank()
	}
}

// moved writes the computed values that moved, a table for each kind of thing.
func (s *sheet) moved(list []compare.Figure) {
	for len(list) > 0 {
		n := 1
		for n < len(list) && list[n].Kind == list[0].Kind {
			n++
		}
		t := table{head: []string{list[0].Kind, "figure", "was", "is", "by"}, left: []bool{true, true, false, false, false}}
		var reasons []string
		for i, f := range list[:n] {
			by, place := "", f.Place
			if f.By != nil {
				by = f.By.Text
			}
			if i > 0 && place == list[i-1].Place {
				place = "" // once for all of a thing
			}
			t.rows = append(t.rows, []string{place, f.Name, known(f.Old), known(f.New), by})
			if why := join(f.OldWhy, "", f.NewWhy); why != "" && !slices.Contains(reasons, why) {
				reasons = append(reasons, why)
			}
		}
		s.table(t)
		for _, why := range reasons {
			s.paragraph(s.palette.unknown, "? not known: "+why)
		}
		s.blank()
		list = list[n:]
	}
}

func known(a *finding.Amount) string {
	if a == nil {
		return "?"
	}
	return a.Text
}

// stamps are the words with which a finding that differs begins.
var stamps = map[compare.Kind]string{compare.Added: "NEW", compare.Changed: "CHANGED", compare.Removed: "GONE"}

// differing writes a finding that came, went, or is of another severity or
// status.
func (s *sheet) differing(d *compare.Finding) {
	f := d.Shown()
	stamp := s.palette.severity(f.Severity)
	if d.Kind == compare.Removed {
		stamp = s.palette.good
	}
	s.stamp(stamps[d.Kind], stamp)
	s.fields(field{text: f.Rule, style: s.palette.heading}, field{text: f.Pos.String(), style: s.palette.plain, whole: true}, field{text: f.Severity.String(), style: stamp})
	s.row("now", s.palette.heading, d.Text)
	s.row("place", s.palette.plain, f.Place)
	s.row("found", s.palette.plain, f.Message)
	if d.Kind == compare.Added {
		s.row("remedy", s.palette.plain, f.Remedy)
	}
}

// differences counts what differs.
func (s *sheet) differences(c *compare.Comparison) {
	count := map[compare.Kind]int{}
	for _, f := range c.Findings {
		count[f.Kind]++
	}
	var found []string
	for _, kind := range []compare.Kind{compare.Added, compare.Changed, compare.Removed} {
		if count[kind] > 0 {
			found = append(found, number(count[kind])+" "+strings.ToLower(stamps[kind]))
		}
	}
	if found == nil {
		found = []string{"as they were"}
	}
	s.row("kit", s.palette.plain, report.Count(len(c.Changes), "change", "changes"))
	s.row("computed", s.palette.plain, report.Count(len(c.Figures), "value", "values")+" moved")
	s.row("findings", s.palette.plain, strings.Join(found, ", "))
}

package dossier

import (
	"fmt"
	"strings"

	"kitgauge/checker/compare"
	"kitgauge/checker/finding"
)

// changes is what differs from an older revision.
type changes struct {
	Lead   []string
	Lists  []changeList
	Tables []table
	title  string // of the section
	note   string
}

type changeList struct {
	Title, Count string
	Items        []string
}

func newChanges(c *compare.Comparison) *changes {
	m := &changes{title: "Changes since the older kit", note: fmt.Sprintf("%d", len(c.Changes)), Lead: []string{"Compared with " + title(c.Old.Number, c.Old.Revision) + " (" + c.Old.File + ")."}}
	if r := c.Old.Revision; r != "" {
		m.title = "Changes since revision " + r
	}
	if !c.Whole() {
		m.Lead = append(m.Lead, "One of the two could not be read in full: what is missing there is missing here.")
	}
	if c.Same() {
		m.Lead = append(m.Lead, "Nothing differs: neither what is stated, nor what is computed, nor what is found.")
	}
	m.stated(c)
	m.found(c)
	m.moved(c)
	return m
}

// stated lists what changed in the kit file and its parts.
func (m *changes) stated(c *compare.Comparison) {
	for _, section := range c.Sections() {
		l := changeList{Title: capital(strings.ReplaceAll(section, "_", " "))}
		for _, change := range c.Changes {
			if change.Section == section {
				l.Items = append(l.Items, change.Text)
			}
		}
		l.Count = fmt.Sprint(len(l.Items))
		m.Lists = append(m.Lists, l)
	}
}

// found lists the findings that came, changed and went.
func (m *changes) found(c *compare.Comparison) {
	if len(c.Findings) == 0 {
		return
	}
	words := map[compare.Kind]string{compare.Added: "new", compare.Removed: "gone", compare.Changed: "changed"}
	t := table{ID: "changes-findings", Title: "Findings new and gone", Caption: "New first, then changed, then gone; the gravest first", Head: heads("rule", "became", "severity", "place", "found")}
	for _, f := range c.Findings {
		s := f.Shown()
		became := words[f.Kind]
		if f.Text != "" {
			became += ": " + f.Text
		}
		if s.Status != finding.Violated && f.Text == "" {
			became += ", " + s.Status.String()
		}
		t.Rows = append(t.Rows, row(s.Rule, became, s.Severity.String(), s.Place, s.Message))
	}
	m.Tables = append(m.Tables, t)
}

// moved lists the computed values that differ.
func (m *changes) moved(c *compare.Comparison) {
	if len(c.Figures) == 0 {
		return
	}
	t := table{ID: "changes-figures", Title: "Computed values that moved", Caption: "Values that show the same are left out",
		Head: []cell{{Text: "of"}, {Text: "quantity"}, {Text: "was", Right: true}, {Text: "is", Right: true}, {Text: "by", Right: true}}}
	for _, f := range c.Figures {
		was, is, by := copied(f.Old), copied(f.New), copied(f.By)
		alike([]*finding.Amount{was, is, by})
		r := row(f.Place, f.Name, amountOr(was, f.OldWhy), amountOr(is, f.NewWhy), text(by))
		for i := 2; i < len(r); i++ {
			r[i].Right = true
		}
		t.Rows = append(t.Rows, r)
	}
	m.Tables = append(m.Tables, t)
}

func amountOr(a *finding.Amount, why string) string {
	switch {
	case a != nil:
		return a.Text
	case why != "":
		return "not known: " + why
	}
	return "not known"
}

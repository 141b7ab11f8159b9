package dossier

import (
	"fmt"
	"slices"
	"strings"

	"kitgauge/checker/finding"
	"kitgauge/checker/report"
	"kitgauge/checker/report/drawing"
	"kitgauge/checker/source"
)

// entry is one finding as it is shown.
type entry struct {
	ID                          string // of its element
	No                          int    // from 1, in the order of the dossier
	Cause                       int    // the number of the finding from which it follows; 0 where it stands for itself
	Rule, Title, Severity, Word string
	Letter                      string // in its sign
	Settled                     bool   // conceded or known
	Place, Where, Excerpt       string
	Message, Remedy, Why, Basis string
	Value, Limit, Margin        string
	HasAmounts                  bool
	Working                     []named
	Long                        bool // too long to be kept on one page
	Mark                        int  // on the drawings; 0 where it has none
	MarkAt                      string
	Concession                  *concession
	status                      finding.Status
	severity                    finding.Severity
	fingerprint                 string
	concededAt                  source.Pos // where the concession is written
}

type concession struct{ Reason, GrantedBy, Until string }

type group struct {
	Title, Count string
	List         []entry
}

// entries are all findings, the open ones first and the gravest first.
type entries struct {
	list   []entry
	counts report.Counts
	heavy  map[string]finding.Severity // how grave a finding is with what follows from it
}

// idOf is the id of the element of a finding, by its number; "" where it has
// none.
func idOf(number int) string {
	if number == 0 {
		return ""
	}
	return fmt.Sprintf("finding-%d", number)
}

func newEntries(in *Input, d *drawings) *entries {
	k := &in.Run.Kits[0]
	why := map[string]string{}
	for _, r := range in.Run.Rules {
		why[r.ID] = r.Why
	}
	e := &entries{counts: k.Counts(in.Run.Gate), heavy: report.Grave(k.Findings)}
	number := map[string]int{} // by fingerprint
	list := k.Ordered().List
	for i, f := range list {
		one := newEntry(k, &f)
		one.ID, one.No, one.Why = idOf(i+1), i+1, why[f.Rule]
		one.Mark = d.marks[one.ID]
		one.MarkAt = d.markAt[one.Mark]
		e.list = append(e.list, one)
		number[f.Fingerprint] = one.No
	}
	for i, f := range list {
		if f.Follows != "" {
			e.list[i].Cause = number[f.Follows]
		}
	}
	return e
}

func newEntry(k *report.Kit, f *finding.Finding) entry {
	const manyTerms = 12
	e := entry{
		Rule: f.Rule, Title: f.Title, Severity: f.Severity.String(), Word: capital(f.Severity.String()), Letter: drawing.Letter(f),
		Place: f.Place, Where: k.At(f).String(), Excerpt: excerpt(k, f.Pos),
		Message: f.Message, Remedy: f.Remedy, Basis: f.Basis, Long: len(f.Working) > manyTerms,
		status: f.Status, severity: f.Severity, fingerprint: f.Fingerprint,
	}
	e.Value, e.Limit, e.Margin = amountsOf(f)
	e.HasAmounts = e.Value+e.Limit+e.Margin != ""
	for _, t := range f.Working {
		e.Working = append(e.Working, named{t.Expression, t.Value})
	}
	switch f.Status {
	case finding.Conceded:
		e.Word += ", conceded"
	case finding.Known:
		e.Word += ", known"
	}
	e.Settled = f.Status.Settled()
	if c := f.Concession; c != nil {
		e.Concession = &concession{c.Reason, c.GrantedBy, c.Until}
		e.concededAt = c.Pos
	}
	return e
}

// amountsOf writes the value of a finding, its limit and its margin in one unit.
func amountsOf(f *finding.Finding) (value, limit, margin string) {
	row := []*finding.Amount{copied(f.Value), copied(f.Limit), copied(f.Margin)}
	alike(row)
	return text(row[0]), text(row[1]), text(row[2])
}

func copied(a *finding.Amount) *finding.Amount {
	if a == nil {
		return nil
	}
	b := *a
	return &b
}

func text(a *finding.Amount) string {
	if a == nil {
		return ""
	}
	return a.Text
}

// openFindings are those that count.
type openFindings struct {
	Any          bool
	Groups       []group // by severity
	Unknown      []reason
	UnknownCount string
}

// reason is why some checks could not be evaluated.
type reason struct {
	Reason string
	List   []entry
}

func (e *entries) open() *openFindings {
	m := &openFindings{}
	for s := finding.Critical; ; s-- {
		heading := capital(s.String())
		if s == finding.None {
			heading = "Without severity"
		}
		m.Groups = e.group(m.Groups, heading, func(one *entry) bool { return one.status == finding.Violated && e.heavy[one.fingerprint] == s })
		if s == finding.None {
			break
		}
	}
	at := map[string]int{}
	for _, one := range e.list {
		if one.status != finding.NotEvaluated {
			continue
		}
		i, seen := at[one.Message]
		if !seen {
			i = len(m.Unknown)
			at[one.Message] = i
			m.Unknown = append(m.Unknown, reason{Reason: one.Message})
		}
		m.Unknown[i].List = append(m.Unknown[i].List, one)
	}
	m.UnknownCount = report.Count(e.counts.NotEvaluated, "check", "checks")
	m.Any = len(m.Groups)+len(m.Unknown) > 0
	return m
}

func (e *entries) group(to []group, heading string, belongs func(*entry) bool) []group {
	g := group{Title: heading}
	for i := range e.list {
		if belongs(&e.list[i]) {
			g.List = append(g.List, e.list[i])
		}
	}
	if len(g.List) == 0 {
		return to
	}
	g.Count = report.Count(len(g.List), "finding", "findings")
	if first := g.List[0]; slices.ContainsFunc(g.List, func(one entry) bool { return one.severity < e.heavy[first.fingerprint] }) && !first.Settled {
		g.Title += ", and what it follows from"
	}
	return append(to, g)
}

func (e *entries) note() string {
	n := e.counts.Findings()
	if u := e.counts.NotEvaluated; u > 0 {
		return fmt.Sprintf("%d, %d not evaluated", n, u)
	}
	return fmt.Sprint(n)
}

func (e *entries) settledNote() string {
	return fmt.Sprint(e.counts.Conceded + e.counts.Known)
}

// longestExcerpt is how much of a line is shown, in characters: a kit in JSON
// may stand on one line.
const longestExcerpt = 200

// excerpt is the line at a place; of a long one what stands round the place.
func excerpt(k *report.Kit, pos source.Pos) string {
	near, column := k.Near(pos)
	line := []rune(strings.TrimRight(near, " \t\r\n"))
	if len(line) <= longestExcerpt {
		return strings.TrimSpace(string(line))
	}
	from := max(0, min(column-1-longestExcerpt/2, len(line)-longestExcerpt))
	text := strings.TrimSpace(string(line[from : from+longestExcerpt]))
	if from > 0 {
		text = "... " + text
	}
	if from+longestExcerpt < len(line) {
		text += " ..."
	}
	return text
}

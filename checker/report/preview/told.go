package preview

import (
	"fmt"
	"strings"

	"kitgauge/checker/facts"
	"kitgauge/checker/finding"
	"kitgauge/checker/report"
	"kitgauge/checker/report/drawing"
)

// told is what a check says.
type told struct {
	File     string   `json:"file"`
	Number   string   `json:"number"`
	Title    string   `json:"title"`
	Status   string   `json:"status"`
	Verdict  string   `json:"verdict"`
	Class    string   `json:"class"` // "within", "outside" or "open"
	Counts   []count  `json:"counts"`
	Mind     []string `json:"mind"` // what limits the verdict
	Caution  string   `json:"caution"`
	Stale    bool     `json:"stale"` // what is found is of an older check
	Saved    string   `json:"saved"` // when the kit was saved of which it is
	Findings []found  `json:"findings"`
	More     int      `json:"more"` // findings that are not listed
	Margins  []margin `json:"margins"`
}

// mostListed is how many findings the page lists: nobody scrolls through more.
const mostListed = 500

type count struct {
	Name  string `json:"name"`
	Count int    `json:"count"`
}

// found is a finding.
type found struct {
	ID       string    `json:"id"` // of its element
	Severity string    `json:"severity"`
	Letter   string    `json:"letter"`
	Settled  bool      `json:"settled"` // conceded or known
	Word     string    `json:"word"`
	Rule     string    `json:"rule"`
	Title    string    `json:"title"`
	Place    string    `json:"place"`
	Message  string    `json:"message"`
	Rows     []named   `json:"rows"`
	Mark     int       `json:"mark"` // on the drawing; 0 where it has none
	At       string    `json:"at"`   // in the kit file, a JSON Pointer
	Working  []string  `json:"working"`
	Stand    []float64 `json:"stand"`  // as the joints stand where it is so; nil where that does not hang on them
	Stands   string    `json:"stands"` // and that told
}

type named struct {
	Name string `json:"name"`
	Text string `json:"text"`
}

// margin is how near a rule came to its limit.
type margin struct {
	Rule   string `json:"rule"`
	Title  string `json:"title"`
	Place  string `json:"place"`
	Value  string `json:"value"`
	Limit  string `json:"limit"`
	Margin string `json:"margin"`
	Beyond bool   `json:"beyond"`
}

func newTold(in *Input) *told {
	k := &in.Run.Kits[0]
	c := k.Counts(in.Run.Gate)
	t := &told{File: k.Label(), Number: strings.TrimSpace(k.Number + " " + revision(k.Revision)), Title: k.Title, Status: k.Status, Verdict: c.Verdict(in.Run.Gate), Class: "within", Saved: in.Saved, Caution: report.Caution}
	switch {
	case c.Unreadable > 0 || in.Run.Gate == finding.None:
		t.Class = "open"
	case c.OutsideGate+c.OutsideGateUnknown > 0:
		t.Class = "outside"
	}
	for _, one := range []count{{"critical", c.Critical}, {"major", c.Major}, {"minor", c.Minor}, {"without severity", c.None}, {"not evaluated", c.NotEvaluated}, {"conceded", c.Conceded}, {"known", c.Known}} {
		if one.Count > 0 {
			t.Counts = append(t.Counts, one)
		}
	}
	t.mind(in, c)
	t.findings(in)
	titles := map[string]string{}
	for _, r := range in.Run.Rules {
		titles[r.ID] = r.Title
	}
	for _, m := range report.NearestFirst(k.Margins) {
		t.Margins = append(t.Margins, margin{m.Rule, titles[m.Rule], m.Place, m.Value.Text, m.Limit.Text, m.Margin.Text, m.Share < 0})
	}
	return t
}

func revision(text string) string {
	if text == "" {
		return ""
	}
	return "revision " + text
}

// stale is what a check said, told when that is no longer known to be so.
func (t *told) stale() *told {
	if t == nil {
		return nil
	}
	old := *t
	old.Stale, old.Class, old.Counts = true, "open", nil
	old.Verdict = "not known now: what stands below is of the kit as saved " + t.Saved
	return &old
}

// mind lists what bounds the verdict.
func (t *told) mind(in *Input, c report.Counts) {
	if c.Unreadable > 0 {
		t.Mind = append(t.Mind, "The file was not checked in full: what is missing may be missing here too.")
	}
	if w := in.Run.Kits[0].Weakened; w != nil {
		t.Mind = append(t.Mind, "Weakened by settings: "+w.Where()+".")
	}
	if by := in.Run.JudgedBy(); by != "" {
		t.Mind = append(t.Mind, "Judged by: "+by+".")
	}
	if in.Run.On != "" {
		t.Mind = append(t.Mind, "Concessions are judged as of "+in.Run.On+".")
	}
}

// idOf is the id of the element of a finding.
func idOf(number int) string { return fmt.Sprintf("finding-%d", number) }

func (t *told) findings(in *Input) {
	k := &in.Run.Kits[0]
	marks := map[int]int{}
	ordered := k.Ordered()
	extents := extentsIn(in)
	if readable(in) {
		for _, m := range drawing.Marks(drawing.Input{Kit: in.Facts, Findings: k.Findings}) {
			for i := range m.Findings {
				marks[ordered.Number(&m.Findings[i])] = m.Number
			}
		}
	}
	for i := range ordered.List {
		f := &ordered.List[i]
		one := found{
			ID: idOf(i + 1), Severity: f.Severity.String(), Letter: drawing.Letter(f), Settled: f.Status.Settled(), Word: word(f),
			Rule: f.Rule, Title: f.Title, Place: f.Place, Message: f.Message, Mark: marks[i+1], At: f.Pointer,
		}
		one.rows(k, f)
		for _, w := range f.Working {
			if e, is := extents[f.Place][w.Expression]; is && one.Stand == nil {
				one.Stand, one.Stands = e.At, e.Words
			}
			one.Working = append(one.Working, w.Expression+" = "+w.Value)
		}
		t.Findings = append(t.Findings, one)
		if i+1 == mostListed {
			t.More = len(ordered.List) - mostListed
			break
		}
	}
}

// extentsIn are where in the range of all joints the figures of spans and
// approaches are what was found of them: by their place, and then as a rule
// writes them. One that no joint moves is not among them.
func extentsIn(in *Input) map[string]map[string]facts.Extent {
	out := map[string]map[string]facts.Extent{}
	if in.Facts == nil {
		return out
	}
	for _, kind := range []string{"span", "approach"} {
		for _, s := range in.Facts.Subjects(kind) {
			if out[s.Place()] == nil {
				out[s.Place()] = map[string]facts.Extent{}
			}
			for key, e := range in.Facts.Extents(s) {
				if e.Words != "" {
					out[s.Place()][kind+"."+key] = e
				}
			}
		}
	}
	return out
}

// word names the severity and what became of it.
func word(f *finding.Finding) string {
	switch f.Status {
	case finding.NotEvaluated:
		return f.Severity.String() + ", not evaluated"
	case finding.Conceded:
		return f.Severity.String() + ", conceded"
	case finding.Known:
		return f.Severity.String() + ", known"
	}
	return f.Severity.String()
}

// rows are what is said of it beside what is found.
func (one *found) rows(k *report.Kit, f *finding.Finding) {
	add := func(name, text string) {
		if text != "" {
			one.Rows = append(one.Rows, named{name, text})
		}
	}
	add("remedy", f.Remedy)
	for _, a := range []struct {
		name   string
		amount *finding.Amount
	}{{"value", f.Value}, {"limit", f.Limit}, {"margin", f.Margin}} {
		if a.amount != nil {
			add(a.name, a.amount.Text)
		}
	}
	add("file", k.At(f).String())
	add("rule", f.Rule+": "+f.Title)
	add("basis", f.Basis)
	if c := f.Concession; c != nil {
		add("granted", fmt.Sprintf("%s, by %s, until %s", c.Reason, c.GrantedBy, c.Until))
	}
}

// Package record writes the results of a run as one JSON object, for programs
// that go on with them. Its shape is schema/result.schema.json; a change that
// a reader could notice raises FormatVersion.
package record

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"unicode/utf16"

	"kitgauge/checker/edit"
	"kitgauge/checker/engine"
	"kitgauge/checker/finding"
	"kitgauge/checker/report"
	"kitgauge/checker/slip"
	"kitgauge/checker/source"
)

// The name of the format, and its version.
const (
	Format        = "kitgauge-result"
	FormatVersion = 1
)

// Write writes the results of a run. The same run gives the same bytes.
func Write(w io.Writer, run report.Run) error { return encode(w, "result", "  ", record(run)) }

// WriteLine writes one kit as it stands in the result of a run, on one line:
// $defs/kit of the schema.
func WriteLine(w io.Writer, k *report.Kit, gate finding.Severity) error {
	return encode(w, "result", "", kit(k, gate))
}

// encode writes a record as JSON, named what where that fails.
func encode(w io.Writer, what, indent string, v any) error {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	e.SetIndent("", indent)
	if err := e.Encode(v); err != nil {
		return fmt.Errorf("writing the %s as JSON: %w", what, err)
	}
	_, err := w.Write(escape(b.Bytes()))
	return err
}

// escape writes the characters that steer a terminal as JSON escapes, which
// leaves the data as they are. They can stand within strings alone: outside
// there are only ASCII characters, and no control character but the line end.
func escape(text []byte) []byte {
	out := make([]byte, 0, len(text))
	for _, r := range string(text) {
		switch {
		case r == '\n' || !report.Unseen(r):
			out = append(out, string(r)...)
		case r < 0x10000:
			out = fmt.Appendf(out, `\u%04x`, r)
		default:
			high, low := utf16.EncodeRune(r)
			out = fmt.Appendf(out, `\u%04x\u%04x`, high, low)
		}
	}
	return report.JSON(out)
}

type runRecord struct {
	Format        string          `json:"format"`
	FormatVersion int             `json:"format_version"`
	ToolVersion   string          `json:"tool_version"`
	Gate          string          `json:"gate"`
	Exit          int             `json:"exit"`
	Verdict       string          `json:"verdict"`
	Caution       string          `json:"caution"`
	On            string          `json:"on"`
	Counts        report.Counts   `json:"counts"`
	Kits          []kitRecord     `json:"kits"`
	Gone          []finding.Entry `json:"gone"`
	Policy        string          `json:"policy,omitempty"`
	Passed        []string        `json:"passed_over,omitempty"`
}

type kitRecord struct {
	File     string          `json:"file"`
	Document int             `json:"document"`
	Line     int             `json:"line,omitempty"`
	Number   string          `json:"number"`
	Revision string          `json:"revision"`
	Title    string          `json:"title"`
	Status   string          `json:"status"`
	Shaped   bool            `json:"shaped"`
	Verdict  string          `json:"verdict"`
	Counts   report.Tally    `json:"counts"`
	Findings []findingRecord `json:"findings"`
	Margins  []marginRecord  `json:"margins"`
	Figures  []thingRecord   `json:"figures"`
	Slips    *slipsRecord    `json:"slips,omitempty"`
	Weakened *weakenedRecord `json:"weakened,omitempty"`
}

type weakenedRecord struct {
	Settings []string `json:"settings"`
	Says     []string `json:"says"`
}

type slipsRecord struct {
	Findings int          `json:"findings"`
	Tried    int          `json:"tried"`
	Untried  int          `json:"untried"`
	Best     []slipRecord `json:"best"`
}

type slipRecord struct {
	Kind    string       `json:"kind"`
	Says    string       `json:"says"`
	Cleared int          `json:"cleared"`
	Left    int          `json:"left"`
	Edits   []editRecord `json:"edits"`
}

type editRecord struct {
	File    string `json:"file"`
	Pointer string `json:"pointer"`
	From    string `json:"from"`
	To      string `json:"to"`
}

type thingRecord struct {
	Kind    string         `json:"kind"`
	Place   string         `json:"place"`
	Figures []figureRecord `json:"figures"`
}

type figureRecord struct {
	Name   string        `json:"name"`
	Amount *amountRecord `json:"amount,omitempty"`
	Why    string        `json:"why,omitempty"`
}

type findingRecord struct {
	Rule     string `json:"rule"`
	Title    string `json:"title"`
	Severity string `json:"severity"`
	Status   string `json:"status"`
	source.Pos
	Pointer     string            `json:"pointer"`
	Identity    string            `json:"identity"`
	Place       string            `json:"place"`
	Message     string            `json:"message"`
	Remedy      string            `json:"remedy"`
	Value       *amountRecord     `json:"value,omitempty"`
	Limit       *amountRecord     `json:"limit,omitempty"`
	Margin      *amountRecord     `json:"margin,omitempty"`
	Working     []finding.Term    `json:"working"`
	Basis       string            `json:"basis"`
	Fingerprint string            `json:"fingerprint"`
	Follows     string            `json:"follows,omitempty"`
	Related     []placeRecord     `json:"related,omitempty"`
	Concession  *concessionRecord `json:"concession,omitempty"`
	Edits       []changeRecord    `json:"edits,omitempty"`
	Choice      bool              `json:"choice,omitempty"`
}

type changeRecord struct {
	Do    edit.Verb       `json:"do"`
	At    string          `json:"at"`
	Value json.RawMessage `json:"value,omitempty"`
	Key   string          `json:"key,omitempty"`
}

// placeRecord is another place that belongs to a finding.
type placeRecord struct {
	source.Pos
	Pointer string `json:"pointer"`
	Says    string `json:"says"`
}

type concessionRecord struct {
	Reason    string `json:"reason"`
	GrantedBy string `json:"granted_by"`
	Until     string `json:"until"`
	Severity  string `json:"severity,omitempty"`
	Value     string `json:"value,omitempty"`
	source.Pos
}

type amountRecord struct {
	SI        number `json:"si"`
	Dimension string `json:"dimension"`
	Text      string `json:"text"`
}

type marginRecord struct {
	Rule   string       `json:"rule"`
	Place  string       `json:"place"`
	Value  amountRecord `json:"value"`
	Limit  amountRecord `json:"limit"`
	Margin amountRecord `json:"margin"`
	Share  number       `json:"share"`
}

// number is null where a difference or quotient went beyond what a number can
// hold, which JSON cannot say otherwise (RFC 8259, section 6).
type number float64

// MarshalJSON implements json.Marshaler.
func (n number) MarshalJSON() ([]byte, error) {
	f := float64(n)
	if math.IsNaN(f) || math.IsInf(f, 0) {
		return []byte("null"), nil
	}
	return json.Marshal(f + 0) // -0 becomes 0
}

func record(run report.Run) runRecord {
	c := run.Counts()
	out := runRecord{
		Format: Format, FormatVersion: FormatVersion, ToolVersion: run.Version,
		Gate: run.Gate.String(), Exit: run.Exit(), Verdict: c.Verdict(run.Gate), Caution: report.Caution, On: run.On,
		Counts: c, Kits: []kitRecord{}, Gone: append([]finding.Entry{}, run.Gone...),
		Policy: run.Policy, Passed: run.Passed,
	}
	for i := range run.Kits {
		out.Kits = append(out.Kits, kit(&run.Kits[i], run.Gate))
	}
	return out
}

func kit(k *report.Kit, gate finding.Severity) kitRecord {
	c := k.Counts(gate)
	out := kitRecord{
		File: k.File, Document: k.Document, Line: k.StreamLine, Number: k.Number, Revision: k.Revision, Title: k.Title, Status: k.Status,
		Shaped: k.Shaped, Verdict: c.Verdict(gate), Counts: c.Tally,
		Findings: []findingRecord{}, Margins: []marginRecord{}, Figures: []thingRecord{},
	}
	for i := range k.Findings {
		out.Findings = append(out.Findings, findingOf(&k.Findings[i]))
	}
	for i := range k.Margins {
		out.Margins = append(out.Margins, marginOf(&k.Margins[i]))
	}
	for i := range k.Figures {
		out.Figures = append(out.Figures, figuresOf(&k.Figures[i]))
	}
	out.Slips = slipsOf(k.Slips)
	if w := k.Weakened; w != nil {
		out.Weakened = &weakenedRecord{w.Settings, w.Says}
	}
	return out
}

func slipsOf(s *slip.Report) *slipsRecord {
	if s == nil {
		return nil
	}
	out := &slipsRecord{Findings: s.Findings, Tried: s.Tried, Untried: s.Untried, Best: []slipRecord{}}
	for _, e := range s.Best {
		r := slipRecord{Kind: string(e.Kind), Says: e.Change.String(), Cleared: e.Cleared, Left: e.Left, Edits: []editRecord{}}
		for _, edit := range e.Edits {
			r.Edits = append(r.Edits, editRecord{edit.File, edit.Pointer, edit.From, edit.To})
		}
		out.Best = append(out.Best, r)
	}
	return out
}

func figuresOf(t *report.Figures) thingRecord {
	out := thingRecord{Kind: t.Kind, Place: t.Place, Figures: []figureRecord{}}
	for i := range t.Figures {
		f := &t.Figures[i]
		if f.Why != "" {
			out.Figures = append(out.Figures, figureRecord{Name: f.Name, Why: f.Why})
			continue
		}
		out.Figures = append(out.Figures, figureRecord{Name: f.Name, Amount: amount(&f.Amount)})
	}
	return out
}

func findingOf(f *finding.Finding) findingRecord {
	out := findingRecord{
		Rule: f.Rule, Title: f.Title, Severity: f.Severity.String(), Status: f.Status.String(),
		Pos: f.Pos, Pointer: f.Pointer, Identity: f.Identity,
		Place: f.Place, Message: f.Message, Remedy: f.Remedy,
		Value: amount(f.Value), Limit: amount(f.Limit), Margin: amount(f.Margin),
		Working: append([]finding.Term{}, f.Working...), Basis: f.Basis, Fingerprint: f.Fingerprint, Follows: f.Follows,
	}
	for _, p := range f.Related {
		out.Related = append(out.Related, placeRecord{p.Pos, p.Pointer, p.Says})
	}
	if c := f.Concession; c != nil {
		out.Concession = &concessionRecord{c.Reason, c.GrantedBy, c.Until, c.Severity, c.Value, c.Pos}
	}
	for _, c := range f.Edits {
		out.Edits = append(out.Edits, changeRecord{c.Do, c.At, json.RawMessage(c.Value), c.Key})
	}
	out.Choice = f.Choice
	return out
}

func marginOf(m *engine.Margin) marginRecord {
	return marginRecord{
		Rule: m.Rule, Place: m.Place,
		Value: *amount(&m.Value), Limit: *amount(&m.Limit), Margin: *amount(&m.Margin), Share: number(m.Share),
	}
}

func amount(a *finding.Amount) *amountRecord {
	if a == nil {
		return nil
	}
	return &amountRecord{SI: number(a.SI), Dimension: a.Dimension, Text: a.Text}
}

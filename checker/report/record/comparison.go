package record

import (
	"io"

	"kitgauge/checker/compare"
	"kitgauge/checker/finding"
	"kitgauge/checker/report"
	"kitgauge/checker/source"
)

// The name of the format of a comparison, and its version. Its shape is
// schema/compare.schema.json.
const (
	ComparisonFormat        = "kitgauge-comparison"
	ComparisonFormatVersion = 1
)

// WriteComparison writes what differs between two revisions of a kit as one
// JSON object. The same comparison gives the same bytes.
func WriteComparison(w io.Writer, c *compare.Comparison, version string) error {
	return encode(w, "comparison", "  ", comparison(c, version))
}

type comparisonRecord struct {
	Format        string                `json:"format"`
	FormatVersion int                   `json:"format_version"`
	ToolVersion   string                `json:"tool_version"`
	Same          bool                  `json:"same"`
	Whole         bool                  `json:"whole"`
	Caution       string                `json:"caution"`
	Old           compare.Title         `json:"old"`
	New           compare.Title         `json:"new"`
	Changes       []compare.Change      `json:"changes"`
	Figures       []movedRecord         `json:"figures"`
	Findings      []findingChangeRecord `json:"findings"`
}

type movedRecord struct {
	Kind   string        `json:"kind"`
	Place  string        `json:"place"`
	Name   string        `json:"name"`
	Old    *amountRecord `json:"old,omitempty"`
	New    *amountRecord `json:"new,omitempty"`
	By     *amountRecord `json:"by,omitempty"`
	OldWhy string        `json:"old_why,omitempty"`
	NewWhy string        `json:"new_why,omitempty"`
}

type findingChangeRecord struct {
	Kind string         `json:"kind"`
	Text string         `json:"text"`
	Old  *foundAsRecord `json:"old,omitempty"`
	New  *foundAsRecord `json:"new,omitempty"`
}

// foundAsRecord is a finding as far as a comparison tells of it; a check tells
// all.
type foundAsRecord struct {
	Rule     string `json:"rule"`
	Severity string `json:"severity"`
	Status   string `json:"status"`
	source.Pos
	Place       string `json:"place"`
	Message     string `json:"message"`
	Remedy      string `json:"remedy"`
	Fingerprint string `json:"fingerprint"`
}

func comparison(c *compare.Comparison, version string) comparisonRecord {
	out := comparisonRecord{
		Format: ComparisonFormat, FormatVersion: ComparisonFormatVersion, ToolVersion: version,
		Same: c.Same(), Whole: c.Whole(), Caution: report.Caution, Old: c.Old, New: c.New,
		Changes: append([]compare.Change{}, c.Changes...), Figures: []movedRecord{}, Findings: []findingChangeRecord{},
	}
	for i := range c.Figures {
		f := &c.Figures[i]
		out.Figures = append(out.Figures, movedRecord{f.Kind, f.Place, f.Name, amount(f.Old), amount(f.New), amount(f.By), f.OldWhy, f.NewWhy})
	}
	for i := range c.Findings {
		f := &c.Findings[i]
		out.Findings = append(out.Findings, findingChangeRecord{string(f.Kind), f.Text, foundAs(f.Old), foundAs(f.New)})
	}
	return out
}

func foundAs(f *finding.Finding) *foundAsRecord {
	if f == nil {
		return nil
	}
	return &foundAsRecord{f.Rule, f.Severity.String(), f.Status.String(), f.Pos, f.Place, f.Message, f.Remedy, f.Fingerprint}
}

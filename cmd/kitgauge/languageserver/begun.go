package languageserver

import (
	"fmt"
	"slices"
	"strings"

	"kitgauge/checker"
	"kitgauge/checker/finding"
	"kitgauge/checker/report"
)

// begun tells once of a kit that is only begun what it has not yet, and returns
// the findings that this stands for: all that are about the whole kit, which
// would stand in its first line one over the other.
func (d *diagnosis) begun(r *checker.Result) map[*finding.Finding]bool {
	var sections, rules []string
	told := map[*finding.Finding]bool{}
	var first *finding.Finding
	worst := severityHint
	for i := range r.Findings {
		f := &r.Findings[i]
		if f.Pointer != "" || r.At(f).File != r.File {
			continue
		}
		if section, is := strings.CutSuffix(f.Message, " is missing from this greasing kit"); is && f.Rule == "file/shape" {
			sections, first = append(sections, section), f
		} else if f.Status == finding.Violated && !slices.Contains(rules, f.Rule) {
			rules = append(rules, f.Rule)
		}
		told[f] = true
		worst = min(worst, severityOf(f))
	}
	if first == nil || len(told) < 2 {
		return nil
	}
	says := "the kit states no " + strings.Join(sections, ", no ") + " yet"
	if len(rules) > 0 {
		says += fmt.Sprintf("\nwhat else it lacks as a whole is found by %s", strings.Join(rules, ", "))
	}
	d.add(r.File, d.text, shown{diagnostic: diagnostic{
		Range: d.span(r, r.At(first), ""), Severity: worst, Code: first.Rule, Source: program,
		Message: visibleLines(says + "\nremedy: " + first.Remedy),
	}})
	return told
}

// visibleLines is report.Visible of each line of a text.
func visibleLines(text string) string {
	lines := strings.Split(text, "\n")
	for i := range lines {
		lines[i] = report.Visible(lines[i])
	}
	return strings.Join(lines, "\n")
}

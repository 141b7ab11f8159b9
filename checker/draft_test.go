package checker_test

import (
	"slices"
	"strings"
	"testing"

	"kitgauge/checker"
	"kitgauge/checker/finding"
)

// TestDraftWaits takes the papers from a draft: nothing is found, and what
// waits is counted; given to review it is found.
func TestDraftWaits(t *testing.T) {
	c := checker.OnExamples()
	clean, err := checker.Clean("trailer")
	if err != nil {
		t.Fatal(err)
	}
	bare := string(clean.Text)
	for _, owner := range []string{"  owner:", "  drawn_by:"} {
		i := strings.Index(bare, owner)
		bare = bare[:i] + bare[i+strings.Index(bare[i:], "\n")+1:]
	}
	check := func(text string) *checker.Result {
		t.Helper()
		results, err := c.Check(clean.File, []byte(text))
		if err != nil {
			t.Fatal(err)
		}
		return results[0]
	}
	isTitle := func(f finding.Finding) bool { return f.Rule == "paperwork/title-block" }
	draft := check(bare)
	if counts := draft.Counts(finding.Major); draft.Waiting != 1 || counts.Waiting != 1 || slices.ContainsFunc(draft.Findings, isTitle) {
		t.Errorf("a draft: %d checks wait, want 1; findings: %v", draft.Waiting, draft.Findings)
	}
	review := check(strings.Replace(bare, "status: draft", "status: for-review", 1))
	if review.Waiting != 0 || !slices.ContainsFunc(review.Findings, isTitle) {
		t.Errorf("given to review: %d checks wait, want none, and the title block told", review.Waiting)
	}
}

// TestPumpUpLeftOut leaves the direction of the pump out: it is straight up, as
// the schema says, and nothing waits for it.
func TestPumpUpLeftOut(t *testing.T) {
	c := checker.OnExamples()
	for _, name := range []string{"gritter", "loader", "trailer"} {
		clean, err := checker.Clean(name)
		if err != nil {
			t.Fatal(err)
		}
		text := string(clean.Text)
		i := strings.Index(text, "\n  up: [")
		if i < 0 {
			continue
		}
		text = text[:i] + text[i+1+strings.Index(text[i+1:], "\n"):]
		results, err := c.Check(clean.File, []byte(text))
		if err != nil {
			t.Fatal(err)
		}
		if r := results[0]; len(r.Findings) > 0 || r.NotEvaluated > 0 || r.Facts.Pump.Lean.V != 0 || !r.Facts.Pump.Lean.Known {
			t.Errorf("%s without pump.up: %v", name, r.Findings)
		}
	}
}

package facts_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"
)

// breaches lists what the rules see of a procedure: the step, what it lacks
// and in which words.
func breaches(t *testing.T, steps string, pairs ...string) []string {
	t.Helper()
	var list []string
	for _, s := range strings.Fields(steps) {
		list = append(list, "{step: "+s+"}")
	}
	f := fromText(t, "vehicle: {raised_body: false}\nprocedure: ["+strings.Join(list, ", ")+"]\n", noParts, pairs...)
	var got []string
	for _, s := range f.Procedure {
		for _, b := range s.Breaches {
			got = append(got, fmt.Sprintf("%s: %s %s: %s", s.Place(), b.Needs.V, b.Fault.V, b.Says.V))
		}
	}
	return got
}

const (
	controlled = "protect-eyes protect-hands brief shut-down remove-key isolate-battery lock-out chock relieve-pressure verify-isolation "
	live       = " clear-tools clear-people remove-locks tell-people restore reconnect-battery"
	proved     = " test-run leak-check slack-check hand-over"
)

// What is wrong with a step is told once: where several steps want the same
// one, at the first of them. The order itself is tested, with its sources, in
// package procedure.
func TestBreaches(t *testing.T) {
	for _, tt := range []struct {
		name, steps string
		want        []string
	}{
		{"in order", controlled + "mount-pump connect-feed" + live + proved, nil},
		{"a step missing is missed once", strings.Replace(controlled, "chock ", "", 1) + "support clean-point remove-nipple" + live + proved, []string{
			`step 10 (support): chock missing: no "chock" comes before it`,
		}},
		{"energy never given back, wanted by four steps", controlled + "mount-pump clear-tools clear-people remove-locks tell-people reconnect-battery" + proved, []string{
			`step 17 (test-run): restore missing: no "restore" comes before it`,
		}},
		{"too late", controlled + "connect-line prime-line" + live + proved, []string{
			`step 11 (connect-line): prime-line too late: "prime-line" comes only at step 12`,
		}},
		{"undone by giving energy back", controlled + "mount-pump" + live + " test-run leak-check slack-check fit-line clear-tools clear-people remove-locks tell-people restore reconnect-battery" + proved, []string{
			`step 21 (fit-line): brief too early: "brief" (step 3) no longer holds once energy is given back`,
		}},
		{"undone by work", controlled + "mount-pump clear-tools fit-line clear-people remove-locks tell-people restore reconnect-battery" + proved, []string{
			`step 15 (remove-locks): clear-tools too early: "clear-tools" (step 12) no longer holds once work is done again`,
		}},
		{"missing after", controlled + "support remove-wheel fit-line" + live + proved, []string{
			`step 12 (remove-wheel): refit-wheel missing: no "refit-wheel" follows it`,
		}},
		{"before it and not after it", controlled + "support remove-wheel torque refit-wheel" + live + proved + " re-torque", []string{
			`step 14 (refit-wheel): torque too early: "torque" (step 13) comes before it and not after it`,
		}},
		{"two releases, work after each", controlled + "mount-pump" + live + " fit-line" + live + " fit-line" + live + proved, []string{
			`step 18 (fit-line): brief too early: "brief" (step 3) no longer holds once energy is given back`,
			`step 25 (fit-line): brief too early: "brief" (step 3) no longer holds once energy is given back`,
		}},
	} {
		if got := breaches(t, tt.steps); !slices.Equal(got, tt.want) {
			t.Errorf("%s: got %s\nwant %s", tt.name, strings.Join(got, "\n"), strings.Join(tt.want, "\n"))
		}
	}
}

func TestRaisedBody(t *testing.T) {
	got := breaches(t, controlled+"clean-point"+live+proved, "raised_body: false", "raised_body: true")
	want := []string{`step 11 (clean-point): prop missing: no "prop" comes before it`}
	if !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
}

// A step that cannot be read serves nothing and hides nothing.
func TestUnreadableStep(t *testing.T) {
	got := breaches(t, strings.Replace(controlled, "lock-out", "lock-aut", 1)+"mount-pump"+live+proved)
	want := []string{`step 11 (mount-pump): lock-out missing: no "lock-out" comes before it`}
	if !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
	f := fromText(t, "procedure: [{step: lock-aut}, {text: nothing}, {step: [brief]}]", noParts)
	if got, want := f.Procedure[1].Place(), "step 2 (of no kind)"; got != want || len(f.StepKinds) != 0 {
		t.Errorf("got %q, kinds %q; want %q, none", got, f.StepKinds, want)
	}
}

package procedure_test

import (
	"slices"
	"testing"

	"kitgauge/checker/quantities/procedure"
)

// Own rows, as the trade has no published list.
func TestUndone(t *testing.T) {
	all := procedure.Job{Pump: true, Lines: true, Feed: true}
	if got := procedure.Undone(steps(sound), all); got != nil {
		t.Errorf("a whole procedure: got %q, want none", got)
	}
	if got, want := procedure.Undone(steps("brief lock-out prime-line hand-over"), all), steps("mount-pump remove-nipple fit-line connect-line fill prime connect-feed"); !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
	if got := procedure.Undone(nil, procedure.Job{}); got != nil {
		t.Errorf("nothing to fit: got %q, want none", got)
	}
}

func TestEarly(t *testing.T) {
	for i, e := range procedure.Early(steps(sound)) {
		if e != nil {
			t.Errorf("step %d of a sound procedure comes before %q", i, e)
		}
	}
	got := procedure.Early(steps("mount-pump prime fill test-run"))
	if !slices.Equal(got[1], []string{"fill"}) || got[0] != nil || got[3] != nil {
		t.Errorf("got %q, want fill at prime and nothing else", got)
	}
}

package facts_test

import (
	"fmt"
	"strings"
	"testing"

	"kitgauge/checker/facts"
	"kitgauge/checker/kit"
	"kitgauge/checker/quantities/motion"
	"kitgauge/checker/source"
)

// moving is a kit with spans over joints and a zone that they come near.
func moving(t *testing.T, joints int) *kit.Kit {
	t.Helper()
	var b strings.Builder
	b.WriteString("vehicle: {outline: {from: [-9 m, -9 m, 0 m], to: [9 m, 9 m, 3 m]}}\npump: {body: b0, position: [0 m, 0 m, 1 m]}\nbodies:\n- {id: b0}\n")
	for i := 1; i <= joints; i++ {
		fmt.Fprintf(&b, "- {id: b%d}\n", i)
	}
	b.WriteString("joints:\n")
	for i := 1; i <= joints; i++ {
		fmt.Fprintf(&b, "- {id: j%d, role: drawbar, kind: revolute, parent: b%d, child: b%d, pivot: [%d mm, 0 m, 1 m], axis: [0, %d, 1], range: {from: -10 deg, to: 10 deg}}\n", i, i-1, i, 100*i, i%2)
	}
	fmt.Fprintf(&b, "zones:\n- {id: z, kind: moving, shape: capsule, body: b0, from: [1 m, 100 mm, 1 m], to: [1 m, 200 mm, 1 m], radius: 10 mm}\npoints:\n- {id: P, body: b%d, position: [1 m, 0 m, 1 m]}\n- {id: Q, body: b%d, position: [1 m, 50 mm, 1 m]}\n", joints, joints)
	b.WriteString("lines:\n- {number: 1, point: P, single: true, last_free_length: 2 m}\n- {number: 2, point: Q, single: true, last_free_length: 2 m}\n")
	docs, problems := source.Parse("k", []byte(b.String()))
	if len(problems) > 0 {
		t.Fatal(problems[0])
	}
	k, unread := kit.Read(docs[0])
	if len(unread) > 0 {
		t.Fatal(unread[0])
	}
	none, _ := kit.NewCatalogue(nil, "")
	k.Resolve(none)
	return k
}

// With a budget of just what the searches of a kit take they all come to an
// end; with less, what is left is not known, with the reason, and a zone says
// so once.
func TestSearchBudget(t *testing.T) {
	const spent = "the kit is too large to search all of its motion: narrow the joint ranges, leave out zones that nothing comes near, or split the kit"
	_, left := facts.ComputeWithin(moving(t, 2), facts.MostBoxes)
	takes := facts.MostBoxes - left
	for _, tt := range []struct {
		name  string
		boxes int
		whole bool
	}{{"below", takes + 1, true}, {"at", takes, true}, {"above", takes - 1, false}, {"far above", 0, false}} {
		f, _ := facts.ComputeWithin(moving(t, 2), tt.boxes)
		known := len(f.Spans) == 2 && len(f.Approaches) > 0
		for _, s := range f.Spans {
			known = known && s.Longest.Known
			if !s.Longest.Known && s.Longest.Why != spent {
				t.Errorf("%s: span: %q", tt.name, s.Longest.Why)
			}
		}
		told := 0
		for _, a := range f.Approaches {
			known = known && a.Distance.Known
			if !a.Distance.Known {
				told++
				if a.Distance.Why != spent || a.Place() != "zone z" {
					t.Errorf("%s: %s: %q", tt.name, a.Place(), a.Distance.Why)
				}
			}
		}
		for _, z := range f.PumpZones {
			known = known && (z.Distance.Known || z.Distance.Why != spent)
		}
		if known != tt.whole || told > 1 {
			t.Errorf("%s: all known is %v, want %v; the zone is told %d times", tt.name, known, tt.whole, told)
		}
		if tt.boxes == 0 && (f.Spans[0].Slack.Known || told != 1) {
			t.Errorf("%s: something is known, or nothing is told", tt.name)
		}
	}
}

// As many joints may lie between two ends as a search takes.
func TestJointBudget(t *testing.T) {
	for joints := motion.MostJoints - 1; joints <= motion.MostJoints+1; joints++ {
		f, _ := facts.ComputeWithin(moving(t, joints), 20_000) // the search itself does not matter
		tooMany := f.Spans[0].Longest.Why == motion.ErrTooComplex.Error()
		if tooMany != (joints > motion.MostJoints) || len(f.Spans[0].Joints) != min(joints, motion.MostJoints) {
			t.Errorf("%d joints: %d named, %q", joints, len(f.Spans[0].Joints), f.Spans[0].Longest.Why)
		}
		if count := f.Joints[joints-1].Crossings.V; count != 2 {
			t.Errorf("%d joints: %d spans cross the last, want 2", joints, count)
		}
	}
}

// A computation that is stopped ends early, wherever that is.
func TestStopped(t *testing.T) {
	k := moving(t, 2)
	most := 0
	facts.Compute(k, facts.Options{Stop: func() bool { most++; return false }})
	for n := range most {
		calls := 0
		facts.Compute(k, facts.Options{Stop: func() bool { calls++; return calls > n }})
		if calls > n+8 { // the loops that are open end, one after the other
			t.Errorf("stopped at %d, and asked %d times", n, calls)
		}
	}
}

package procedure_test

import (
	"errors"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"kitgauge/checker/quantities/procedure"
)

// sound is a whole procedure in order, one step of each kind in use.
const sound = "protect-eyes protect-hands brief shut-down remove-key isolate-battery lock-out relieve-pressure verify-isolation " +
	"chock support remove-wheel drill mount-pump clean-point remove-nipple fit-line prime-line connect-line fill prime connect-feed " +
	"refit-wheel torque clear-tools clear-people remove-locks tell-people restore reconnect-battery test-run leak-check slack-check hand-over re-torque"

// control and release are the sequences of a temporary release, (f)(1).
const (
	control = "brief shut-down remove-key isolate-battery lock-out relieve-pressure verify-isolation"
	release = "clear-tools clear-people remove-locks tell-people restore reconnect-battery"
)

func steps(parts ...string) []string { return strings.Fields(strings.Join(parts, " ")) }

func check(t testing.TB, kinds []string, c procedure.Conditions) []procedure.Breach {
	t.Helper()
	breaches, err := procedure.Check(kinds, c)
	if err != nil {
		t.Fatalf("Check(%q): %v", kinds, err)
	}
	return breaches
}

func brief(breaches []procedure.Breach) []string {
	var list []string
	for _, b := range breaches {
		list = append(list, b.Kind+" wants "+b.Needs+": "+b.Fault.String())
	}
	return list
}

func TestSoundProcedureHasNoBreach(t *testing.T) {
	if got := brief(check(t, steps(sound), procedure.Conditions{})); got != nil {
		t.Errorf("got %q, want none", got)
	}
}

func TestEveryAdjacentSwapInThePublishedSequencesIsFound(t *testing.T) {
	kinds := steps(sound)
	for _, list := range [][]struct{ clause, kind string }{applying, releasing} {
		for i := range len(list) - 1 {
			first, then := list[i], list[i+1]
			if first.kind == "clear-tools" {
				continue // (e)(1) and (e)(2)(i): no order between them in the text
			}
			swapped := slices.Clone(kinds)
			a, b := slices.Index(swapped, first.kind), slices.Index(swapped, then.kind)
			if b != a+1 {
				t.Fatalf("%q and %q are not neighbours", first.kind, then.kind)
			}
			swapped[a], swapped[b] = swapped[b], swapped[a]
			if len(check(t, swapped, procedure.Conditions{})) == 0 {
				t.Errorf("%s before %s: got no breach (29 CFR 1910.147 %s, then %s)", then.kind, first.kind, first.clause, then.clause)
			}
		}
	}
}

// firstTouch is the index of the first step that touches the vehicle.
func firstTouch(kinds []string) int {
	return slices.IndexFunc(kinds, func(name string) bool {
		k, _ := procedure.Lookup(name)
		return k.Touches
	})
}

func TestEachControlElementMissingOrLate(t *testing.T) {
	kinds := steps(sound)
	touch := kinds[firstTouch(kinds)]
	for _, row := range applying {
		at := slices.Index(kinds, row.kind)
		without := slices.Delete(slices.Clone(kinds), at, at+1)
		if got, want := brief(check(t, without, procedure.Conditions{})), touch+" wants "+row.kind+": missing"; !slices.Contains(got, want) {
			t.Errorf("without %s: got %q, want %q (29 CFR 1910.147 %s)", row.kind, got, want, row.clause)
		}
		late := slices.Insert(slices.Clone(without), firstTouch(without)+1, row.kind)
		if got, want := brief(check(t, late, procedure.Conditions{})), touch+" wants "+row.kind+": too late"; !slices.Contains(got, want) {
			t.Errorf("%s after the first touch: got %q, want %q (29 CFR 1910.147 %s)", row.kind, got, want, row.clause)
		}
	}
}

func TestCheck(t *testing.T) {
	raised := procedure.Conditions{RaisedBody: true}
	start := "protect-eyes protect-hands chock " + control
	end := release + " test-run leak-check slack-check hand-over"
	tests := []struct {
		name, source string
		kinds        []string
		c            procedure.Conditions
		want         []string
	}{
		{"nothing to do", "limit", nil, procedure.Conditions{}, nil},
		{"only notices", "limit", steps("warn warn"), procedure.Conditions{}, nil},
		{"unread steps serve nothing", "limit", []string{"", "chock", ""}, procedure.Conditions{}, nil},
		{
			"under a body that is not propped", "printed: 29 CFR 1926.600(a)(3)(i), substantially blocked before work under it",
			steps(start, "fit-line", end), raised,
			[]string{"fit-line wants prop: missing"},
		},
		{
			"propped after the work began", "printed: 29 CFR 1926.600(a)(3)(i)",
			steps(start, "fit-line prop", end), raised,
			[]string{"fit-line wants prop: too late"},
		},
		{"propped", "printed: 29 CFR 1926.600(a)(3)(i)", steps(start, "prop fit-line", end), raised, nil},
		{
			"wheel off without stands", "printed: 29 CFR 1910.244(a)(2)(iii), secured at once after lifting",
			steps(start, "remove-wheel refit-wheel torque", end, "re-torque"), procedure.Conditions{},
			[]string{"remove-wheel wants support: missing"},
		},
		{
			"wheel on, never tightened again", "printed: DVSA, re-check after 40 to 80 km",
			steps(start, "support remove-wheel refit-wheel torque", end), procedure.Conditions{},
			[]string{"refit-wheel wants re-torque: missing"},
		},
		{
			"torque before the wheel is on", "common practice, no source",
			steps(start, "support remove-wheel torque refit-wheel", end, "re-torque"), procedure.Conditions{},
			[]string{"refit-wheel wants torque: too early"},
		},
		{
			"wheel nuts after hand-over", "common practice, no source",
			steps(start, "support remove-wheel torque refit-wheel", end, "torque re-torque"), procedure.Conditions{},
			[]string{"hand-over wants torque: too late"},
		},
		{
			"no gloves", "printed: 29 CFR 1910.138(a)",
			steps("protect-eyes chock", control, "prime", end), procedure.Conditions{},
			[]string{"relieve-pressure wants protect-hands: missing"},
		},
		{
			"nipple out of a dirty point, empty line connected", "common practice, no source",
			steps(start, "remove-nipple connect-line clean-point prime-line", end), procedure.Conditions{},
			[]string{"remove-nipple wants clean-point: too late", "connect-line wants prime-line: too late"},
		},
		{
			"tools cleared, then more work", "printed: 29 CFR 1910.147(e)(1), before devices are removed",
			steps(start, "clear-tools mount-pump clear-people remove-locks tell-people restore reconnect-battery test-run leak-check slack-check hand-over"), procedure.Conditions{},
			[]string{"remove-locks wants clear-tools: too early", "restore wants clear-tools: too early", "reconnect-battery wants clear-tools: too early"},
		},
		{
			"people told before the tools are clear", "printed: 29 CFR 1910.147(e)(1), (e)(2)",
			steps(start, "mount-pump clear-people remove-locks tell-people clear-tools restore reconnect-battery test-run leak-check slack-check hand-over"), procedure.Conditions{},
			[]string{"remove-locks wants clear-tools: too late", "clear-tools wants tell-people: too early"},
		},
		{
			"locks never taken off, nobody sees whether people stand clear", "printed: 29 CFR 1910.147(e)(2)(i), (e)(3)",
			steps(start, "mount-pump clear-tools tell-people restore reconnect-battery test-run leak-check slack-check hand-over"), procedure.Conditions{},
			[]string{"lock-out wants remove-locks: missing", "restore wants clear-people: missing", "reconnect-battery wants clear-people: missing"},
		},
		{
			"people told at the start as well", "from memory: 29 CFR 1910.147(c)(9)",
			steps("tell-people", start, "mount-pump", end), procedure.Conditions{}, nil,
		},
		{
			"feed connected to a live battery", "common practice, no source",
			steps(start, release, "connect-feed test-run leak-check slack-check hand-over"), procedure.Conditions{},
			[]string{
				"connect-feed wants brief: too early",
				"connect-feed wants reconnect-battery: too early",
				"test-run wants restore: too early",
				"test-run wants reconnect-battery: too early",
				"leak-check wants restore: too early",
				"leak-check wants reconnect-battery: too early",
				"slack-check wants restore: too early",
				"slack-check wants reconnect-battery: too early",
				"hand-over wants restore: too early",
				"hand-over wants reconnect-battery: too early",
			},
		},
		{
			"handed over untried", "common practice, no source",
			steps(start, "mount-pump", release, "hand-over"), procedure.Conditions{},
			[]string{"hand-over wants test-run: missing", "hand-over wants leak-check: missing", "hand-over wants slack-check: missing"},
		},
		{
			"temporary release, control applied again", "printed: 29 CFR 1910.147(f)(1)(i) to (v)",
			steps(start, "mount-pump connect-feed", release, "test-run", control, "fit-line", end), procedure.Conditions{}, nil,
		},
		{
			"temporary release, control not applied again", "printed: 29 CFR 1910.147(f)(1)(v)",
			steps(start, "mount-pump connect-feed", release, "test-run fit-line fit-line", end), procedure.Conditions{},
			[]string{"fit-line wants brief: too early"},
		},
		{
			"temporary release, lock left off", "printed: 29 CFR 1910.147(f)(1)(v), (d)(4)",
			steps(start, "mount-pump connect-feed", release, "test-run brief shut-down remove-key isolate-battery relieve-pressure verify-isolation fit-line", end), procedure.Conditions{},
			[]string{"fit-line wants lock-out: too early"},
		},
		{
			"temporary release with tools lying about", "printed: 29 CFR 1910.147(f)(1)(i)",
			steps(start, "mount-pump connect-feed", release, "test-run", control, "fit-line clear-people remove-locks tell-people restore reconnect-battery test-run leak-check slack-check hand-over"), procedure.Conditions{},
			[]string{"remove-locks wants clear-tools: too early", "restore wants clear-tools: too early", "reconnect-battery wants clear-tools: too early"},
		},
		{
			"proved only before the last release", "common practice, no source",
			steps(start, "mount-pump", release, "test-run leak-check slack-check", control, "fit-line", release, "hand-over"), procedure.Conditions{},
			[]string{"hand-over wants test-run: too early", "hand-over wants leak-check: too early", "hand-over wants slack-check: too early"},
		},
		{
			"topped up and tightened on the live vehicle", "common practice, no source",
			steps(start, "mount-pump", release, "fill torque test-run leak-check slack-check hand-over"), procedure.Conditions{}, nil,
		},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			if got := brief(check(t, tt.kinds, tt.c)); !slices.Equal(got, tt.want) {
				t.Errorf("%q:\n got %q\nwant %q (%s)", tt.kinds, got, tt.want, tt.source)
			}
		})
	}
}

func TestBreachNamesBothPlaces(t *testing.T) {
	got := check(t, steps("fill brief"), procedure.Conditions{})
	if len(got) != 7 || got[0].Step != 0 || got[0].Kind != "fill" || got[0].Needs != "brief" || got[0].At != 1 || got[1].At != -1 {
		t.Errorf("got %+v, want fill at 0 let down by brief at 1 and six missing kinds at -1", got)
	}
}

// With every kind present once, a permutation is sound exactly when no rule's
// edge points backwards; the edges come from the table, not from Check.
func TestCheckAgreesWithTheEdges(t *testing.T) {
	kinds := steps(sound)
	rapid.Check(t, func(t *rapid.T) {
		list := permuted(t, kinds)
		if rapid.Bool().Draw(t, "start sound") {
			var ordered []string
			for _, i := range procedure.Order(list, procedure.Conditions{}) {
				ordered = append(ordered, list[i])
			}
			list = ordered
			i := rapid.IntRange(0, len(list)-2).Draw(t, "swap")
			list[i], list[i+1] = list[i+1], list[i]
		}
		backwards := false
		for i, then := range list {
			for _, first := range list[i+1:] {
				backwards = backwards || procedure.Precedes(first, then, procedure.Conditions{})
			}
		}
		breaches, err := procedure.Check(list, procedure.Conditions{})
		if err != nil {
			t.Fatal(err)
		}
		if (len(breaches) > 0) != backwards {
			t.Fatalf("%q: got breaches %q, want some: %v", list, brief(breaches), backwards)
		}
	})
}

func permuted(t *rapid.T, kinds []string) []string {
	return rapid.Permutation(slices.Clone(kinds)).Draw(t, "kinds")
}

func TestUnknownKind(t *testing.T) {
	tests := []struct{ kind, nearest string }{
		{"lockout", "lock-out"},
		{"Lock_Out", "lock-out"},
		{"retorque", "re-torque"},
		{"handover", "hand-over"},
		{"isolate batery", "isolate-battery"},
		{"chocks", "chock"},
	}
	for _, tt := range tests {
		_, err := procedure.Check([]string{"brief", tt.kind}, procedure.Conditions{})
		var unknown *procedure.UnknownKindError
		if !errors.As(err, &unknown) {
			t.Errorf("Check with %q: got error %v, want an unknown kind", tt.kind, err)
			continue
		}
		if unknown.Step != 1 || unknown.Nearest != tt.nearest || !strings.HasPrefix(err.Error(), "step 2: ") {
			t.Errorf("Check with %q: got %+v %q, want step 1 and nearest %q", tt.kind, unknown, err, tt.nearest)
		}
	}
}

func FuzzCheck(f *testing.F) {
	f.Add(sound, true)
	f.Add("lockout fit-line", false)
	f.Fuzz(func(t *testing.T, text string, raised bool) {
		kinds := strings.Split(text, " ")
		breaches, err := procedure.Check(kinds, procedure.Conditions{RaisedBody: raised})
		var unknown *procedure.UnknownKindError
		if err != nil {
			if !errors.As(err, &unknown) {
				t.Fatalf("got error %v, want an unknown kind", err)
			}
			if _, ok := procedure.Lookup(unknown.Nearest); !ok {
				t.Fatalf("nearest %q is no kind", unknown.Nearest)
			}
			return
		}
		if again, _ := procedure.Check(kinds, procedure.Conditions{RaisedBody: raised}); !slices.Equal(again, breaches) {
			t.Fatalf("a second time %+v, want %+v", again, breaches)
		}
		for _, b := range breaches {
			if b.Step < 0 || b.Step >= len(kinds) || b.At >= len(kinds) || (b.At < 0) != (b.Fault == procedure.Missing) {
				t.Fatalf("breach %+v points outside the %d steps", b, len(kinds))
			}
		}
	})
}

func BenchmarkCheck(b *testing.B) {
	kinds := steps(sound)
	for range 84 {
		kinds = slices.Insert(kinds, 18, "fit-line", "prime-line", "connect-line")
	}
	for b.Loop() {
		if _, err := procedure.Check(kinds, procedure.Conditions{}); err != nil {
			b.Fatal(err)
		}
	}
}

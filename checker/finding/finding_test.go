package finding_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"kitgauge/checker/finding"
	"kitgauge/checker/source"
)

// at makes a finding of a rule at every item of a list of the text, as the
// engine does, and gives them their fingerprints.
func at(t testing.TB, text, list, rule string) []finding.Finding {
	t.Helper()
	docs, problems := source.Parse("kit.yaml", []byte(text))
	if len(problems) > 0 {
		t.Fatal(problems[0])
	}
	var found []finding.Finding
	for _, n := range docs[0].Root.Get(list).Items {
		found = append(found, finding.Finding{
			Rule: rule, Status: finding.Violated, Pos: n.Pos(), Pointer: n.Pointer(), Identity: n.Identity(),
			Message: fmt.Sprintf("stands on line %d", n.Line),
		})
	}
	finding.Sort(found)
	finding.Fingerprint("WS-1", found)
	return found
}

func fingerprints(list []finding.Finding) []string {
	var out []string
	for _, f := range list {
		out = append(out, f.Identity+" "+f.Fingerprint)
	}
	slices.Sort(out)
	return out
}

// Lines put in above, another style and another order change no fingerprint.
func TestFingerprintSurvivesMoves(t *testing.T) {
	const before = "points:\n  - {id: A}\n  - {id: B}\n  - {id: C}\n"
	want := fingerprints(at(t, before, "points", "ports/point-has-one-line"))
	for name, after := range map[string]string{
		"lines above":    "# a remark\n\nheader: {number: WS-1}\n" + before,
		"another style":  "points: [{id: A}, {id: B}, {id: C}]",
		"other order":    "points:\n  - {id: C}\n  - {id: A}\n  - {id: B}\n",
		"other members":  "points:\n  - {name: pin, id: A}\n  - {id: B, note: x}\n  - {id: C}\n",
		"as JSON":        `{"points": [{"id": "B"}, {"id": "A"}, {"id": "C"}]}`,
		"another indent": "points:\n- id: A\n- id: B\n- id: C\n",
	} {
		if got := fingerprints(at(t, after, "points", "ports/point-has-one-line")); !slices.Equal(got, want) {
			t.Errorf("%s: got %q\nwant %q", name, got, want)
		}
	}
}

// Whatever else is in the file and wherever an item stands, it keeps its
// fingerprint.
func TestFingerprintProperty(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		ids := rapid.SliceOfNDistinct(rapid.StringMatching(`[A-Z][A-Z0-9/~]{0,4}`), 1, 8, func(s string) string { return s }).Draw(rt, "ids")
		write := func(ids []string) string {
			var b strings.Builder
			b.WriteString(strings.Repeat("# remark\n", rapid.IntRange(0, 3).Draw(rt, "lines")) + "points:\n")
			for _, id := range ids {
				fmt.Fprintf(&b, "  - {id: %q}\n", id)
			}
			return b.String()
		}
		want := fingerprints(at(t, write(ids), "points", "a/b"))
		if got := fingerprints(at(t, write(rapid.Permutation(ids).Draw(rt, "order")), "points", "a/b")); !slices.Equal(got, want) {
			rt.Errorf("got %q\nwant %q", got, want)
		}
	})
}

// The kit, the rule, the place and the status tell fingerprints apart, and so
// does the order of findings that share all of them.
func TestFingerprintsDiffer(t *testing.T) {
	base := finding.Finding{Rule: "a/b", Identity: "/lines/number=1", Status: finding.Violated}
	rule, place, status := base, base, base
	rule.Rule, place.Identity, status.Status = "a/c", "/lines/number=2", finding.NotEvaluated
	list := []finding.Finding{base, base, base, rule, place, status}
	finding.Fingerprint("WS-1", list)
	other := []finding.Finding{base}
	finding.Fingerprint("WS-2", other)
	seen := map[string]bool{}
	for _, f := range append(list, other...) {
		if len(f.Fingerprint) != 32 || seen[f.Fingerprint] {
			t.Errorf("fingerprint %q of %s at %s is short or not its own", f.Fingerprint, f.Rule, f.Identity)
		}
		seen[f.Fingerprint] = true
	}
	again := slices.Clone(list)
	finding.Fingerprint("WS-1", again)
	for i := range list {
		if again[i].Fingerprint != list[i].Fingerprint {
			t.Errorf("finding %d has another fingerprint the second time", i)
		}
	}
	changed := base
	changed.Message, changed.Severity, changed.Pos.Line = "another value", finding.Major, 99
	one := []finding.Finding{changed}
	finding.Fingerprint("WS-1", one)
	if one[0].Fingerprint != list[0].Fingerprint {
		t.Error("a value, a severity or a line changes the fingerprint")
	}
}

// Findings stand in the order of the file, then of the rules, whatever order
// they were found in.
func TestSort(t *testing.T) {
	place := func(file string, line, column int, rule, identity, message, place string) finding.Finding {
		return finding.Finding{Pos: source.Pos{File: file, Line: line, Column: column}, Rule: rule, Identity: identity, Message: message, Place: place}
	}
	want := []finding.Finding{
		place("a.yaml", 0, 0, "file/syntax", "", "", ""),
		place("a.yaml", 2, 9, "z/z", "", "", ""),
		place("a.yaml", 10, 1, "a/a", "", "", ""),
		place("a.yaml", 10, 2, "a/a", "/a", "", ""),
		place("a.yaml", 10, 2, "a/b", "/a", "m", "outlet 1"),
		place("a.yaml", 10, 2, "a/b", "/a", "n", "outlet 1"),
		place("a.yaml", 10, 2, "a/b", "/a", "m", "outlet 2"),
		place("a.yaml", 10, 2, "a/b", "/a", "m", "outlet 10"),
		place("a.yaml", 10, 2, "a/b", "/b", "a", ""),
		place("b.yaml", 1, 1, "a/a", "", "", ""),
	}
	rapid.Check(t, func(t *rapid.T) {
		got := rapid.Permutation(want).Draw(t, "order")
		finding.Sort(got)
		for i := range want {
			if fmt.Sprint(got[i]) != fmt.Sprint(want[i]) {
				t.Fatalf("place %d: got %+v, want %+v", i, got[i], want[i])
			}
		}
	})
}

func TestSeverity(t *testing.T) {
	for i, word := range []string{"none", "minor", "major", "critical"} {
		s, err := finding.ParseSeverity(word)
		if err != nil || s != finding.Severity(i) || s.String() != word || finding.Severities()[i] != word {
			t.Errorf("%q: got %v, %v", word, s, err)
		}
	}
	if _, err := finding.ParseSeverity("Critical"); err == nil || err.Error() != `"Critical" is no severity: it is critical, major, minor or none` {
		t.Errorf("got %v", err)
	}
}

func TestGate(t *testing.T) {
	for _, tt := range []struct {
		severity finding.Severity
		status   finding.Status
		gate     finding.Severity
		want     bool
	}{
		{finding.Major, finding.Violated, finding.Major, true},
		{finding.Critical, finding.Violated, finding.Major, true},
		{finding.Minor, finding.Violated, finding.Major, false},
		{finding.Major, finding.NotEvaluated, finding.Major, true},
		{finding.Critical, finding.Conceded, finding.Minor, false},
		{finding.Critical, finding.Known, finding.Minor, false},
		{finding.Critical, finding.Violated, finding.None, false},
	} {
		f := finding.Finding{Severity: tt.severity, Status: tt.status}
		if got := f.AtOrAbove(tt.gate); got != tt.want {
			t.Errorf("%v, %v, gate %v: got %v, want %v", tt.severity, tt.status, tt.gate, got, tt.want)
		}
	}
}

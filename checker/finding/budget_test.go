package finding_test

import (
	"fmt"
	"testing"

	"pgregory.net/rapid"

	"kitgauge/checker/finding"
	"kitgauge/checker/source"
)

// Below and at the most nothing is cut; above it, what weighs least and comes
// last.
func TestCut(t *testing.T) {
	of := func(name string, s finding.Severity, status finding.Status) finding.Finding {
		return finding.Finding{Rule: "a/" + name, Severity: s, Status: status}
	}
	list := []finding.Finding{
		of("conceded", finding.Critical, finding.Conceded),
		of("minor", finding.Minor, finding.Violated),
		of("major", finding.Major, finding.NotEvaluated),
		of("later", finding.Major, finding.Violated),
		of("critical", finding.Critical, finding.Violated),
	}
	for _, tt := range []struct {
		most        int
		kept, words string
		worst       finding.Severity
	}{
		{6, "a/conceded a/minor a/major a/later a/critical ", "", finding.None},
		{5, "a/conceded a/minor a/major a/later a/critical ", "", finding.None},
		{4, "a/minor a/major a/later a/critical ", "1 conceded or known", finding.None},
		{3, "a/major a/later a/critical ", "1 minor, 1 conceded or known", finding.Minor},
		{2, "a/major a/critical ", "1 major, 1 minor, 1 conceded or known", finding.Major},
		{0, "", "1 critical, 2 major, 1 minor, 1 conceded or known", finding.Critical},
	} {
		kept, out := finding.Cut(list, tt.most)
		got := ""
		for _, f := range kept {
			got += f.Rule + " "
		}
		if words, worst := finding.InWords(out); got != tt.kept || words != tt.words || worst != tt.worst {
			t.Errorf("%d: got %q, %q, %v; want %q, %q, %v", tt.most, got, words, worst, tt.kept, tt.words, tt.worst)
		}
	}
}

// Whatever is cut, a gate lets no more through than with the whole list.
func TestCutKeepsGate(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		list := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) finding.Finding {
			return finding.Finding{
				Rule:     rapid.SampledFrom([]string{"a/a", "a/b"}).Draw(t, "rule"),
				Severity: finding.Severity(rapid.IntRange(1, 3).Draw(t, "severity")),
				Status:   finding.Status(rapid.IntRange(1, 4).Draw(t, "status")),
			}
		}), 0, 12).Draw(t, "list")
		most := rapid.IntRange(0, 12).Draw(t, "most")
		kept, out := finding.Cut(list, most)
		if len(kept)+len(out) != len(list) || len(kept) > most {
			t.Fatalf("%d of %d are kept, %d counted; at most %d", len(kept), len(list), len(out), most)
		}
		_, worst := finding.InWords(out)
		fails := func(list []finding.Finding, gate finding.Severity) bool {
			for _, f := range list {
				if f.AtOrAbove(gate) {
					return true
				}
			}
			return false
		}
		for gate := finding.None; gate <= finding.Critical; gate++ {
			after := fails(kept, gate) || gate != finding.None && worst >= gate
			if before := fails(list, gate); before != after {
				t.Fatalf("gate %v: %v before, %v after", gate, before, after)
			}
		}
	})
}

// Of a rule whose findings are not all listed nobody can say that a
// concession covers nothing, or that a known finding is gone.
func TestOmittedRules(t *testing.T) {
	node := func() *source.Node {
		docs, _ := source.Parse("kit.yaml", []byte("concessions: [{}]"))
		return docs[0].Root.At("concessions", "0")
	}()
	omitted := []finding.Omitted{{Rule: "a/cut", Severity: finding.Minor, Status: finding.Violated, Count: 7}}
	given := []finding.Given{
		{Rule: "a/cut", Place: "line 1", Reason: "r", GrantedBy: "g", Until: "2027-01-01", Node: node},
		{Rule: "a/whole", Place: "line 1", Reason: "r", GrantedBy: "g", Until: "2027-01-01", Node: node},
	}
	list := finding.Concede(nil, omitted, given, "2026-11-25")
	if len(list) != 1 || list[0].Rule != finding.ConcessionUnused || list[0].Place != "concession for a/whole" {
		t.Errorf("got %+v, want the concession for a/whole alone", list)
	}
	gone := finding.MatchBaseline(nil, omitted, "K", []finding.Entry{
		{Fingerprint: fmt.Sprintf("%032x", 1), Rule: "a/cut", Kit: "K"},
		{Fingerprint: fmt.Sprintf("%032x", 2), Rule: "a/whole", Kit: "K"},
	}, 0.1)
	if len(gone) != 1 || gone[0].Rule != "a/whole" {
		t.Errorf("got %v gone, want that of a/whole alone", gone)
	}
}

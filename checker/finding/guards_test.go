package finding_test

import (
	"testing"
	"time"

	"kitgauge/checker/finding"
	"kitgauge/checker/source"
)

// TestConcessionGuards: what protects people, a term of years and a rule that
// there is not cover nothing, and each is said.
func TestConcessionGuards(t *testing.T) {
	whole := func(g finding.Given) finding.Given {
		g.Place, g.Reason, g.GrantedBy, g.Node = "line 1", "it is guided", "R. Okafor", new(source.Node)
		g.Longest = 366 * 24 * time.Hour
		return g
	}
	for _, tt := range []struct {
		name, want string
		given      finding.Given
	}{
		{"within a year", "", finding.Given{Rule: "a/one", Until: "2027-11-25"}},
		{"more than a year", finding.ConcessionTooLong, finding.Given{Rule: "a/one", Until: "2027-11-27"}},
		{"ten years", finding.ConcessionTooLong, finding.Given{Rule: "a/one", Until: "2036-11-25"}},
		{"what protects people", finding.ConcessionForbidden, finding.Given{Rule: "a/one", Until: "2027-03-31", Never: true}},
		{"a rule that there is not", finding.ConcessionMisspelt, finding.Given{Rule: "a/won", Until: "2027-03-31", Misspelt: true, Nearest: "a/one"}},
	} {
		found := []finding.Finding{{Rule: "a/one", Place: "line 1", Severity: finding.Major, Status: finding.Violated}}
		list := finding.Concede(found, nil, []finding.Given{whole(tt.given)}, "2026-11-25")
		covered, said := false, ""
		for _, f := range list {
			covered = covered || f.Status == finding.Conceded
			if f.Rule != "a/one" {
				said = f.Rule
			}
		}
		if said != tt.want || covered != (tt.want == "") {
			t.Errorf("%s: got %q, covered %t, want %q", tt.name, said, covered, tt.want)
		}
	}
}

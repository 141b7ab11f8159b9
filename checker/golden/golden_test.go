package golden_test

import (
	"testing"

	"kitgauge/checker/golden"
)

// Only what every new rule changes is levelled, and levelling twice is
// levelling once.
func TestSteady(t *testing.T) {
	for _, tt := range []struct{ text, want string }{
		{"nothing found: 200 rules, 3014 checks; within the gate", "nothing found: N rules, N checks; within the gate"},
		{`"rules": 200, "checks": 3014, "points": 34`, `"rules": 0, "checks": 0, "points": 34`},
		{"rules/power.yaml e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855", "rules/power.yaml SHA-256"},
		{"fingerprint 0123456789abcdef0123456789abcdef", "fingerprint 0123456789abcdef0123456789abcdef"},
		{"checked  0 rules, 0 checks", "checked  0 rules, 0 checks"},
		{"3 critical, 2 major", "3 critical, 2 major"},
	} {
		got := string(golden.Steady([]byte(tt.text)))
		if got != tt.want {
			t.Errorf("%q: got %q, want %q", tt.text, got, tt.want)
		}
		if again := string(golden.Steady([]byte(got))); again != got {
			t.Errorf("%q: levelled twice it is %q", tt.text, again)
		}
	}
}

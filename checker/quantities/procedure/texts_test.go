package procedure_test

import (
	"testing"

	"kitgauge/checker/quantities/procedure"
)

// The words are of the workshop; the rows are own. Each kind with a text of
// another hand that is right, and one that is not.
func TestContradiction(t *testing.T) {
	for _, tt := range []struct {
		kind, text string
		bad        bool
	}{
		{"isolate-battery", "Open the isolator; take the earthed lead off first.", false},
		{"isolate-battery", "Disconnect the earthed lead.", false},
		{"isolate-battery", "Open the isolator and see that it cannot be closed.", false},
		{"isolate-battery", "Leave the isolator closed.", true},
		{"isolate-battery", "Do not open the isolator.", true},
		{"isolate-battery", "Close the isolator; the earthed lead goes on last.", true},
		{"reconnect-battery", "Open the isolator; the earthed lead comes off first.", true},
		{"reconnect-battery", "Close the isolator; the earthed lead goes on last.", false},
		{"lock-out", "Lock and tag the isolator.", false},
		{"lock-out", "Whoever fitted the lock takes it off.", true},
		{"lock-out", "Put a padlock on the isolator.", false},
		{"remove-locks", "Lock and tag the isolator.", true},
		{"remove-locks", "Whoever fitted a lock takes it off; the articulation lock too.", false},
		{"remove-key", "Leave the key in the lock.", true},
		{"remove-key", "Take the key out; whoever works on the vehicle keeps it.", false},
		{"shut-down", "Leave the engine running.", true},
		{"shut-down", "Park the towing vehicle on level ground and stop its engine.", false},
		{"relieve-pressure", "Keep the air suspension under pressure.", true},
		{"relieve-pressure", "Work the levers until boom and bucket circuits are without pressure.", false},
		{"verify-isolation", "Try lamps and brake: nothing may move.", false},
		{"verify-isolation", "Not needed on this vehicle.", true},
		{"chock", "Release the brake.", true},
		{"fill", "Drain the reservoir.", true},
		{"connect-feed", "Connect the feed, battery still off.", false},
		{"prop", "Raise the hopper with the crane, set and lock its prop, then work beneath.", false},
		{"warn", "Never leave it closed.", false},
		{"remove-wheel", "Put both front wheels back on.", true},
		{"refit-wheel", "Take both front wheels off.", true},
		{"isolate-battery", "", false},
	} {
		if got := procedure.Contradiction(tt.kind, tt.text); (got != "") != tt.bad {
			t.Errorf("%s: %q: got %q, want a contradiction: %t", tt.kind, tt.text, got, tt.bad)
		}
	}
}

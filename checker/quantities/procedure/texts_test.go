package procedure_test

import (
	"slices"
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
		{"isolate-battery", "Open the isolator; take the live lead off first.", true},
		{"isolate-battery", "Take the earthed lead off first, the positive one last.", false},
		{"isolate-battery", "Take the earthed lead off after the live one.", true},
		{"isolate-battery", "Take the negative lead off before the positive one.", false},
		{"reconnect-battery", "Close the isolator; the earthed lead goes on first.", true},
		{"reconnect-battery", "Put the positive lead on first, then close the isolator.", false},
		{"reconnect-battery", "The ground lead goes on before the plus.", true},
	} {
		if got := procedure.Contradiction(tt.kind, tt.text); (got != "") != tt.bad {
			t.Errorf("%s: %q: got %q, want a contradiction: %t", tt.kind, tt.text, got, tt.bad)
		}
	}
}

// What has a hand put to pressure, and what forbids it; rows own.
func TestHandToPressure(t *testing.T) {
	for text, want := range map[string]string{
		"Put a hand over the end to feel for pressure.":                                       "put a hand over the end",
		"Hold a hand over an end that is under pressure.":                                     "hold a hand over an end",
		"Look over every joint, feel for leaks with your fingers.":                            "feel for leaks",
		"Never hold a hand over an end that is under pressure: grease goes through the skin.": "",
		"Nobody puts a hand there; do not feel for leaks.":                                    "",
		"Feel for leaks with a piece of card.":                                                "",
		"Put a hand on the rail.":                                                             "",
		"Keep the hands away from ends under pressure.":                                       "",
		"": "",
	} {
		if got := procedure.HandToPressure(text); got != want {
			t.Errorf("%q: got %q, want %q", text, got, want)
		}
	}
	for text, bad := range map[string]bool{
		"Drain the air suspension; the hydraulics of hopper and plough stay under pressure.":   true,
		"Drain the air; the hydraulics stay under pressure and are locked at the valve.":       false,
		"Drain the air suspension and the hydraulics until no circuit is left under pressure.": false,
		"Drain the hydraulics; nothing stays under pressure.":                                  false,
		"Relieve the hydraulics. The tyres stay under pressure.":                               false,
	} {
		if got := procedure.Contradiction("relieve-pressure", text); (got != "") != bad {
			t.Errorf("%q: got %q, want a contradiction: %t", text, got, bad)
		}
	}
}

// Exchanged texts, a copied one, and texts of which nothing can be told; what
// a step of each kind speaks of is common practice, no source; rows own.
func TestMisplaced(t *testing.T) {
	const chock, stands = "Set the brake, chock the rear wheels.", "Lift the front axle and put it on stands."
	for _, tt := range []struct {
		kinds, texts []string
		want         []int
	}{
		{[]string{"chock", "support"}, []string{chock, stands}, []int{-1, -1}},
		{[]string{"chock", "support"}, []string{stands, chock}, []int{1, 0}},
		{[]string{"chock", "support"}, []string{chock, chock}, []int{-1, 0}},
		{[]string{"chock", "support"}, []string{"Rad sichern.", "Aufbocken."}, []int{-1, -1}},
		{[]string{"prime", "prime-line"}, []string{"Fill every line until grease shows at its end.", "Bleed the pump."}, []int{1, 0}},
		{[]string{"warn", "chock"}, []string{chock, "Never hold a hand over an end."}, []int{-1, -1}},
	} {
		if got := procedure.Misplaced(tt.kinds, tt.texts); !slices.Equal(got, tt.want) {
			t.Errorf("%q %q: got %v, want %v", tt.kinds, tt.texts, got, tt.want)
		}
	}
}

// The wheels that stay on the ground are chocked (HSE, Working under vehicles; from memory); rows own.
func TestLiftedEnds(t *testing.T) {
	kinds := []string{"chock", "support", "remove-wheel", "refit-wheel"}
	for _, tt := range []struct {
		chock, support, remove string
		odd                    int // the step that is named, -1 for none
	}{
		{"Chock the front wheels on both sides.", "Lift the front axle, put it on stands.", "Take both front wheels off.", 0},
		{"Chock the rear wheels on both sides.", "Lift the front axle, put it on stands.", "Take both front wheels off.", -1},
		{"Chock the rear wheels.", "Jack up the rear axle and put it on stands.", "Take both front wheels off.", 1},
		{"Chock the rear wheels.", "Jack up the front axle and put it on stands.", "Take both rear wheels off.", 2},
		{"Chock all wheels.", "Lift the front axle, put it on stands.", "Take both wheels off.", -1},
		{"Chock the wheels that stay on the ground.", "Lift the steered axle.", "Take both front wheels off.", -1},
		{"Chock the front wheels, then the rear wheels.", "Lift the front axle.", "", -1},
		{"Chock the rear wheels.", "Jack up the rear axle and put it on stands.", "", 0},
	} {
		texts := []string{tt.chock, tt.support, tt.remove, "Put the front wheels back."}
		n := len(texts)
		if tt.remove == "" {
			n = 2
		}
		for i, e := range procedure.LiftedEnds(kinds[:n], texts[:n]) {
			if (e.Lifted != "") != (i == tt.odd) {
				t.Errorf("%q: step %d says %+v; want step %d named", texts[:n], i, e, tt.odd)
			}
		}
	}
}

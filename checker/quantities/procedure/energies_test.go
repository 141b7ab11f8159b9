package procedure_test

import (
	"slices"
	"testing"

	"kitgauge/checker/quantities/procedure"
)

// TestEnergiesLeft holds texts as workshops write them against what 29 CFR
// 1910.147(d)(5)(i) asks for, that all stored energy is relieved.
func TestEnergiesLeft(t *testing.T) {
	for _, c := range []struct {
		brief, relieve, restore string
		left                    []string
	}{
		{"Go through air and hydraulics.", "Drain the air reservoirs.", "", []string{"hydraulics"}},
		{"", "Drain the air suspension.", "Give energy back: air, hydraulics.", []string{"hydraulics"}},
		{"Go through battery, air and springs.", "Lower the rams until they are without pressure.", "", []string{"air"}},
		{"Go through air and hydraulics.", "Drain tanks; work the levers.", "Air, hydraulics.", nil},
		{"Go through air and hydraulics.", "Relieve every circuit.", "", nil},
		{"Go through air and hydraulics.", "Bleed it.", "", nil},
		{"There are no hydraulics here; go through the air.", "Drain the air.", "", nil},
		{"", "Drain the air.", "Give energy back.", nil},
		{"Go through air and springs; the hydraulics of the towing vehicle stay uncoupled.", "Drain the air.", "", nil},
		{"", "Drain the air.", "Give energy back; the hydraulic brake of the towing vehicle stays as it is.", nil},
		{"Go through the air. Hydraulics: see the sheet of the body builder.", "Drain the air.", "", nil},
	} {
		left, by := procedure.EnergiesLeft([]string{"brief", "relieve-pressure", "restore"}, []string{c.brief, c.relieve, c.restore})
		if !slices.Equal(left, c.left) || len(by) != len(left) {
			t.Errorf("%q, %q, %q: left %v by %v, want %v", c.brief, c.relieve, c.restore, left, by, c.left)
		}
	}
}

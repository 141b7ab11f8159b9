package survey_test

import (
	"testing"

	"kitgauge/checker/quantities/survey"
)

// The words for the sides are those of the dictionaries (from memory).
func TestSide(t *testing.T) {
	for _, tt := range []struct{ language, name, want string }{
		{"English", "Kingpin upper bush, left", "left"},
		{"German", "Achsschenkel oben, rechts", "right"},
		{"Norwegian", "Fjærbolt foran, høyre", "right"},
		{"Danish", "Kingbolt, øverste bøsning, højre", "right"},
		{"Swedish", "Spindelbult, vänster", "left"},
		{"Dutch", "Fuseepen boven, links", "left"},
		{"French", "Pivot de fusée, droite", "right"},
		{"Spanish", "Pivote superior, izquierdo", "left"},
		{"Italian", "Perno superiore, destro", "right"},
		{"Polish", "Sworzeń zwrotnicy, lewy", "left"},
		{"both sides", "Spurstange links rechts", ""},
		{"English rods", "Drag links", ""},
		{"English rods with a side", "Lower links, right", "right"},
		{"the offside changes with the side of the road", "Kingpin, offside", ""},
	} {
		if _, got := survey.Key(tt.name); got != tt.want {
			t.Errorf("%s: %q says %q, want %q", tt.language, tt.name, got, tt.want)
		}
	}
}

// No slip leads to a place that nobody measures.
func TestSlipsOfMeasures(t *testing.T) {
	for _, s := range survey.Slips(vec(4.62, -0.47, 0.03)) {
		if v := survey.Of(s.At, s.Coordinate); v > -0.01 && v < 0.01 {
			t.Errorf("%s may have been %g m (%s); so small is nothing that is measured", s.Coordinate, v, s.Kind)
		}
	}
}

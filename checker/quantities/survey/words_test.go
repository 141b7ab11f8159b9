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

// TestRigid tells tubes of metal from hoses with metal in them. Common
// practice, no source.
func TestRigid(t *testing.T) {
	for material, want := range map[string]bool{
		"steel": true, "stainless steel 1.4301": true, "Copper": true, "aluminium": true,
		"polyamide 12": false, "rubber, steel braid": false, "PTFE with stainless braiding": false, "": false, "steel wire hose": false,
	} {
		if got := survey.Rigid(material); got != want {
			t.Errorf("Rigid(%q) is %v", material, got)
		}
	}
}

// TestAxlesSaid reads wheel formulas, in which the first number is that of the
// wheels, and axles in words: common practice, no source.
func TestAxlesSaid(t *testing.T) {
	for text, want := range map[string]int{
		"Gritter 4x2 with plough, 34 points": 2, "Tipper 8x4/4": 4, "Tractor 6x4 with crane": 3,
		"Single-axle salt trailer with drawbar": 1, "Two-axle truck": 2, "tandem axle trailer": 2, "Three axles": 0,
		"Two-axle truck with single-axle trailer": 0, "Loader, tube 4 x 0.75": 0, "4x4": 2, "": 0,
		"Truck with single-axle drive, and plough": 0, "Invented gritter truck with a two-axle bogie": 0, "Truck with tandem-axle drive": 0,
		"Tandem-axle drive truck": 0, "Tandem-axle-drive truck": 0, "Gritter, twin steered axles in front, tandem axle behind": 0,
		"Salt trailer for the 4x2 gritters, 8 points": 0, "Bogie of two-axle truck": 0, "Two-axle truck with trailer": 0, "4x2 gritter trailer": 0,
	} {
		if got, word := survey.AxlesSaid(text); got != want || (got == 0) != (word == "") {
			t.Errorf("AxlesSaid(%q) is %d, %q; want %d", text, got, word, want)
		}
	}
}

// TestOfAxle knows parts of an axle from parts of a body.
func TestOfAxle(t *testing.T) {
	if !survey.OfAxle("spring") || !survey.OfAxle("brake") || survey.OfAxle("conveyor") || survey.OfAxle("boom") {
		t.Error("spring and brake are of an axle, conveyor and boom are not")
	}
}

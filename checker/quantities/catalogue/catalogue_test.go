package catalogue_test

import (
	"math"
	"testing"

	"kitgauge/checker/quantities/catalogue"
)

func TestHoopStress(t *testing.T) {
	// the mean-diameter form of EN 13480-3: a steel pipe of 323.9 x 8 mm at 80
	// bar. Barlow on the outer diameter, p D / (2 t), gives 161.95 MPa
	// (recomputed); the mean diameter takes p/2 off
	got, err := catalogue.HoopStress(80e5, 0.3239, 0.3239-0.016)
	if want := 161.95e6 - 4e6; err != nil || math.Abs(got-want) > 1e3 {
		t.Errorf("got %g, %v, want %g", got, err, want)
	}
	// limit: between Lamé's mean p d/(2t) and Barlow's p D/(2t), for any wall
	for _, inner := range []float64{0.1e-3, 2.5e-3, 3.99e-3} {
		wall := (4e-3 - inner) / 2
		got, err := catalogue.HoopStress(1e7, 4e-3, inner)
		if low, high := 1e7*inner/(2*wall), 1e7*4e-3/(2*wall); err != nil || got <= low || got >= high {
			t.Errorf("inner %g: got %g, %v, want between %g and %g", inner, got, err, low, high)
		}
	}
	for _, bad := range [][3]float64{{1e7, 2.5e-3, 4e-3}, {1e7, 4e-3, 4e-3}, {-1, 4e-3, 2e-3}, {math.NaN(), 4e-3, 2e-3}, {1, math.Inf(1), 1}} {
		if got, err := catalogue.HoopStress(bad[0], bad[1], bad[2]); err == nil {
			t.Errorf("%v: got %g and no error", bad, got)
		}
	}
}

func TestMaterialOf(t *testing.T) {
	for name, want := range map[string]string{
		"polyamide 12": "polyamide", "PA12": "polyamide", "stainless steel": "steel", "steel, zinc plated": "steel",
		"rubber with steel braid": "rubber", "PTFE": "fluoropolymer", "copper": "copper or brass", "unobtainium": "other", "": "other",
	} {
		if got := catalogue.MaterialOf(name); got.Name != want {
			t.Errorf("%q: got %s, want %s", name, got.Name, want)
		}
	}
}

// The figures are those of Li, Höglund, Westerberg and Lugt for lithium greases
// (from memory): NLGI 1 189 Pa, NLGI 2 650 Pa.
func TestYieldBand(t *testing.T) {
	for grade, yield := range map[string]float64{"00": 0, "1": 189, "2": 650} {
		if least, most, err := catalogue.YieldBand(grade); err != nil || yield < least || yield > most {
			t.Errorf("NLGI %s: got %g to %g, %v, which leaves %g out", grade, least, most, err, yield)
		}
	}
	lower, upper := -1.0, 0.0
	for _, grade := range []string{"000", "00", "0", "1", "2", "3", "4", "5", "6"} {
		least, most, err := catalogue.YieldBand(grade)
		if err != nil || least < lower || most <= upper || most <= least {
			t.Errorf("NLGI %s: got %g to %g, %v, after %g to %g", grade, least, most, err, lower, upper)
		}
		lower, upper = least, most
	}
	if _, _, err := catalogue.YieldBand("11"); err == nil {
		t.Error("NLGI 11: got no error")
	}
}

// Two oils of the worked examples of ASTM D2270 (from memory): 73.30 and 8.86
// mm²/s have a viscosity index of 92, 22.83 and 5.05 one of 156: the second
// thins less.
func TestOilSlope(t *testing.T) {
	lower, err := catalogue.OilSlope(73.30e-6, 8.86e-6)
	if err != nil || lower < 3.4 || lower > 3.7 {
		t.Errorf("viscosity index 92: got %g, %v", lower, err)
	}
	higher, err := catalogue.OilSlope(22.83e-6, 5.05e-6)
	if err != nil || higher >= lower {
		t.Errorf("viscosity index 156: got %g, %v, want less than %g", higher, err, lower)
	}
	if got, err := catalogue.OilSlope(5e-5, 5e-5); err != nil || got != 0 {
		t.Errorf("an oil that does not thin: got %g, %v, want 0", got, err)
	}
	for _, v := range []float64{0, 0.3e-6, -1, math.NaN(), math.Inf(1)} {
		if got, err := catalogue.OilSlope(1e-4, v); err == nil {
			t.Errorf("%g: got %g and no error", v, got)
		}
	}
}

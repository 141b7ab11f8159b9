package catalogue_test

import (
	"math"
	"testing"

	"kitgauge/checker/quantities/catalogue"
)

func TestSlip(t *testing.T) {
	// the factors between units are those printed in NIST SP 811, appendix B:
	// 1 ft = 0.3048 m, 1 in = 25.4 mm, 1 psi = 6.894757 kPa
	for _, tt := range []struct {
		name string
		f    catalogue.Figure
		want float64 // 0 where nothing is said
	}{
		{"the same as the others", catalogue.Figure{Value: 12, Dimension: "length", Low: 12, High: 12, Count: 2}, 0},
		{"ft for m", catalogue.Figure{Value: 12 * 0.3048, Dimension: "length", Low: 12, High: 12, Count: 2}, 12},
		{"a nought too many", catalogue.Figure{Value: 120e6, Dimension: "pressure", Low: 12e6, High: 12e6, Count: 3}, 12e6},
		{"bar for psi", catalogue.Figure{Value: 1.2e6 * 14.504, Dimension: "pressure", Low: 1.2e6, High: 1.2e6, Count: 2}, 1.2e6},
		{"another figure", catalogue.Figure{Value: 15, Dimension: "length", Low: 12, High: 12, Count: 2}, 0},
		{"within reach of a spread", catalogue.Figure{Value: 20, Dimension: "mass", Low: 6, High: 14, Count: 3}, 0},
		{"a lost nought beside a spread", catalogue.Figure{Value: 0.95, Dimension: "mass", Low: 6, High: 14, Count: 3}, 9.5},
		{"a spread of two says nothing", catalogue.Figure{Value: 0.95, Dimension: "mass", Low: 6, High: 14, Count: 2}, 0},
		{"a lost sign", catalogue.Figure{Value: 313.15, Dimension: "temperature", Low: 233.15, High: 233.15, Count: 2}, 233.15},
		{"degF for degC", catalogue.Figure{Value: 273.15 + 194, Dimension: "temperature", Low: 363.15, High: 363.15, Count: 2}, 363.15},
	} {
		says, likely := tt.f.Slip()
		if (says == "") != (tt.want == 0) || math.Abs(likely-tt.want) > 1e-3*tt.want {
			t.Errorf("%s: got %q, %g, want %g", tt.name, says, likely, tt.want)
		}
	}
}

// An identity: what is put into the range is a power of ten off.
func TestInto(t *testing.T) {
	for _, tt := range []struct {
		v, low, high, want float64
	}{{0.9, 850, 1100, 900}, {300, 1.5, 45, 0}, {60, 2, 45, 6}, {0.5, 0.6, 0.7, 0}} {
		got, sure := catalogue.Into(tt.v, tt.low, tt.high)
		if sure != (tt.want != 0) || sure && math.Abs(got-tt.want) > 1e-9*tt.want {
			t.Errorf("%g into %g to %g: got %g, sure %t, want %g", tt.v, tt.low, tt.high, got, sure, tt.want)
		}
	}
	if !catalogue.Near(100, 98.1, catalogue.Alike) || catalogue.Near(100, 97, catalogue.Alike) {
		t.Error("common practice, no source: figures within 2 % are the same, others are not")
	}
}

// TestTransposed tells two digits that are exchanged from other differences.
func TestTransposed(t *testing.T) {
	for _, c := range []struct {
		a, b float64
		want bool
	}{
		{0.021, 0.012, true}, {21, 12, true}, {1.53, 1.35, true}, {531, 351, true},
		{12, 12, false}, {22, 12, false}, {120, 12, false}, {321, 123, false}, {0, 12, false}, {-21, -12, false}, {2.1, 12, false}, {15.5, 15.6, false},
	} {
		if got := catalogue.Transposed(c.a, c.b); got != c.want {
			t.Errorf("Transposed(%g, %g) is %v", c.a, c.b, got)
		}
	}
}

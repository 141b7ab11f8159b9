package flow_test

import (
	"testing"

	"kitgauge/checker/quantities/flow"
)

// oilOfD2270 is the oil of ASTM D2270 clause 5.1.4: 73.30 mm²/s at 40 °C and
// 8.86 mm²/s at 100 °C (printed).
func oilOfD2270(t *testing.T) flow.Walther {
	t.Helper()
	line, err := flow.FitWalther(
		flow.ViscosityPoint{Temperature: 40 + zeroC, Kinematic: 73.30 * mm2PerS},
		flow.ViscosityPoint{Temperature: 100 + zeroC, Kinematic: 8.86 * mm2PerS})
	if err != nil {
		t.Fatal(err)
	}
	return line
}

func TestConsistencyAt(t *testing.T) {
	oil := oilOfD2270(t)
	for _, tt := range []struct {
		source            string
		index, from, to   float64
		consistency, want float64
	}{
		// printed: the two viscosities of ASTM D2270 clause 5.1.4; a Bingham
		// grease is as many times stiffer as its oil
		{"limit: index 1 follows the oil, viscosities as printed", 1, 100, 40, 8.86, 73.30},
		{"limit: the same the other way", 1, 40, 100, 73.30, 8.86},
		{"recomputed: (73.30/8.86)^0.5", 0.5, 100, 40, 1, 2.876303},
		{"recomputed: (12292.7/172.841)^0.8, viscosities at -20 and 25 degC", 0.8, 25, -20, 4, 121.2440},
		{"limit: its own temperature", 0.8, 25, 25, 4, 4},
	} {
		law := flow.Consistency{Consistency: tt.consistency, Index: tt.index, Temperature: tt.from + zeroC, Oil: oil}
		got, err := law.At(tt.to + zeroC)
		if err != nil || !near(got, tt.want, 2e-5) {
			t.Errorf("%s: got %.7g, %v; want %.7g", tt.source, got, err, tt.want)
		}
	}
}

func TestConsistencyErrors(t *testing.T) {
	oil := oilOfD2270(t)
	for _, tt := range []struct {
		fault string
		law   flow.Consistency
		to    float64
	}{
		{"no consistency", flow.Consistency{Index: 1, Temperature: 25 + zeroC, Oil: oil}, -20},
		{"index of 5", flow.Consistency{Consistency: 1, Index: 5, Temperature: 25 + zeroC, Oil: oil}, -20},
		{"no oil", flow.Consistency{Consistency: 1, Index: 1, Temperature: 25 + zeroC}, -20},
		{"colder than the line of the oil goes", flow.Consistency{Consistency: 1, Index: 1, Temperature: 25 + zeroC, Oil: oil}, -150},
		{"stated at no temperature", flow.Consistency{Consistency: 1, Index: 1, Oil: oil}, -20},
	} {
		if got, err := tt.law.At(tt.to + zeroC); err == nil {
			t.Errorf("%s: got %g, want an error", tt.fault, got)
		}
	}
}

package power_test

import (
	"strings"
	"testing"

	"kitgauge/checker/quantities/power"
)

// exampleFeed is an invented 24 V feed in 1.5 mm2 solid copper at 20 degC: 8 m out, 8 m back.
func exampleFeed() power.Feed {
	return power.Feed{
		SupplyVoltage: 24,
		Draw:          4,
		Cable:         power.Conductor{Length: 8, Area: 1.5e-6, Temperature: 293.15, Allowance: 1},
		ReturnLength:  8,
	}
}

// Identity: P = V I; that the pump draws the same power at every voltage is
// common practice, no source.
func TestHighestDraw(t *testing.T) {
	tests := []struct {
		name  string
		motor power.Motor
		want  float64
	}{
		{"limit: no drop, no rise", power.Motor{Draw: 2, Voltage: 24, MinimumVoltage: 24}, 2},
		{"recomputed: 48 W at 18 V", power.Motor{Draw: 2, Voltage: 24, MinimumVoltage: 18}, 48. / 18},
		{"recomputed: 60 W at 9 V", power.Motor{Draw: 5, Voltage: 12, MinimumVoltage: 9}, 60. / 9},
	}
	for _, tt := range tests {
		got, err := tt.motor.HighestDraw()
		if err != nil || !near(got, tt.want, 1e-12) {
			t.Errorf("%s: got %g, %v; want %g A", tt.name, got, err, tt.want)
		}
	}
}

// Identity: Ohm's law, and resistances in series.
func TestFeedVoltage(t *testing.T) {
	// recomputed: 16 m of 17.241/1.5 = 11.494 ohm/km is 0.183904 ohm; 4 A drop 0.735616 V of 24.
	f := exampleFeed()
	chassis := exampleFeed()
	chassis.ReturnLength, chassis.ReturnResistance = 0, 0.01 // 8 m: 0.091952 + 0.01 ohm
	hopeless := exampleFeed()
	hopeless.ReturnResistance = 10
	tests := []struct {
		name             string
		feed             power.Feed
		ohm, drop, volts float64
	}{
		{"both ways in cable", f, 0.183904, 0.735616 / 24, 24 - 0.735616},
		{"chassis return", chassis, 0.101952, 0.407808 / 24, 24 - 0.407808},
		{"drop above the supply", hopeless, 10.183904, 40.735616 / 24, 0},
	}
	for _, tt := range tests {
		r, err := tt.feed.Resistance()
		if err != nil || !near(r, tt.ohm, 1e-9) {
			t.Errorf("%s: Resistance() = %.9f, %v; want %.9f", tt.name, r, err, tt.ohm)
		}
		drop, err := tt.feed.DropFraction()
		if err != nil || !near(drop, tt.drop, 1e-9) {
			t.Errorf("%s: DropFraction() = %.9f, %v; want %.9f", tt.name, drop, err, tt.drop)
		}
		u, err := tt.feed.PumpVoltage()
		if err != nil || !near(u, tt.volts, 1e-8) {
			t.Errorf("%s: PumpVoltage() = %.9f, %v; want %.9f", tt.name, u, err, tt.volts)
		}
	}
}

// Identity: the least of the nominal areas of IEC 60228 that keeps the drop.
func TestNextCableArea(t *testing.T) {
	// recomputed: the drop is 3.0651 % at 1.5 mm2, so 4.5976/A % in mm2: 3 % needs 1.5325, 2 % 2.2988,
	// 1 % 4.5976 mm2; 10 mm2 leaves 0.4598 %.
	tests := []struct{ limit, want float64 }{
		{0.05, 1e-6}, {0.031, 1.5e-6}, {0.03, 2.5e-6}, {0.02, 2.5e-6}, {0.01, 6e-6}, {0.0046, 10e-6},
	}
	for _, tt := range tests {
		got, err := exampleFeed().NextCableArea(tt.limit)
		if err != nil || got != tt.want {
			t.Errorf("NextCableArea(%g) = %g, %v; want %g m2", tt.limit, got, err, tt.want)
		}
	}
	_, err := exampleFeed().NextCableArea(0.004)
	if err == nil || !strings.Contains(err.Error(), "10 mm2") || !strings.Contains(err.Error(), "0.4598 %") {
		t.Errorf("NextCableArea(0.4 %%): got error %v; want one naming 10 mm2 and 0.4598 %%", err)
	}
	unset := exampleFeed()
	unset.Cable.Area = 0
	if _, err := unset.NextCableArea(0.03); err != nil {
		t.Errorf("NextCableArea without a cable area: got %v, want none", err)
	}
}

// The area found keeps the limit exactly when it should: equal to the drop it causes, no larger cable.
func TestNextCableAreaOnTheLimit(t *testing.T) {
	for _, area := range power.NominalAreas() {
		f := exampleFeed()
		f.Cable.Area = area
		limit, err := f.DropFraction()
		if err != nil {
			t.Fatal(err)
		}
		if got, err := f.NextCableArea(limit); err != nil || got != area {
			t.Errorf("limit %g: got %g m2, %v; want %g", limit, got, err, area)
		}
	}
}

// Identity: Kirchhoff's law of currents.
func TestSpare(t *testing.T) {
	// limit: currents add up. The last row is overloaded by 1.5 A.
	tests := []struct {
		circuit power.Circuit
		want    float64
	}{
		{power.Circuit{Rating: 10, Existing: 0, Added: 4}, 6},
		{power.Circuit{Rating: 10, Existing: 6, Added: 4}, 0},
		{power.Circuit{Rating: 10, Existing: 7.5, Added: 4}, -1.5},
	}
	for _, tt := range tests {
		if got, err := tt.circuit.Spare(); err != nil || got != tt.want {
			t.Errorf("%+v.Spare() = %g, %v; want %g", tt.circuit, got, err, tt.want)
		}
	}
}

// printed, seen: Canadian Electrical Code, part I, table D3: the distance in m, one way, over which a circuit of
// 120 V loses 1 % in copper at 60 degC, as transcribed at https://github.com/feeeldotca/cec-app
// (src/store/tables.js). 1.2 V are 5 % of 24 V. Tolerance: 3.5 %, for the table's conductors are stranded, and
// its distances rounded to 0.1 m.
func TestDropAgainstCanadianCode(t *testing.T) {
	for _, tt := range []struct {
		amperes   float64
		distances map[int]float64 // by AWG
	}{
		{1.25, map[int]float64{18: 19.4, 16: 30.8, 14: 49.1}},
		{2, map[int]float64{18: 12.1, 16: 19.3, 14: 30.7, 12: 48.8}},
		{4, map[int]float64{18: 6.1, 16: 9.6, 14: 15.3, 12: 24.4, 10: 38.8, 8: 61.7}},
		{6.3, map[int]float64{18: 3.8, 16: 6.1, 14: 9.7, 12: 15.5, 10: 24.6, 8: 39.1}},
		{10, map[int]float64{16: 3.9, 14: 6.1, 12: 9.8, 10: 15.5, 8: 24.7}},
		{20, map[int]float64{14: 3.1, 12: 4.9, 10: 7.8, 8: 12.3}},
	} {
		for awg, metres := range tt.distances {
			f := power.Feed{
				SupplyVoltage: 24, Draw: tt.amperes, ReturnLength: metres,
				Cable: power.Conductor{Length: metres, Area: astmB258[awg] * 1e-6, Temperature: 60 + 273.15, Allowance: 1.02},
			}
			if got, err := f.DropFraction(); err != nil || !near(got, 0.05, 0.035*0.05) {
				t.Errorf("%g A over %g m of %d AWG: got %.4f, %v; want 0.05", tt.amperes, metres, awg, got, err)
			}
		}
	}
}

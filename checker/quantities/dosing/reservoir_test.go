package dosing_test

import (
	"testing"

	"kitgauge/checker/quantities/dosing"
)

// recomputed: 7.2 cm3/h, 8 h a day on 5 days a week is 288 cm3 a week; 28 days use 1152 cm3.
//
// Identity: rate times running time.
func TestConsumption(t *testing.T) {
	u := dosing.Usage{Rate: 7.2 * cm3 / hour, RunningPerDay: 8 * hour, DaysPerWeek: 5}
	running, err := u.Running(28 * day)
	if err != nil || !near(running, 160*hour, 1e-12) {
		t.Errorf("Running(28 d) = %g h, %v; want 160", running/hour, err)
	}
	used, err := u.Consumption(28 * day)
	if err != nil || !near(used, 1152*cm3, 1e-12) {
		t.Errorf("Consumption(28 d) = %g cm3, %v; want 1152", used/cm3, err)
	}
	lasts, err := u.Lasts(1152 * cm3)
	if err != nil || !near(lasts, 28*day, 1e-12) {
		t.Errorf("Lasts(1152 cm3) = %g d, %v; want 28", lasts/day, err)
	}
	u.Rate = 0
	if used, err := u.Consumption(day); err != nil || used != 0 {
		t.Errorf("nothing delivered: got %g, %v; want 0", used, err)
	}
	if _, err := u.Lasts(cm3); err == nil {
		t.Error("nothing delivered: Lasts got no error")
	}
}

// Identity: a difference of volumes.
func TestUsable(t *testing.T) {
	tests := []struct {
		name             string
		upper, low, fill float64
		want             float64
	}{
		{"limit: to the upper mark", 2000, 300, 2000, 1700},
		{"partly filled", 2000, 300, 1500, 1200},
		{"above the upper mark", 2000, 300, 2400, 1700},
		{"on the low mark", 2000, 300, 300, 0},
		{"below the low mark", 2000, 300, 100, 0},
		{"empty", 2000, 0, 0, 0},
	}
	for _, tt := range tests {
		r := dosing.Reservoir{UpperMark: tt.upper * cm3, LowerMark: tt.low * cm3, Fill: tt.fill * cm3}
		got, err := r.Usable()
		if err != nil || !near(got/cm3, tt.want, 1e-12) {
			t.Errorf("%s: got %g cm3, %v; want %g", tt.name, got/cm3, err, tt.want)
		}
	}
}

// Identity: a difference as a share.
func TestReserve(t *testing.T) {
	// limit: definition.
	tests := []struct{ atHand, needed, want float64 }{
		{1200, 1000, 0.2}, {1000, 1000, 0}, {500, 1000, -0.5}, {0, 1000, -1},
	}
	for _, tt := range tests {
		got, err := dosing.Supply{AtHand: tt.atHand * cm3, Needed: tt.needed * cm3}.Reserve()
		if err != nil || got < tt.want-1e-12 || got > tt.want+1e-12 {
			t.Errorf("%g for %g cm3: got %g, %v; want %g", tt.atHand, tt.needed, got, err, tt.want)
		}
	}
}

// recomputed: 10 m of 4 mm bore holds 125.664 cm3, 6 m of 6 mm bore 169.646 cm3.
//
// Identity: the volume of cylinders.
func TestPrimingAndFirstFill(t *testing.T) {
	tubes := []dosing.Tube{{InsideDiameter: 4 * mm, Length: 10}, {InsideDiameter: 6 * mm, Length: 6}}
	got, err := dosing.PrimingVolume(tubes)
	if want := 125.6637 + 169.6460; err != nil || !near(got/cm3, want, 1e-6) {
		t.Errorf("PrimingVolume = %g cm3, %v; want %g", got/cm3, err, want)
	}
	if got, err := dosing.PrimingVolume(nil); err != nil || got != 0 {
		t.Errorf("no tubes: got %g, %v; want 0", got, err)
	}
	r := dosing.Reservoir{UpperMark: 2000 * cm3, LowerMark: 300 * cm3, Fill: 1800 * cm3}
	fill, err := r.FirstFill(tubes)
	if want := 1800 + 125.6637 + 169.6460; err != nil || !near(fill/cm3, want, 1e-6) {
		t.Errorf("FirstFill = %g cm3, %v; want %g", fill/cm3, err, want)
	}
}

// Identity: density times volume.
func TestMass(t *testing.T) {
	// recomputed: 1 kg is 1176.47, 1111.11 and 1052.63 cm3 at 850, 900 and 950 kg/m3.
	tests := []struct{ cm3, density float64 }{{1176.47, 850}, {1111.11, 900}, {1052.63, 950}}
	for _, tt := range tests {
		got, err := dosing.Grease{Volume: tt.cm3 * cm3, Density: tt.density}.Mass()
		if err != nil || !near(got, 1, 1e-5) {
			t.Errorf("%g cm3 at %g kg/m3: got %g kg, %v; want 1", tt.cm3, tt.density, got, err)
		}
	}
}

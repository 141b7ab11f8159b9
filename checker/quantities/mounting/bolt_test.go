package mounting_test

import (
	"math"
	"strings"
	"testing"

	"kitgauge/checker/quantities/mounting"
)

// Printed: ISO 898-1 tables of proof loads and ultimate loads for coarse
// threads, as repeated in "ISO metric thread proof loads, according to EN ISO
// 898-1" (staging2.optimas.com/technical-resources). Areas in mm^2, loads in N,
// both to three digits.
var table = []struct {
	d, pitch, area float64
	proof          map[string]float64
}{
	{3, 0.5, 5.03, map[string]float64{"4.6": 1130, "4.8": 1560, "5.6": 1410, "5.8": 1910, "6.8": 2210, "8.8": 2920, "9.8": 3270, "10.9": 4180, "12.9": 4880}},
	{4, 0.7, 8.78, map[string]float64{"4.6": 1980, "4.8": 2720, "5.6": 2460, "5.8": 3340, "6.8": 3860, "8.8": 5100, "9.8": 5710, "10.9": 7290, "12.9": 8520}},
	{5, 0.8, 14.2, map[string]float64{"4.6": 3200, "4.8": 4400, "5.6": 3980, "5.8": 5400, "6.8": 6250, "8.8": 8230, "9.8": 9230, "10.9": 11800, "12.9": 13800}},
	{6, 1, 20.1, map[string]float64{"4.6": 4520, "4.8": 6230, "5.6": 5630, "5.8": 7640, "6.8": 8840, "8.8": 11600, "9.8": 13100, "10.9": 16700, "12.9": 19500}},
	{7, 1, 28.9, map[string]float64{"4.6": 6500, "8.8": 16800, "10.9": 24000, "12.9": 28000}},
	{8, 1.25, 36.6, map[string]float64{"4.6": 8240, "4.8": 11400, "5.6": 10200, "5.8": 13900, "6.8": 16100, "8.8": 21200, "9.8": 23800, "10.9": 30400, "12.9": 35500}},
	{10, 1.5, 58, map[string]float64{"4.6": 13000, "4.8": 18000, "5.6": 16200, "5.8": 22000, "6.8": 25500, "8.8": 33700, "9.8": 37700, "10.9": 48100, "12.9": 56300}},
	{12, 1.75, 84.3, map[string]float64{"4.6": 19000, "4.8": 26100, "5.6": 23600, "5.8": 32000, "6.8": 37100, "8.8": 48900, "9.8": 54800, "10.9": 70000, "12.9": 81800}},
	{14, 2, 115, map[string]float64{"4.6": 25900, "5.8": 43700, "8.8": 66700, "10.9": 95500, "12.9": 112000}},
	{16, 2, 157, map[string]float64{"4.6": 35300, "5.8": 59700, "8.8": 91000, "9.8": 102000, "10.9": 130000, "12.9": 152000}},
	{18, 2.5, 192, map[string]float64{"4.6": 43200, "8.8": 115000, "10.9": 159000, "12.9": 186000}},
	{20, 2.5, 245, map[string]float64{"4.6": 55100, "8.8": 147000, "10.9": 203000, "12.9": 238000}},
	{24, 3, 353, map[string]float64{"4.6": 79400, "8.8": 212000, "10.9": 293000, "12.9": 342000}},
}

func TestStressAreasOfISO898(t *testing.T) {
	for _, row := range table {
		thread, err := mounting.Coarse(row.d / 1000)
		if err != nil {
			t.Errorf("Coarse(M%g): %v", row.d, err)
			continue
		}
		if math.Abs(thread.Pitch*1000-row.pitch) > 1e-9 {
			t.Errorf("M%g has pitch %g mm, want %g (ISO 261)", row.d, thread.Pitch*1000, row.pitch)
		}
		area, err := mounting.StressArea(thread)
		if err != nil {
			t.Errorf("StressArea(M%g): %v", row.d, err)
		}
		// Three digits are printed; half a unit of the last is up to 0.45 %.
		if got := area * 1e6; math.Abs(got-row.area) > 0.005*row.area {
			t.Errorf("M%g has a stress area of %.3f mm2, want %g (ISO 898-1)", row.d, got, row.area)
		}
		// Printed: A = pi/4 (d - 0.9382 P)^2, the same standard in one constant.
		if got, want := area*1e6, math.Pi/4*math.Pow(row.d-0.9382*row.pitch, 2); math.Abs(got-want) > 1e-5*want {
			t.Errorf("M%g has a stress area of %.5f mm2, the formula gives %.5f", row.d, got, want)
		}
	}
}

func TestProofLoadsOfISO898(t *testing.T) {
	for _, row := range table {
		for class, want := range row.proof {
			got, err := mounting.ProofLoad(mounting.Thread{Diameter: row.d / 1000, Pitch: row.pitch / 1000}, class)
			if err != nil || math.Abs(got-want) > 0.007*want {
				t.Errorf("ProofLoad(M%g, %s) = %.0f, %v; want %.0f (ISO 898-1)", row.d, class, got, err, want)
			}
		}
	}
}

// Seen a second time: proof loads, N, at slsbearings.com.
func TestProofLoadsOfASecondTable(t *testing.T) {
	for size, want := range map[float64][2]float64{6: {11600, 16700}, 8: {21200, 30400}, 10: {33700, 48100}, 12: {48900, 70000}} {
		thread, err := mounting.Coarse(size / 1000)
		if err != nil {
			t.Fatal(err)
		}
		for i, class := range []string{"8.8", "10.9"} {
			if got, err := mounting.ProofLoad(thread, class); err != nil || math.Abs(got-want[i]) > 0.007*want[i] {
				t.Errorf("ProofLoad(M%g, %s) = %.0f, %v; want %.0f", size, class, got, err, want[i])
			}
		}
	}
}

// Seen: proof loads, N, of nuts of classes 5, 6, 8, 9 and 10 tapped oversize to
// 6AZ, ISO 10684 annex A at boltport.com. From memory: the stress areas of bolts
// undersized to 6az, 33.2 and 53.6 mm². The nut carries more than the bolt of its
// class, undersized or not, so that the bolt's own load is the one that counts.
func TestGalvanisedBoltsOfISO10684(t *testing.T) {
	tests := []struct {
		d, area float64
		nuts    map[string]float64
	}{
		{8, 33.2, map[string]float64{"5.6": 17300, "5.8": 17300, "6.8": 20000, "8.8": 25500, "9.8": 27600, "10.9": 30600}},
		{10, 53.6, map[string]float64{"5.6": 28000, "5.8": 28000, "6.8": 33000, "8.8": 42200, "9.8": 45600, "10.9": 50400}},
	}
	for _, tt := range tests {
		thread, err := mounting.Coarse(tt.d / 1000)
		if err != nil {
			t.Fatal(err)
		}
		for class, nut := range tt.nuts {
			thin, err := mounting.Galvanised(thread, class)
			if err != nil {
				t.Fatalf("M%g, %s: %v", tt.d, class, err)
			}
			area, err := mounting.StressArea(thin)
			if err != nil || math.Abs(area*1e6-tt.area) > 0.05 {
				t.Errorf("M%g galvanised has a stress area of %.3f mm2, %v; want %g", tt.d, area*1e6, err, tt.area)
			}
			load, err := mounting.ProofLoad(thin, class)
			full, fullErr := mounting.ProofLoad(thread, class)
			if err != nil || fullErr != nil || !(load < full && full < nut) {
				t.Errorf("M%g, %s: galvanised %.0f N, %v, full %.0f N, %v; want less, and both below the nut's %.0f", tt.d, class, load, err, full, fullErr, nut)
			}
		}
	}
}

// Seen: AS/NZS 1214:2016 clause 7 (ISO 10684:2004), the requirements of ISO 898-1
// hold from M12 on.
func TestGalvanisedFromM12OnKeepTheirStrength(t *testing.T) {
	for _, d := range []float64{12, 16, 20} {
		thread, err := mounting.Coarse(d / 1000)
		if err != nil {
			t.Fatal(err)
		}
		if got, err := mounting.Galvanised(thread, "8.8"); err != nil || got != thread {
			t.Errorf("Galvanised(M%g) = %v, %v; want the same thread", d, got, err)
		}
	}
}

// Printed: EN ISO 898-1:2013, row "proof stress" of the table of mechanical
// properties at nfgab.se, MPa.
func TestProofStress(t *testing.T) {
	tests := []struct {
		class string
		d     float64
		want  float64
	}{
		{"4.6", 8, 225}, {"4.8", 8, 310}, {"5.6", 8, 280}, {"5.8", 8, 380}, {"6.8", 8, 440},
		{"8.8", 16, 580}, {"8.8", 18, 600}, {"9.8", 16, 650}, {"10.9", 20, 830}, {"12.9", 20, 970},
	}
	for _, tt := range tests {
		if got, err := mounting.ProofStress(tt.class, tt.d/1000); err != nil || got != tt.want*1e6 {
			t.Errorf("ProofStress(%s, M%g) = %g, %v; want %g MPa", tt.class, tt.d, got, err, tt.want)
		}
	}
}

func TestBoltsOutOfRange(t *testing.T) {
	nan := math.NaN()
	tests := []struct {
		name string
		err  func() error
		want string
	}{
		{"no such coarse size", func() error { _, err := mounting.Coarse(0.009); return err }, "9 mm"},
		{"coarse, no number", func() error { _, err := mounting.Coarse(nan); return err }, "NaN"},
		{"area too small", func() error { _, err := mounting.StressArea(mounting.Thread{0.001, 0.00025}); return err }, "M1.6"},
		{"pitch of nothing", func() error { _, err := mounting.StressArea(mounting.Thread{0.008, 0}); return err }, "pitch"},
		{"pitch, no number", func() error { _, err := mounting.StressArea(mounting.Thread{0.008, nan}); return err }, "pitch"},
		{"class unknown", func() error { _, err := mounting.ProofStress("8,8", 0.008); return err }, `"8,8"`},
		{"9.8 above M16", func() error { _, err := mounting.ProofStress("9.8", 0.018); return err }, "M16"},
		{"stress above M39", func() error { _, err := mounting.ProofStress("8.8", 0.042); return err }, "M39"},
		{"load, area fails", func() error { _, err := mounting.ProofLoad(mounting.Thread{0.1, 0.006}, "8.8"); return err }, "100 mm"},
		{"load, class fails", func() error { _, err := mounting.ProofLoad(mounting.Thread{0.008, 0.00125}, ""); return err }, "property class"},
		{"M6 galvanised", func() error { _, err := mounting.Galvanised(mounting.Thread{0.006, 0.001}, "8.8"); return err }, "from M8 on"},
		{"fine thread galvanised", func() error { _, err := mounting.Galvanised(mounting.Thread{0.008, 0.001}, "8.8"); return err }, "M8 x 1"},
		{"12.9 galvanised", func() error { _, err := mounting.Galvanised(mounting.Thread{0.008, 0.00125}, "12.9"); return err }, "10.9"},
		{"no size galvanised", func() error { _, err := mounting.Galvanised(mounting.Thread{nan, 0.00125}, "8.8"); return err }, "NaN"},
		{"factor of no load", func() error { _, err := mounting.SafetyFactor(1000, 0); return err }, "0 N"},
		{"factor, no number", func() error { _, err := mounting.SafetyFactor(nan, 1); return err }, "NaN"},
	}
	for _, tt := range tests {
		if err := tt.err(); err == nil || !strings.Contains(err.Error(), tt.want) {
			t.Errorf("%s: got error %v, want one with %q", tt.name, err, tt.want)
		}
	}
}

// Identity: the proof load of an M8 bolt of class 8.8, 21200 N (ISO 898-1,
// from memory), over half of it.
func TestSafetyFactor(t *testing.T) {
	if got, err := mounting.SafetyFactor(21200, 10600); err != nil || got != 2 {
		t.Errorf("SafetyFactor(21200, 10600) = %g, %v; want 2", got, err)
	}
}

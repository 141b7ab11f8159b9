package power_test

import (
	"math"
	"testing"

	"kitgauge/checker/quantities/power"
)

const foot = 0.3048 // m, exact

func solid(area, celsius float64) power.Conductor {
	return power.Conductor{Length: 1, Area: area, Temperature: celsius + 273.15, Allowance: 1}
}

func perKilometre(t *testing.T, c power.Conductor) float64 {
	t.Helper()
	r, err := c.ResistancePerLength()
	if err != nil {
		t.Fatalf("%+v.ResistancePerLength(): %v", c, err)
	}
	return 1000 * r
}

func near(got, want, tol float64) bool { return math.Abs(got-want) <= tol }

// printed: NFPA 70 chapter 9 table 8, uncoated copper, one solid wire, 75 degC, ohm per 1000 ft, as
// reproduced at http://www.sfasoft.com/look/35/Conductor_Properties. Tolerance: half of the last digit
// printed and 0.1 %, for the table was computed from areas rounded to 10 circular mils.
func TestResistanceAgainstNFPA70(t *testing.T) {
	tests := []struct {
		awg             int
		want, halfDigit float64
	}{
		{18, 7.77, 0.005},
		{16, 4.89, 0.005},
		{14, 3.07, 0.005},
		{12, 1.93, 0.005},
		{10, 1.21, 0.005},
		{8, 0.764, 0.0005},
	}
	for _, tt := range tests {
		area := astmB258[tt.awg] * 1e-6
		got := perKilometre(t, solid(area, 75)) * foot
		if tol := tt.halfDigit + 0.001*tt.want; !near(got, tt.want, tol) {
			t.Errorf("%d AWG at 75 degC: got %.4f ohm/kft, want %g ± %.4f", tt.awg, got, tt.want, tol)
		}
	}
}

// printed: IEC 60228, largest resistance at 20 degC in ohm/km, plain copper, classes 1 and 5, as reproduced
// at https://www.etechnik-synergie.com/technical_information/condutor-resistance/ and
// https://mycableengineering.com/knowledge-base/iec-60228-dc-resistance.
var iec60228 = []struct{ mm2, class1, class5 float64 }{
	{0.5, 36.0, 39.0},
	{0.75, 24.5, 26.0},
	{1, 18.1, 19.5},
	{1.5, 12.1, 13.3},
	{2.5, 7.41, 7.98},
	{4, 4.61, 4.95},
	{6, 3.08, 3.30},
	{10, 1.83, 1.91},
}

// Solid copper of the nominal area must lie under what the standard allows, and not far under it.
func TestSolidCopperWithinIEC60228(t *testing.T) {
	for _, tt := range iec60228 {
		got := perKilometre(t, solid(tt.mm2*1e-6, 20))
		if got >= tt.class1 || got < 0.92*tt.class1 {
			t.Errorf("%g mm2: got %.4f ohm/km, want 92 to 100 %% of the class 1 limit %g", tt.mm2, got, tt.class1)
		}
		if got >= tt.class5 || got < 0.86*tt.class5 {
			t.Errorf("%g mm2: got %.4f ohm/km, want 86 to 100 %% of the class 5 limit %g", tt.mm2, got, tt.class5)
		}
	}
}

// With the allowance, no flexible conductor that meets the standard has a higher resistance than computed.
func TestFlexibleAllowanceCoversIEC60228(t *testing.T) {
	for _, tt := range iec60228 {
		c := solid(tt.mm2*1e-6, 20)
		c.Allowance = power.FlexibleAllowance
		got := perKilometre(t, c)
		if got < tt.class5 || got > 1.05*tt.class5 {
			t.Errorf("%g mm2: got %.4f ohm/km, want 100 to 105 %% of the class 5 limit %g", tt.mm2, got, tt.class5)
		}
	}
}

// printed: factors that bring a resistance measured at a temperature to 20 degC, IEC 60228 annex, as
// reproduced at https://www.uecables.com/471-power-copper-conductors-according-to-iec-60228.html. They
// rest on 0.004 per kelvin, hence 0.5 %.
func TestTemperatureLawAgainstIEC60228(t *testing.T) {
	tests := []struct{ celsius, factor float64 }{
		{5, 1.064}, {10, 1.042}, {20, 1.000}, {40, 0.926}, {60, 0.862}, {75, 0.820}, {100, 0.758},
	}
	at20 := perKilometre(t, solid(1e-6, 20))
	for _, tt := range tests {
		got := at20 / perKilometre(t, solid(1e-6, tt.celsius))
		if !near(got, tt.factor, 0.005*tt.factor) {
			t.Errorf("factor at %g degC: got %.4f, want %g ± 0.5 %%", tt.celsius, got, tt.factor)
		}
	}
}

func TestCopperConstants(t *testing.T) {
	// printed: IEC 60028, conductivity 58 MS/m and 3.93e-3 per degC, as reproduced in the Industrial Power
	// Engineering and Applications Handbook, page 970, https://digilib.universitaspertamina.ac.id/ebook/
	// Industrial%20Power%20Engineering%20and%20Applications%20Handbook/files/basic-html/page970.html
	if got, want := power.CopperResistivity, 1/58e6; !near(got, want, 5e-13) {
		t.Errorf("resistivity: got %g ohm m, want %g", got, want)
	}
	if got, want := power.CopperCoefficient, 3.93e-3; got != want {
		t.Errorf("temperature coefficient: got %g, want %g", got, want)
	}
}

// printed: areas of ASTM B258 gages in mm2, as reproduced to four decimals at
// https://wiresizing.com/convert/awg-to-mm2/.
var astmB258 = map[int]float64{8: 8.3656, 10: 5.2612, 12: 3.3088, 14: 2.0809, 16: 1.3087, 18: 0.8230}

// The areas offered are rows of the IEC 60228 table above, all of them up to 10 mm2, rising.
func TestNominalAreas(t *testing.T) {
	areas := power.NominalAreas()
	if got, want := len(areas), len(iec60228); got != want {
		t.Fatalf("got %d areas, want %d", got, want)
	}
	for i, row := range iec60228 {
		if !near(1e6*areas[i], row.mm2, 1e-9) {
			t.Errorf("area %d: got %g mm2, want %g", i, 1e6*areas[i], row.mm2)
		}
	}
}

// recomputed: 14 AWG, 8.285 ohm/km at 20 degC and 10.08 at 75 degC, by hand from the constants.
func TestResistanceOfALength(t *testing.T) {
	area := astmB258[14] * 1e-6
	for _, tt := range []struct{ celsius, want float64 }{{20, 8.285}, {75, 10.08}} {
		c := power.Conductor{Length: 100, Area: area, Temperature: tt.celsius + 273.15, Allowance: 1}
		got, err := c.Resistance()
		if err != nil || !near(10*got, tt.want, 0.005) {
			t.Errorf("100 m of 14 AWG at %g degC: got %.5f ohm, %v; want %g", tt.celsius, got, err, tt.want/10)
		}
	}
}

package environment_test

import (
	"slices"
	"strings"
	"testing"

	"kitgauge/checker/quantities/environment"
)

// known are the thickeners of both charts, the first nine those of FIST 2-4.
var known = []string{
	"sodium", "aluminium complex", "barium", "calcium", "calcium complex", "clay", "lithium", "lithium complex", "polyurea",
	"calcium 12-hydroxystearate", "calcium sulfonate", "shear-stable polyurea",
}

func TestCompatibleFIST(t *testing.T) {
	// Printed: US Bureau of Reclamation FIST 2-4 (1990), table 2, as copied at
	// pinacia.com. Every pair that is not listed is incompatible there. Three
	// that it rates kinder than other charts do have a test of their own.
	type pair [2]string
	listed := map[pair]environment.Mix{
		{"calcium", "lithium"}:         environment.MixBorderline,
		{"calcium", "lithium complex"}: environment.MixCompatible,
		{"lithium", "lithium complex"}: environment.MixCompatible,
		{"clay", "clay"}:               environment.MixBorderline,
	}
	contested := []pair{{"aluminium complex", "lithium"}, {"aluminium complex", "lithium complex"}, {"polyurea", "polyurea"}}
	for i, a := range known[:9] {
		for _, b := range known[i:9] {
			if slices.Contains(contested, pair{a, b}) {
				continue
			}
			want := environment.MixIncompatible
			if a == b {
				want = environment.MixCompatible
			}
			if mix, ok := listed[pair{a, b}]; ok {
				want = mix
			}
			got, err := environment.Compatible(a, b)
			if err != nil || got.Mix != want || !strings.Contains(got.Basis, "FIST 2-4") {
				t.Errorf("%s with %s: got %+v, %v; want %s", a, b, got, err, want)
			}
		}
	}
}

func TestCompatibleContested(t *testing.T) {
	for _, tt := range []struct {
		a, b string
		want environment.Mix
	}{
		// seen: of 21 charts 12 compatible, 4 borderline, 5 incompatible
		// (lubesngreases.com, "Contradictory compatibility"); FIST 2-4: compatible
		{"aluminium complex", "lithium complex", environment.MixBorderline},
		// seen: FIST 2-4 borderline, farmoyl.com incompatible, with both names
		{"aluminium complex", "lithium", environment.MixIncompatible},
		{"aluminium complex", "lithium 12-hydroxystearate", environment.MixIncompatible},
		// seen: polyureas "many times ... not compatible with ... other types of
		// polyurea grease" (machinerylubrication.com, Read/29477); FIST 2-4: compatible
		{"polyurea", "polyurea", environment.MixBorderline},
		{"polyurea", "shear-stable polyurea", environment.MixBorderline},
		{"shear-stable polyurea", "shear-stable polyurea", environment.MixBorderline},
	} {
		if got, err := environment.Compatible(tt.a, tt.b); err != nil || got.Mix != tt.want || !strings.Contains(got.Basis, "ASTM D6185") {
			t.Errorf("%s with %s: got %+v, %v; want %s", tt.a, tt.b, got, err, tt.want)
		}
	}
}

func TestOneSoap(t *testing.T) {
	// Limit: another name of a soap changes nothing.
	for _, name := range []string{"lithium 12-hydroxystearate", "Lithium-12-hydroxy", "Li 12-OH", "lithium soap", "lithium stearate"} {
		for _, b := range append(known, "lithium 12-hydroxystearate") {
			want, err1 := environment.Compatible("lithium", b)
			got, err2 := environment.Compatible(name, b)
			if got != want || (err1 == nil) != (err2 == nil) {
				t.Errorf("%s with %s: got %+v, %v; want %+v, %v", name, b, got, err2, want, err1)
			}
		}
	}
}

func TestCompatibleFromMemory(t *testing.T) {
	// From memory: chart of the trade press; the rows of aluminium complex with
	// the 12-hydroxystearates are printed at farmoyl.com.
	columns := []string{"aluminium complex", "calcium 12-hydroxystearate", "calcium complex", "calcium sulfonate", "clay",
		"lithium 12-hydroxystearate", "lithium complex", "polyurea", "shear-stable polyurea"}
	mixes := map[byte]environment.Mix{'C': environment.MixCompatible, 'B': environment.MixBorderline, 'I': environment.MixIncompatible}
	for _, row := range []struct{ name, letters string }{
		{"calcium sulfonate", "BBICIBCIC"},
		{"lithium 12-hydroxystearate", ".C.B....C"}, // . where FIST 2-4 has the pair, or charts contest it
		{"lithium complex", ".C.C....C"},
		{"polyurea", ".I.I....."},
		{"aluminium complex", ".C.B....."},
	} {
		for i, column := range columns {
			want, ok := mixes[row.letters[i]]
			if !ok {
				continue
			}
			got, err := environment.Compatible(row.name, column)
			if err != nil || got.Mix != want || strings.Contains(got.Basis, "FIST") {
				t.Errorf("%s with %s: got %+v, %v; want %s", row.name, column, got, err, want)
			}
		}
	}
}

func TestCompatibleNames(t *testing.T) {
	for _, name := range []string{"Aluminum Complex", "aluminium-complex", "ALUMINIUM COMPLEX SOAP", "aluminium_complex thickener"} {
		got, err := environment.Compatible(name, "lithium complex")
		if err != nil || got.Mix != environment.MixBorderline {
			t.Errorf("%s: got %+v, %v; want borderline", name, got, err)
		}
	}
	for _, name := range []string{"calcium sulphonate", "Calcium Sulfonate Complex"} {
		if _, err := environment.Compatible(name, "clay"); err != nil {
			t.Errorf("%s: got %v", name, err)
		}
	}
	_, err := environment.Compatible("lithium", "titanium")
	if err == nil || !strings.Contains(err.Error(), `"titanium" is not known: use one of sodium, aluminium complex, barium`) {
		t.Errorf("unknown thickener: got %v", err)
	}
	if _, err := environment.Compatible("", "lithium"); err == nil {
		t.Error("no thickener: want an error")
	}
	_, err = environment.Compatible("sodium", "calcium sulfonate")
	if err == nil || !strings.Contains(err.Error(), "ASTM D6185") {
		t.Errorf("pair in no chart: got %v", err)
	}
	if _, err = environment.Compatible(strings.Repeat("x", 1e6), "lithium"); err == nil || len(err.Error()) > 1000 {
		t.Error("endless name: want a short error")
	}
}

func TestCompatibleIsSymmetric(t *testing.T) {
	// Limit: every pair, both ways.
	for i, a := range known {
		for _, b := range known[:i] {
			one, err1 := environment.Compatible(a, b)
			other, err2 := environment.Compatible(b, a)
			if one != other || (err1 == nil) != (err2 == nil) {
				t.Errorf("%s with %s: %+v (%v), but the other way %+v (%v)", a, b, one, err1, other, err2)
			}
		}
	}
}

func FuzzCompatible(f *testing.F) {
	f.Add("lithium complex", "Calcium Sulphonate")
	f.Fuzz(func(t *testing.T, a, b string) {
		one, err1 := environment.Compatible(a, b)
		other, err2 := environment.Compatible(b, a)
		if one != other || (err1 == nil) != (err2 == nil) {
			t.Errorf("%q with %q is not symmetric: %+v, %+v", a, b, one, other)
		}
		if err1 != nil && len(err1.Error()) > 1500 {
			t.Errorf("%q with %q: the error is %d bytes long", a, b, len(err1.Error()))
		}
	})
}

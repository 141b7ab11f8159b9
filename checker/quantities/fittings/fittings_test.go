package fittings_test

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"kitgauge/checker/quantities/fittings"
)

func parse(t *testing.T, text string) fittings.Thread {
	t.Helper()
	thread, err := fittings.Parse(text)
	if err != nil {
		t.Fatalf("Parse(%q): %v", text, err)
	}
	return thread
}

func TestParse(t *testing.T) {
	const mm = 1e-3
	const inch = 25.4 * mm
	for _, tt := range []struct {
		text, name   string
		standard     fittings.Standard
		side         fittings.Side
		major, pitch float64
		taper        float64
		flanks       float64 // degrees
		source       string
	}{
		{"M10x1", "M10x1", fittings.ISOMetric, fittings.Either, 10 * mm, 1 * mm, 0, 60, "limit: the designation says it (ISO 965-1)"},
		{"M6x1", "M6x1", fittings.ISOMetric, fittings.Either, 6 * mm, 1 * mm, 0, 60, "printed: eng-calculations.com, ISO 1207 dimensions, M6 with pitch 1"},
		{"M8", "M8x1.25", fittings.ISOMetric, fittings.Either, 8 * mm, 1.25 * mm, 0, 60, "printed: deepri.com, thread tables, M8 coarse pitch 1.25"},
		{"M10", "M10x1.5", fittings.ISOMetric, fittings.Either, 10 * mm, 1.5 * mm, 0, 60, "printed: obliczenia.icad.pl, M10-6g, pitch 1.5 coarse"},
		{"M10x1 keg", "M10x1 keg", fittings.MetricTaper, fittings.External, 10 * mm, 1 * mm, 1.0 / 16, 60, "printed: gewindebohrer.de, DIN 158-1, flank angle 60, taper 1:16"},
		{"R 1/8", "R 1/8", fittings.Jointing, fittings.External, 9.728 * mm, 0.907 * mm, 1.0 / 16, 55, "printed: Mechanical Engineer's Pocket Book 4.1.38, 28 per inch, 0.907, 9.728"},
		{"Rc 1/4", "Rc 1/4", fittings.Jointing, fittings.Internal, 13.157 * mm, 1.337 * mm, 1.0 / 16, 55, "printed: Mechanical Engineer's Pocket Book 4.1.38"},
		{"Rp 3/8", "Rp 3/8", fittings.Jointing, fittings.Internal, 16.662 * mm, 1.337 * mm, 0, 55, "printed: Mechanical Engineer's Pocket Book 4.1.38"},
		{"G 1/8", "G 1/8", fittings.Fastening, fittings.Either, 9.728 * mm, 0.907 * mm, 0, 55, "printed: engineeringhardware.com, ISO 228 table"},
		{"G 1/16", "G 1/16", fittings.Fastening, fittings.Either, 7.723 * mm, 0.907 * mm, 0, 55, "printed: engineeringhardware.com, ISO 228 table"},
		{"G 1/2", "G 1/2", fittings.Fastening, fittings.Either, 20.955 * mm, 1.814 * mm, 0, 55, "printed: engineeringhardware.com, ISO 228 table"},
		{"G 3/4", "G 3/4", fittings.Fastening, fittings.Either, 26.441 * mm, 1.814 * mm, 0, 55, "printed: engineeringhardware.com, ISO 228 table"},
		{"G 1", "G 1", fittings.Fastening, fittings.Either, 33.249 * mm, 2.309 * mm, 0, 55, "printed: engineeringhardware.com, ISO 228 table"},
		{"1/8-27 NPT", "1/8-27 NPT", fittings.NPT, fittings.Either, 0.405 * inch, 0.03704 * inch, 1.0 / 16, 60, "printed: ASME B1.20.1 table 2, reprint; pitch 0.03704 in"},
		{"1/4-18 NPT", "1/4-18 NPT", fittings.NPT, fittings.Either, 0.540 * inch, 0.05556 * inch, 1.0 / 16, 60, "printed: ASME B1.20.1 table 2, reprint"},
		{"1-11.5 NPT", "1-11.5 NPT", fittings.NPT, fittings.Either, 1.315 * inch, 0.08696 * inch, 1.0 / 16, 60, "printed: ASME B1.20.1 table 2, reprint"},
		{"1/8-27 NPTF", "1/8-27 NPTF", fittings.Dryseal, fittings.Either, 0.405 * inch, 0.03704 * inch, 1.0 / 16, 60, "from memory: ASME B1.20.3 takes the sizes of NPT"},
		{"1/4-28 UNF", "1/4-28 UNF", fittings.Unified, fittings.Either, 6.350 * mm, 0.907 * mm, 0, 60, "from memory: ASME B1.1, 6.350 mm, pitch 0.907"},
		{"10-32 UNF", "10-32 UNF", fittings.Unified, fittings.Either, 0.190 * inch, inch / 32, 0, 60, "recomputed: 0.060 in + 10 x 0.013 in, the rule of ASME B1.1"},
		{"5/16-18 UNC", "5/16-18 UNC", fittings.Unified, fittings.Either, 0.3125 * inch, inch / 18, 0, 60, "printed: efunda.com lists 5/16-18 UNC"},
		{"5/8-18 UNF", "5/8-18 UNF", fittings.Unified, fittings.Either, 0.625 * inch, inch / 18, 0, 60, "printed: ASME B1.1 limits list 5/8-18 UNF with largest diameter 0.625 in (3A)"},
	} {
		got := parse(t, tt.text)
		if got.Name != tt.name || got.Standard != tt.standard || got.Side != tt.side {
			t.Errorf("Parse(%q) = %q, %s, %q; want %q, %s, %q", tt.text, got.Name, got.Standard, got.Side, tt.name, tt.standard, tt.side)
		}
		if math.Abs(got.Major-tt.major) > 1e-6 || math.Abs(got.Pitch-tt.pitch) > 1e-6 || got.Taper != tt.taper || math.Abs(got.Flanks*180/math.Pi-tt.flanks) > 1e-9 {
			t.Errorf("Parse(%q) = %+v; want major %g m, pitch %g m, taper %g, flanks %g deg (%s)", tt.text, got, tt.major, tt.pitch, tt.taper, tt.flanks, tt.source)
		}
	}
}

// Spellings of the trade read as the one of the standard (common practice, no source).
func TestSpellings(t *testing.T) {
	for name, spellings := range map[string][]string{
		"M10x1":       {"M10 x 1.0", "m10x1", "M 10 X 1", "M10\u00d71", "M10*1", "M10x1,0", "M10x1-6H", "M10x1-5g6g", " M10x1 "},
		"M6x1":        {"M6x1", "M6x1", "M6 x 1.0", "M6x1.00"},
		"M10x1 keg":   {"M10x1keg", "M10x1 KEG.", "M10 x 1 taper"},
		"M6x1 keg":    {"M6 keg", "M6x1keg"},
		"R 1/8":       {"R1/8", "r 1/8\"", "R \u215b", "1/8 BSPT", "BSPT 1/8", "1/8-28 BSPT", "R 1/8 keg.", "ISO 7-1 - R 1/8", "R 1/8 in"},
		"Rc 1/8":      {"RC1/8", "rc 1/8"},
		"G 1/8":       {"G1/8", "G 1/8 A", "G1/8\"", "1/8 BSPP", "BSPP 1/8", "ISO 228 - G 1/8", "1/8-28 BSPP"},
		"1/8-27 NPT":  {"NPT 1/8", "1/8 NPT", "1/8\"-27 npt", "NPT 1/8-27", "1/8\u201327 NPT"},
		"1/8-27 NPTF": {"1/8-27 PTF", "1/8 NPTF"},
		"1/4-28 UNF":  {"1/4-28", "1/4 UNF", "UNF 1/4-28", "1/4-28 UNF-2B", "1/4\"-28UNF", "1/4-28 UN"},
		"10-32 UNF":   {"#10-32 UNF", "No. 10-32 UNF", "10-32"},
		"1/4-20 UNC":  {"1/4-20", "1/4 UNC"},
	} {
		for _, s := range spellings {
			if got, err := fittings.Parse(s); err != nil || got.Name != name {
				t.Errorf("Parse(%q) = %q, %v; want %q", s, got.Name, err, name)
			}
		}
	}
}

func TestNoThread(t *testing.T) {
	for text, want := range map[string]string{
		"":                          "the thread is empty",
		"1/8":                       "is no thread designation",
		"M10x10":                    "M10 comes with a pitch of 1.5, 1.25, 1 or 0.75 mm",
		"M13x1":                     "no diameter of 13 mm",
		"M15":                       "M15 comes with a pitch of 1.5 or 1 mm",
		"M26":                       "M26 comes with a pitch of 1.5 mm",
		"M1.2.3":                    "is no diameter",
		"M10x1.2.3":                 "is no pitch",
		"1/8-28 NPT":                "NPT 1/8 has 27 threads per inch, not 28",
		"1/8-27 BSPT":               "R 1/8 has 28 threads per inch, not 27",
		"1/8 BSP":                   "leaves open whether the thread is taper or parallel",
		"1/8-27":                    "the series is missing",
		"R 1/7":                     "no size \"1/7\" of R",
		"G 5":                       "no size \"5\" of G",
		"1/4-28 UNC":                "of size 1/4 there are 1/4-20 UNC and 1/4-28 UNF",
		"1/3-28 UNF":                "no size \"1/3\" of UNF",
		"grease nipple":             "is no thread designation",
		"\u039c10x1":                "is no thread designation", // a Greek capital mu
		strings.Repeat("M10x1", 20): "too long for a thread",
	} {
		if got, err := fittings.Parse(text); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("Parse(%q) = %+v, %v; want an error with %q", text, got, err, want)
		}
	}
}

func TestScrew(t *testing.T) {
	for _, tt := range []struct {
		fitting, hole string
		want          bool
		source        string
	}{
		{"M10x1", "M10 x 1.0", true, "limit: one thread"},
		{"M10x1 keg", "M10x1", true, "printed: gewindebohrer.de, DIN 158-1: taper outside goes with an ISO hole"},
		{"R 1/8", "Rp 1/8", true, "printed: ISO 7-1, as quoted by jinsonfittings.com: Rp with R"},
		{"R 1/8", "Rc 1/8", true, "printed: ISO 7-1, as quoted by jinsonfittings.com: Rc with R"},
		{"R 1/8", "R 1/8", true, "common practice, no source: the hole is named after its counterpart"},
		{"R 1/8", "G 1/8", true, "common practice, no source"},
		{"G 1/8", "G 1/8", true, "limit: one thread"},
		{"G 1/8", "Rp 1/8", true, "common practice, no source: both parallel, of one table"},
		{"G 1/8", "Rc 1/8", false, "common practice, no source: parallel jams in taper"},
		{"Rc 1/8", "R 1/8", false, "printed: ISO 7-1: Rc is internal"},
		{"1/8-27 NPTF", "1/8-27 NPT", true, "from memory: ASME B1.20.3"},
		{"1/8-27 NPT", "R 1/8", false, "printed: 27 and 28 threads per inch, flanks of 60 and 55 degrees"},
		{"1/2-14 NPT", "R 1/2", false, "printed: one pitch, yet flanks of 60 and 55 degrees"},
		{"M6x1", "1/4-28 UNF", false, "limit: 6 mm is not 6.35 mm"},
		{"M10x1", "R 1/8", false, "printed: 10 mm with pitch 1, 9.728 mm with 0.907"},
		{"M10x1", "M10", false, "limit: pitch 1 is not 1.5"},
	} {
		got, why := fittings.Screw(parse(t, tt.fitting), parse(t, tt.hole))
		if got != tt.want || (why == "") != got {
			t.Errorf("%s into %s: got %v, %q; want %v (%s)", tt.fitting, tt.hole, got, why, tt.want, tt.source)
		}
	}
}

func TestFitting(t *testing.T) {
	for hole, want := range map[string]string{ // ISO 7-1: R is the external thread for Rp and Rc
		"Rp 1/8": "R 1/8", "Rc 1/4": "R 1/4", "R 1/8": "R 1/8", "G 1/8": "G 1/8", "M10x1": "M10x1", "1/8 NPT": "1/8-27 NPT",
	} {
		if got := fittings.Fitting(parse(t, hole)); got != want {
			t.Errorf("for %s: got %s, want %s", hole, got, want)
		}
	}
}

func TestScrewSaysWhy(t *testing.T) {
	for _, tt := range []struct{ fitting, hole, want string }{
		{"M10x1", "1/8 BSPT", "M10x1 (10 mm, pitch 1 mm) does not go into R 1/8 (9.728 mm, 28 per inch, pitch 0.907 mm)"},
		{"R 1/8", "NPT 1/8", "R 1/8 (9.728 mm, 28 per inch, pitch 0.907 mm) does not go into 1/8-27 NPT (10.29 mm, 27 per inch, pitch 0.941 mm)"},
		{"G 1/8", "Rc 1/8", "G 1/8 is parallel and jams in the taper hole Rc 1/8 before it seats"},
		{"Rp 1/8", "Rp 1/8", "Rp 1/8 is an internal thread; a fitting is screwed in with an external one"},
	} {
		if _, why := fittings.Screw(parse(t, tt.fitting), parse(t, tt.hole)); why != tt.want {
			t.Errorf("%s into %s: got %q, want %q", tt.fitting, tt.hole, why, tt.want)
		}
	}
}

// The shares are recomputed from the sizes that TestParse confirms.
func TestApart(t *testing.T) {
	for _, tt := range []struct {
		a, b         string
		major, pitch float64
	}{
		{"1/8-27 NPT", "R 1/8", 0.0543, 0.0357},
		{"M6x1", "1/4-28 UNF", 0.0551, 0.0929},
		{"M10x1", "R 1/8", 0.0272, 0.0929},
		{"M10x1", "M10", 0, 0.3333},
		{"M10x1", "M8x1", 0.2, 0},
	} {
		got := fittings.Apart(parse(t, tt.a), parse(t, tt.b))
		if math.Abs(got.Major-tt.major) > 5e-5 || math.Abs(got.Pitch-tt.pitch) > 5e-5 {
			t.Errorf("%s and %s: got %.4f, %.4f apart; want %.4f, %.4f", tt.a, tt.b, got.Major, got.Pitch, tt.major, tt.pitch)
		}
	}
}

var names = []string{
	"M10x1", "M10", "M6", "M8x1", "M10x1 keg", "R 1/8", "Rp 1/8", "Rc 1/8", "G 1/8", "R 1/4", "G 1/4",
	"1/8-27 NPT", "1/8-27 NPTF", "1/4-18 NPT", "1/4-28 UNF", "1/4-20 UNC", "10-32 UNF",
}

// Of any two threads: what is the same is so both ways and nothing apart, and
// a fitting goes into no hole of another thread.
func TestPairs(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		a, err := fittings.Parse(rapid.SampledFrom(names).Draw(r, "a"))
		b, err2 := fittings.Parse(rapid.SampledFrom(names).Draw(r, "b"))
		if err != nil || err2 != nil {
			r.Fatal(err, err2)
		}
		if fittings.Same(a, b) != fittings.Same(b, a) || fittings.Apart(a, b) != fittings.Apart(b, a) {
			r.Errorf("%s and %s: the order matters", a, b)
		}
		apart := fittings.Apart(a, b)
		if fittings.Same(a, b) != (apart.Major < 1e-3 && apart.Pitch < 1e-3) {
			r.Errorf("%s and %s: same %v, apart %+v", a, b, fittings.Same(a, b), apart)
		}
		if ok, _ := fittings.Screw(a, b); ok && !fittings.Same(a, b) {
			r.Errorf("%s goes into %s", a, b)
		}
	})
}

func FuzzParse(f *testing.F) {
	for _, n := range names {
		f.Add(n)
	}
	f.Fuzz(func(t *testing.T, text string) {
		got, err := fittings.Parse(text)
		if err != nil {
			if m := err.Error(); len(m) > 400 || strings.Contains(m, "%!") && !strings.Contains(text, "%") || strings.Contains(m, "strconv") {
				t.Errorf("%q: error %s", text, m)
			}
			return
		}
		if !(got.Major > 0.002 && got.Major < 0.04 && got.Pitch > 0.0003 && got.Pitch < 0.005) {
			t.Errorf("%q = %+v", text, got)
		}
		if again, err := fittings.Parse(got.Name); err != nil || again != got {
			t.Errorf("%q reads as %q, which reads as %+v, %v", text, got.Name, again, err)
		}
	})
}

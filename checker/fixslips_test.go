package checker_test

import (
	"bytes"
	"testing"

	"kitgauge/checker"
	"kitgauge/checker/edit"
)

// What one slip explains is not brought in line with it: it is said, and
// nothing is written, unless that is asked for.
func TestFixSlipFirst(t *testing.T) {
	for name, changes := range map[string][]edit.Change{
		"a station":        {setTo("/bundles/0/route/0/position/2", `"700 mm"`)},
		"points exchanged": {setTo("/lines/1/point", `"A3"`), setTo("/lines/2/point", `"A2"`)},
		"a line's number":  {setTo("/lines/7/number", "9")},
		"a unit":           {setTo("/lines/1/cut_length", `"1265 cm"`)},
		"a side":           {setTo("/points/6/position/1", `"-300 mm"`)},
	} {
		file, text := faulty(t, "trailer", changes...)
		fixed := mended(t, file, text, checker.FixOptions{})
		if !bytes.Equal(fixed.Text, text) || len(fixed.Slips) == 0 || len(fixed.Left) == 0 {
			t.Errorf("%s: made %+v, slips %+v", name, fixed.Made, fixed.Slips)
		}
	}
	file, text := faulty(t, "trailer", setTo("/lines/7/number", "9"))
	if fixed := mended(t, file, text, checker.FixOptions{Rules: []string{"paperwork/marker-number"}}); len(fixed.Made) == 0 || len(fixed.Slips) > 0 {
		t.Errorf("asked for: made %+v", fixed.Made)
	}
}

// Where the edit is the slip, it is made.
func TestFixSlipItself(t *testing.T) {
	for _, c := range []edit.Change{
		setTo("/lines/1/cut_length", `"1165 mm"`), setTo("/lines/2/point_marker", `"9"`),
		setTo("/documents/call_out_sheet/rows/3/name", `"Spring pin"`), setTo("/parts_list/1/quantity", "5"),
	} {
		file, text := faulty(t, "trailer", c)
		if fixed := mended(t, file, text, checker.FixOptions{}); len(fixed.Made) != 1 || len(fixed.After[0].Findings) > 0 {
			t.Errorf("%v: made %+v, left %+v, slips %+v", c, fixed.Made, fixed.Left, fixed.Slips)
		}
	}
}

func mended(t *testing.T, file string, text []byte, o checker.FixOptions) *checker.Fix {
	t.Helper()
	fixed, err := checker.OnExamples().Fix(file, text, o)
	if err != nil {
		t.Fatal(err)
	}
	return fixed
}

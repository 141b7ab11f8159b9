package facts_test

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"kitgauge/checker/facts"
)

// used finds a part by its number.
func used(t *testing.T, f *facts.Kit, number string) *facts.UsedPart {
	t.Helper()
	for _, s := range f.Subjects("part") {
		if p := s.(*facts.UsedPart); p.Number.V == number {
			return p
		}
	}
	t.Fatalf("part %s is not in use", number)
	return nil
}

func TestPartsInUse(t *testing.T) {
	f := papers(t)
	for _, tt := range []struct {
		number, measure, needed string
	}{
		{"PUMP", "count", "1"},
		{"ELEMENT", "count", "2"},
		{"BOLT", "count", "3"},
		{"STUD", "count", "4"},        // two lines, two ends
		{"TUBE", "length", "7000 mm"}, // 3 m + 4 m
		// 0.5 m from the pump (3-4-5 triangle), 1 m uncovered, 350 mm free
		{"CONDUIT", "length", "850 mm"},
		{"CABLE", "length", "12 m"}, // there and back
		{"TIE", "count", "1"},
		{"FUSE", "count", "1"},
		{"PLUG", "count", "1"},
		{"GREASE", "volume", "2 l"},
	} {
		p := used(t, f, tt.number)
		if p.Measure.V != tt.measure || p.Needed.V != tt.needed {
			t.Errorf("%s: got %s by %s, want %s by %s", tt.number, p.Needed.V, p.Measure.V, tt.needed, tt.measure)
		}
		if p.Source() == nil {
			t.Errorf("%s has no place in the file", tt.number)
		}
	}
	if p := used(t, papers(t, ", return: cable", ", return: frame"), "CABLE"); p.Needed.V != "6000 mm" {
		t.Errorf("return over the frame: got %s of cable, want 6000 mm", p.Needed.V)
	}
	wantWhy(t, used(t, papers(t, ", count: 3", ""), "BOLT").Count.Why, "the number of the pump's bolts is not stated")
}

// A part is held against the hottest place where it is.
func TestHottestPlace(t *testing.T) {
	hot := papers(t, "id: P2,", "id: P2, temperature: 80 degC,", "length: 6 m,", "length: 6 m, temperature: 60 degC,")
	for _, tt := range []struct {
		number  string
		hottest float64
		where   string
	}{
		{"TUBE", 80, "at point P2"},
		{"STUD", 80, "at point P2"},
		{"CABLE", 60, "along the feed"},
		{"CONDUIT", 35, "in the warmest air"},
	} {
		p := used(t, hot, tt.number)
		if !near(p.Hottest, tt.hottest+zeroCelsius) || p.HottestAt.V != tt.where {
			t.Errorf("%s: got %v %s, want %v degC %s", tt.number, p.Hottest.V, p.HottestAt.V, tt.hottest, tt.where)
		}
	}
	cool := used(t, papers(t, "id: P2,", "id: P2, temperature: 20 degC,"), "TUBE")
	if !near(cool.Hottest, 35+zeroCelsius) {
		t.Errorf("a point colder than the air: got %v K, want that of the air", cool.Hottest.V)
	}
	bare := used(t, papers(t, "kind: tube, temperature: {from: -40 degC, to: 90 degC}", "kind: tube"), "TUBE")
	wantWhy(t, bare.Lowest.Why, "the lowest temperature of part TUBE is not stated")
	wantWhy(t, bare.Highest.Why, "the highest temperature of part TUBE is not stated")
}

func TestPartsList(t *testing.T) {
	row := func(list string, pairs ...string) *facts.ListRow {
		return papers(t, append(pairs, "[{part: TUBE, length: 8 m}]", list)...).ListRows[0]
	}
	if r := row("[{part: TUBE, length: 5 m}, {part: TUBE, length: 4 m}]"); !near(r.TotalLength, 9) {
		t.Errorf("two rows of tube: got %v m, want 9", r.TotalLength.V)
	}
	wantWhy(t, row("[{part: TUBE, quantity: 2}]").TotalLength.Why, "the length of TUBE in the parts list is not stated")
	if r := row("[{part: OTHER, volume: 1 l}]"); !r.InUse.Known || r.InUse.V {
		t.Errorf("a grease that no member names: got in use %+v, want no", r.InUse)
	}
	if r := row("[{part: OTHER, volume: 1 l}]", "  grease: GREASE\n", "  grease: GREASY\n"); r.Sure.V {
		t.Error("whether a part is used cannot be said where the kit names one that is not known")
	}
	if row("[{part: NOWHERE}]").Sure.V || !row("[{part: TUBE, length: 8 m}]").Sure.V {
		t.Error("got a part that no catalogue has for known, or one that it has for unknown")
	}
	if r := row("[{part: OTHER, volume: 1 l}]"); r.Missing.V != "GREASE" {
		t.Errorf("an exchanged grease: got %q missing, want GREASE", r.Missing.V)
	}
	if f := papers(t); !used(t, f, "TUBE").Listed.V || used(t, f, "BOLT").Listed.V {
		t.Error("of tube and bolt, only the tube is in the parts list")
	}
}

func TestPointNames(t *testing.T) {
	for _, tt := range []struct {
		name, side string
		part       bool
	}{
		{"Spring pin, left", "left", true},
		{"Spring pin LH", "left", true},
		{"Right-hand kingpin", "right", true},
		{"Kingpin, left spring, right eye", "both", true},
		{"Upright pin", "none", true}, // a word that holds another
		{"Kingpin, near side", "none", true},
		{"Front, left, 1", "left", false},
		{"17", "none", false},
	} {
		p := papers(t, "Spring pin, left", tt.name).Points[0]
		if p.NamedSide.V != tt.side || p.NamesPart.V != tt.part {
			t.Errorf("%q: got side %s, part %v; want %s, %v", tt.name, p.NamedSide.V, p.NamesPart.V, tt.side, tt.part)
		}
	}
	// ISO 8855: y is to the left.
	f := papers(t)
	for i, want := range []string{"left", "right"} {
		if got := f.Points[i]; got.LiesSide.V != want || math.Abs(got.OffCentre.V-0.5) > 1e-9 {
			t.Errorf("%s: got %v m to the %s, want 0.5 m to the %s", got.Place(), got.OffCentre.V, got.LiesSide.V, want)
		}
	}
	wantWhy(t, papers(t, "position: [0 m, 500 mm, 0 m], ", "").Points[0].OffCentre.Why, "the position of point P1 (Spring pin, left) is not stated")
	if got := papers(t, "Spring pin, right", "spring pin - LEFT").Points[1]; got.SameName.V != 2 || got.NameFirst.V != "P1" {
		t.Errorf("one name in two spellings: got number %d after %q, want 2 after P1", got.SameName.V, got.NameFirst.V)
	}
}

// However a name is written, it names one of four sides, and the side does
// not change with the case.
func TestAnyPointName(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		name := rapid.StringMatching(`[A-Za-z0-9 ,.()/-]{1,40}`).Draw(rt, "name")
		lower := facts.NamedSide(name)
		if upper := facts.NamedSide(strings.ToUpper(name)); upper != lower {
			rt.Fatalf("%q: got %s in capitals, %s otherwise", name, upper, lower)
		}
		if !strings.Contains("left right both none", lower) {
			rt.Fatalf("%q: got side %q", name, lower)
		}
	})
}

func TestMarkers(t *testing.T) {
	for _, tt := range []struct{ marker, strange string }{
		{`"1"`, ""}, {`L1`, ""}, {`1/P`, ""}, {`"01"`, ""},
		{`"11"`, `the marker at the pump says "11"`},
		{`pump`, `the marker at the pump says "pump"`},
	} {
		l := papers(t, `pump_marker: "1"`, "pump_marker: "+tt.marker).Lines[0]
		if l.StrangeMarker.V != tt.strange || l.Unmarked.V != "" {
			t.Errorf("%s: got %q, %q; want %q", tt.marker, l.StrangeMarker.V, l.Unmarked.V, tt.strange)
		}
	}
	if l := papers(t, `, pump_marker: "1", point_marker: "1"`, "").Lines[0]; l.Unmarked.V != "pump and at the point" {
		t.Errorf("no markers: got %q", l.Unmarked.V)
	}
}

func TestCallOutSheet(t *testing.T) {
	const rows = `[{line: 1, name: "Spring pin, left"}, {line: 2, name: "Spring pin, right"}]`
	f := papers(t, rows, `[{line: 2, name: A}, {line: 2, name: B}, {line: 7, name: C}, {name: D}]`, "point: P2,", "point: P3,")
	for i, want := range []struct {
		line, named bool
		same        int64
	}{{true, false, 1}, {true, false, 2}, {false, false, 0}} {
		if r := f.Rows[i]; r.HasLine.V != want.line || r.PointNamed.V != want.named || r.SameLine.V != want.same {
			t.Errorf("%s: got %+v %+v %+v, want %+v", r.Place(), r.HasLine, r.PointNamed, r.SameLine, want)
		}
	}
	wantWhy(t, f.Rows[3].HasLine.Why, "the line of call-out sheet, row 4 is not stated")
	if f.Lines[0].Rows.V != 0 || f.Lines[1].Rows.V != 2 {
		t.Errorf("got %d rows of line 1 and %d of line 2, want 0 and 2", f.Lines[0].Rows.V, f.Lines[1].Rows.V)
	}
}

func TestTitleBlock(t *testing.T) {
	f := papers(t, ", drawn_by: I. Sandvik, date: 2026-09-14", "")
	if got := strings.Join(f.TitleGaps, ", "); got != "who drew it, when it was issued" {
		t.Errorf("got the gaps %q", got)
	}
	wantWhy(t, f.DateIsADay.Why, "the date of the kit is not stated")
	// 2028 is a leap year, 2026 and 2100 are not (Gregorian calendar).
	for date, want := range map[string]bool{"2026-02-29": false, "2028-02-29": true, "2100-02-29": false, "2026-04-31": false} {
		if got := papers(t, "2026-09-14", date).DateIsADay; got.V != want {
			t.Errorf("%s: got %v, want %v", date, got.V, want)
		}
	}
}

// Who is the same person, package person tests; here it is asked with the
// names of the kit, and not at all where there is one name or none.
func TestSamePerson(t *testing.T) {
	for checker, want := range map[string]bool{"i sandvik": true, "Ingrid Sandvik": true, "'Sandvik, Ingrid'": true, `"\u0406. Sandvik"`: true, "J. Sandvik": false, "R. Okafor": false, `"\u200b"`: false} {
		if got := papers(t, "date: 2026", "checked_by: "+checker+", date: 2026").SamePerson; !got.Known || got.V != want {
			t.Errorf("checked by %s: got the same person %+v, want %v", checker, got, want)
		}
		f := papers(t, "parts_list: [", "concessions: [{rule: r, granted_by: "+checker+"}]\nparts_list: [")
		if got := f.Granted[0].GrantedByDrawer; !got.Known || got.V != want {
			t.Errorf("granted by %s: got granted by the drawer %+v, want %v", checker, got, want)
		}
	}
	wantWhy(t, papers(t).SamePerson.Why, "who checked the kit is not stated")
	f := papers(t, ", drawn_by: I. Sandvik", "", "parts_list: [", "concessions: [{rule: r, granted_by: R. Okafor}, {rule: r}]\nparts_list: [")
	wantWhy(t, f.SamePerson.Why, "who drew the kit is not stated")
	wantWhy(t, f.Granted[0].GrantedByDrawer.Why, "who drew the kit is not stated")
	f = papers(t, "drawn_by: I. Sandvik", "drawn_by: [I. Sandvik]", "date: 2026", "checked_by: R. Okafor, date: 2026")
	wantWhy(t, f.SamePerson.Why, "drawn_by is a list; text is needed")
}

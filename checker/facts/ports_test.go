package facts_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"kitgauge/checker/facts"
	"kitgauge/checker/value"
)

const portsKit = `
points: [{id: P1}, {id: P2}, {id: P3}]
pump:
  part: PUMP
  outlets: [{number: 1, element: SMALL}, {number: 2, element: LARGE}, {number: 3, blanked: true}]
lines: [{number: 1, outlet: 1, point: P1}, {number: 2, outlet: 2, point: P2}]
`

const portsParts = `
title: parts
parts:
  - {number: PUMP, kind: pump, outlets: 4, element_series: [E, F]}
  - {number: SMALL, kind: element, series: E}
  - {number: LARGE, kind: element, series: M}
`

func ported(t testing.TB, pairs ...string) *facts.Kit {
	t.Helper()
	return fromText(t, portsKit, portsParts, pairs...)
}

func flag(f value.Flag) string {
	if f.Known {
		return fmt.Sprint(f.V)
	}
	return f.Why
}

// The outlets are those of the list, then those that the pump has beside.
func TestOutlets(t *testing.T) {
	var got []string
	for _, o := range ported(t).Outlets {
		got = append(got, fmt.Sprintf("%s: listed %v, exists %v, fitted %v, fits %s, blanked %v, lines %v",
			o.Place(), o.Listed.V, o.Exists.V, o.Fitted.V, flag(o.ElementFits), o.BlankedOff.V, o.Lines))
	}
	want := []string{
		"outlet 1: listed true, exists true, fitted true, fits true, blanked false, lines [1]",
		"outlet 2: listed true, exists true, fitted true, fits false, blanked false, lines [2]",
		"outlet 3: listed true, exists true, fitted false, fits the metering element is not stated, blanked true, lines []",
		"outlet 4: listed false, exists true, fitted false, fits the metering element is not stated, blanked false, lines []",
	}
	if !slices.Equal(got, want) {
		t.Errorf("got %s\nwant %s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
}

func TestOutletFaults(t *testing.T) {
	f := ported(t, "{number: 3, blanked: true}", "{number: 2, element: SMALL}, {number: 7}, {element: SMALL}")
	twice, beyond, unnumbered := f.Outlets[2], f.Outlets[3], f.Outlets[4]
	if twice.SameNumber.V != 2 || len(twice.Lines) != 0 || f.Outlets[1].SameNumber.V != 1 {
		t.Errorf("outlet 2 listed twice: got number %d of its kind with lines %v; want the line at the first", twice.SameNumber.V, twice.Lines)
	}
	if flag(beyond.Exists) != "false" {
		t.Errorf("outlet 7 of 4: got exists %s, want false", flag(beyond.Exists))
	}
	if got, want := flag(unnumbered.Exists), "the number of an outlet is not stated"; got != want {
		t.Errorf("an outlet without a number: got %q, want %q", got, want)
	}
	if got, want := unnumbered.Place(), "an outlet without a number"; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
}

func TestLinePorts(t *testing.T) {
	for _, tt := range []struct {
		old, new string
		of       func(*facts.Kit) string
		want     string
	}{
		{"outlet: 2,", "outlet: 1,", func(f *facts.Kit) string { return fmt.Sprint(f.Lines[1].SharesOutlet) }, "[1]"},
		{"outlet: 2,", "outlet: 9,", func(f *facts.Kit) string { return flag(f.Lines[1].OutletExists) }, "false"},
		{"outlet: 2,", "outlet: 9,", func(f *facts.Kit) string { return f.Lines[1].OutletFit.Why }, "the pump has no outlet 9"},
		{"outlet: 2,", "outlet: 4,", func(f *facts.Kit) string { return flag(f.Lines[1].OutletExists) }, "true"},
		{"outlet: 2, ", "", func(f *facts.Kit) string { return flag(f.Lines[1].OutletExists) }, "the outlet of line 2 is not stated"},
		{"outlets: 4, ", "", func(f *facts.Kit) string { return flag(f.Lines[1].OutletExists) }, "the number of outlets of part PUMP is not stated"},
		{"part: PUMP", "part: PUMPS", func(f *facts.Kit) string { return flag(f.Outlets[0].Exists) }, `no part "PUMPS" in test.parts.yaml; nearest is "PUMP"`},
		{", element_series: [E, F]", "", func(f *facts.Kit) string { return flag(f.Outlets[0].ElementFits) }, "the element series of part PUMP is not stated"},
		{"kind: element, series: E", "kind: element", func(f *facts.Kit) string { return flag(f.Outlets[0].ElementFits) }, "the series of part SMALL is not stated"},
		{"element: SMALL", "element: PUMP", func(f *facts.Kit) string { return flag(f.Outlets[0].ElementFits) }, `part "PUMP" is a pump; an element is needed here`},
		{"point: P2", "point: P9", func(f *facts.Kit) string { return f.Lines[1].PointProblem.V }, `no point "P9" in this kit; nearest is "P2"`},
		{", point: P2", "", func(f *facts.Kit) string { return f.Lines[1].PointProblem.V }, "no point is stated"},
		{"point: P2", "point: P1", func(f *facts.Kit) string { return fmt.Sprint(f.Points[0].Lines, f.Points[1].Lines) }, "[1 2] []"},
		{"{id: P2}", "{id: P1}", func(f *facts.Kit) string {
			return fmt.Sprint(f.Points[1].SameID.V, f.Points[0].SharedID.V, f.Points[2].SharedID.V)
		}, "2 true false"},
		{"{id: P2}", "{}", func(f *facts.Kit) string { return f.Points[1].SameID.Why }, "the id of a point is not stated"},
		{"{number: 2, outlet: 2,", "{number: 1, outlet: 2,", func(f *facts.Kit) string { return fmt.Sprint(f.Lines[1].SameNumber.V, f.LineGaps) }, "2 []"},
		{"{number: 2, outlet: 2,", "{number: 5, outlet: 2,", func(f *facts.Kit) string { return fmt.Sprint(f.LineGaps) }, "[2 3 4]"},
		{"{number: 2, outlet: 2,", "{number: 100000, outlet: 2,", func(f *facts.Kit) string { return fmt.Sprint(len(f.LineGaps)) }, "20"},
		{"{number: 2, outlet: 2,", "{outlet: 2,", func(f *facts.Kit) string {
			return fmt.Sprint(f.Lines[1].SameNumber.Why, f.LineGaps, f.Points[1].Lines)
		}, "the number of a line is not stated[] [?]"},
	} {
		if got := tt.of(ported(t, tt.old, tt.new)); got != tt.want {
			t.Errorf("%q for %q: got %q, want %q", tt.new, tt.old, got, tt.want)
		}
	}
}

// An absurd number of outlets in a catalogue is cut, not counted out.
func TestAbsurdOutlets(t *testing.T) {
	if got := len(ported(t, "outlets: 4", "outlets: 99999").Outlets); got != 1000 {
		t.Errorf("got %d outlets, want 1000", got)
	}
}

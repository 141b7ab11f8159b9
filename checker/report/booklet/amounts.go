package booklet

import (
	"fmt"
	"math"
	"strconv"

	"kitgauge/checker/kit"
	"kitgauge/checker/units"
	"kitgauge/checker/value"
)

// sixteen is how fine a rule in inches is read (common practice, no source).
const sixteen = 16

// length writes a length to be measured off: in millimetres to a tenth, in
// inches up to the next sixteenth, as the cut list has it.
func (m *maker) length(v value.Number) string {
	switch {
	case v.Known:
		return m.toCut(v.V) + " " + m.unit()
	case v.Node != nil || v.Why != "":
		return m.t("unknown")
	}
	return ""
}

// roundedUp writes a computed length: nobody measures tenths of a millimetre.
func (m *maker) roundedUp(v value.Number) string {
	if v.Known && m.kit.Family() != units.Inch {
		v.V = math.Ceil(v.V*1e3-noise) / 1e3
	}
	return m.length(v)
}

// unit is that of lengths.
func (m *maker) unit() string {
	if m.kit.Family() == units.Inch {
		return "in"
	}
	return "mm"
}

// inch is one of them [m]; noise is what the conversion rounds.
const (
	inch  = 0.0254
	noise = 1e-9
)

// toCut is a length to be measured off, without its unit.
func (m *maker) toCut(si float64) string {
	if m.kit.Family() != units.Inch {
		return m.bare(si)
	}
	return fraction(int64(math.Ceil(si/inch*sixteen - noise)))
}

// bare is a coordinate without its unit: in inches the nearest sixteenth.
func (m *maker) bare(si float64) string {
	if m.kit.Family() != units.Inch {
		return m.words.number(strconv.FormatFloat(math.Round(si*1e4)/10+0, 'f', -1, 64))
	}
	n := int64(math.Round(math.Abs(si) / inch * sixteen))
	if si < 0 && n > 0 {
		return "-" + fraction(n)
	}
	return fraction(n)
}

// fraction writes a number of sixteenths: 10 3/8.
func fraction(n int64) string {
	whole, part, of := n/sixteen, n%sixteen, int64(sixteen)
	for part > 0 && part%2 == 0 {
		part, of = part/2, of/2
	}
	switch {
	case part == 0:
		return fmt.Sprint(whole)
	case whole == 0:
		return fmt.Sprintf("%d/%d", part, of)
	}
	return fmt.Sprintf("%d %d/%d", whole, part, of)
}

func itoa(n int) string { return strconv.Itoa(n) }

// amount writes any other value in the units of the kit.
func (m *maker) amount(v value.Number, d units.Dimension) string {
	if !v.Known {
		return m.t("unknown")
	}
	return m.words.number(units.Format(v.V, d, m.kit.Family()))
}

// volume writes a volume of grease in litres, in kits of either family: it is
// read off beside others.
func (m *maker) volume(v value.Number) string {
	if !v.Known {
		return m.t("unknown")
	}
	text, err := units.FormatIn(v.V, "l")
	if err != nil {
		return m.t("unknown")
	}
	return m.words.number(text)
}

// place are the coordinates of a position, without their unit.
func (m *maker) place(v kit.Vector) (forward, left, up string) {
	if !v.Known() {
		unknown := m.t("unknown")
		return unknown, unknown, unknown
	}
	return m.bare(v.X.V), m.bare(v.Y.V), m.bare(v.Z.V)
}

// Package sheet makes the sheets by which a kit is built and fitted: the
// call-out sheet, the cut list, the free lengths and the parts list. A [Sheet] is rows of cells
// and knows nothing of a format; the writers of CSV and XLSX stand beside it,
// and any other report can show it too. Values are in the kit's own unit
// family. What comes from a kit file is held as it stands there; each writer
// makes it harmless for its format.
package sheet

import (
	"math"
	"slices"
	"strconv"

	"kitgauge/checker/facts"
	"kitgauge/checker/units"
	"kitgauge/checker/value"
)

// Sheet is one sheet: a head, and a row for each line, tube or part.
type Sheet struct {
	Name    string // in commands: one of [Names]
	Title   string // "Call-out sheet"
	Columns []Column
	Rows    [][]Cell // as many cells in each as there are columns
}

// Column is the head of a column.
type Column struct {
	Head  string
	Unit  string // of its numbers, "" where they have none or each row its own
	Right bool   // its cells are numbers, set to the right
	Parts int    // of the unit to which its numbers are held, as 16 for sixteenths; 0 for none
}

// Label is the head with the unit: "cut length (mm)".
func (c Column) Label() string {
	if c.Unit == "" {
		return c.Head
	}
	return c.Head + " (" + c.Unit + ")"
}

// Cell is one cell. A text is not to be trusted.
type Cell struct {
	Text     string
	Number   float64 // what Text says, where IsNumber
	IsNumber bool
}

// Book is the sheets of a kit.
type Book struct {
	Block  Block
	Family units.Family
	Sheets []Sheet
}

// Sheet is the sheet of a name of [Names].
func (b Book) Sheet(name string) Sheet {
	i := slices.IndexFunc(b.Sheets, func(s Sheet) bool { return s.Name == name })
	return b.Sheets[i]
}

// Block is what the title block says (ISO 7200).
type Block struct {
	Owner, Number, Revision, Title, Status, DrawnBy, CheckedBy, Date string
}

// Names lists the sheets of a kit.
func Names() []string { return []string{"call-out", "cut", "free", "parts"} }

// Of makes all sheets of a kit.
func Of(k *facts.Kit, by Order) Book {
	h := &k.Kit.Header
	return Book{
		Block: Block{
			Owner: h.Owner.V, Number: h.Number.V, Revision: h.Revision.V, Title: h.Title.V,
			Status: h.Status.V, DrawnBy: h.DrawnBy.V, CheckedBy: h.CheckedBy.V, Date: h.Date.V,
		},
		Family: k.Family(),
		Sheets: []Sheet{CallOut(k), CutList(k, by), FreeLengths(k), PartsList(k)},
	}
}

// unknown stands for what the kit states and nobody can read.
const unknown = "?"

func text(t string) Cell { return Cell{Text: t} }

// leaf shows a text of the kit; what is not stated stays empty.
func leaf(t value.Text) Cell {
	if !t.Known && t.Node != nil {
		return text(unknown)
	}
	return text(t.V)
}

func count(c value.Count) Cell {
	switch {
	case c.Known:
		return number(float64(c.V))
	case c.Node != nil || c.Why != "":
		return text(unknown)
	}
	return text("")
}

func number(x float64) Cell {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return text(unknown)
	}
	return Cell{Text: strconv.FormatFloat(x+0, 'f', -1, 64), Number: x + 0, IsNumber: true} // -0 becomes 0
}

// stated shows a measured value of the kit in a unit with every digit that was
// written. A value with more than eight digits was written in another unit,
// and is rounded to as many digits as told.
func stated(v value.Number, symbol string, digits int) Cell {
	switch {
	case v.Known:
		const most, exact = 8, 10 // a conversion is right to more than ten digits
		x := rounded(in(v.V, symbol), exact)
		if x != rounded(x, most) {
			x = rounded(x, digits)
		}
		return number(x)
	case v.Node != nil || v.Why != "":
		return text(unknown)
	}
	return text("")
}

func rounded(x float64, digits int) float64 {
	r, _ := strconv.ParseFloat(strconv.FormatFloat(x, 'g', digits, 64), 64)
	return r
}

// in converts from SI.
func in(si float64, symbol string) float64 {
	u, _ := units.Lookup(symbol)
	return si/u.Factor - u.Offset
}

// family picks the unit of a kit's family.
func family(k *facts.Kit, metric, inch string) string {
	if k.Family() == units.Inch {
		return inch
	}
	return metric
}

// lengthUnit is that of the lengths to be measured off.
func lengthUnit(k *facts.Kit) string { return family(k, "mm", "in") }

// finest is the least step to which a length is measured off, of its unit: a
// millimetre, and a sixteenth on a rule in inches (common practice, no source).
func finest(k *facts.Kit) float64 {
	if k.Family() == units.Inch {
		return 1.0 / sixteen
	}
	return 1
}

const sixteen = 16

func lengthColumn(k *facts.Kit, head string) Column {
	c := Column{Head: head, Unit: lengthUnit(k), Right: true}
	if c.Unit == "in" {
		c.Parts = sixteen
	}
	return c
}

// length shows a length of the kit: in millimetres with every digit that was
// written, in inches up to the next sixteenth.
func length(k *facts.Kit, v value.Number) Cell {
	if v.Known && k.Family() == units.Inch {
		return roundedUp(v, measure{"in", finest(k)})
	}
	return stated(v, lengthUnit(k), 6)
}

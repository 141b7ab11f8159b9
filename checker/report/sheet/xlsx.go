package sheet

import (
	"fmt"
	"io"
	"strings"
	"time"
	"unicode/utf16"
	"unicode/utf8"

	"github.com/xuri/excelize/v2"

	"kitgauge/checker/finding"
	"kitgauge/checker/report"
	"kitgauge/checker/workbook"
)

// XLSX says how a book is written as a workbook.
type XLSX struct{ Paper workbook.Paper }

// WriteXLSX writes a book as an Office Open XML workbook (ISO/IEC 29500) with
// a worksheet for each sheet: numbers as numbers, their points or sixteenths
// one below the other, texts as plain strings and never as formulas, a rule
// below each row and a box to tick at its end, the head frozen and repeated on
// each page, the title block above and the caution below. The same book gives
// the same bytes.
func WriteXLSX(w io.Writer, b Book, o XLSX) error {
	f := excelize.NewFile()
	defer f.Close()
	x := writer{File: f, book: b, paper: o.Paper}
	for i := range b.Sheets {
		x.sheet(i, &b.Sheets[i])
	}
	x.properties()
	f.SetZipWriter(workbook.NewZip)
	if x.err == nil {
		x.err = f.Write(w)
	}
	if x.err != nil {
		return fmt.Errorf("writing the sheets as XLSX: %w", x.err)
	}
	return nil
}

// writer writes worksheets and keeps the first error.
type writer struct {
	*excelize.File
	book  Book
	paper workbook.Paper
	err   error
}

func (x *writer) note(err error) {
	if x.err == nil {
		x.err = err
	}
}

func (x *writer) style(s *excelize.Style) int {
	id, err := x.NewStyle(s)
	x.note(err)
	return id
}

// heads is the style of the heads of a column.
func (x *writer) heads(right bool) int {
	return x.style(&excelize.Style{
		Font:      &excelize.Font{Bold: true, Family: typeface, Size: typeSize},
		Alignment: side(right, "bottom"), NumFmt: asText,
		Border: []excelize.Border{{Type: "bottom", Style: mediumLine, Color: "000000"}},
	})
}

// texts is that of texts. A text has the number format of text too, so that
// it is no formula even after somebody has edited it.
func (x *writer) texts(right bool) int {
	return x.style(&excelize.Style{Font: plain, NumFmt: asText, Alignment: side(right, "top"), Border: rule})
}

// number is that of a number: with the decimals that it has, and room for as
// many as the column's others have, so that the points stand one below the
// other; or as a fraction where the column has parts of a unit.
func (x *writer) number(c Cell, in Column, most int) int {
	format, own := "0", decimals(c)
	if own > 0 {
		format += "." + strings.Repeat("0", own)
	} else if most > 0 {
		format += "_."
	}
	format += strings.Repeat("_0", most-own)
	if in.Parts > 0 {
		format = "# ??/??"
	}
	return x.style(&excelize.Style{Font: plain, CustomNumFmt: &format, Alignment: side(true, "top"), Border: rule})
}

// box is the style of the field to tick.
func (x *writer) box() int {
	return x.style(&excelize.Style{Font: plain, NumFmt: asText, Border: []excelize.Border{
		{Type: "left", Style: thinLine, Color: "000000"}, {Type: "right", Style: thinLine, Color: "000000"},
		{Type: "top", Style: thinLine, Color: "000000"}, {Type: "bottom", Style: thinLine, Color: "000000"},
	}})
}

// Of the formats and lines that every spreadsheet has (ISO/IEC 29500-1,
// 18.8.30 and 18.18.3).
const (
	asText     = 49
	thinLine   = 1
	mediumLine = 2
)

// The type of all cells. A spreadsheet that does not have it takes one as wide.
const (
	typeface = "Arial"
	typeSize = 10
)

var (
	plain = &excelize.Font{Family: typeface, Size: typeSize}
	rule  = []excelize.Border{{Type: "bottom", Style: thinLine, Color: "A0A0A0"}}
)

// side sets a cell to the right or to the left, with air between the two.
func side(right bool, vertical string) *excelize.Alignment {
	a := &excelize.Alignment{Vertical: vertical, WrapText: !right, Horizontal: "left", Indent: 1}
	if right {
		a.Horizontal = "right"
	}
	return a
}

// decimals is how many a number is written with, 0 for a text.
func decimals(c Cell) int {
	_, after, _ := strings.Cut(c.Text, ".")
	if !c.IsNumber {
		return 0
	}
	return len(after)
}

func (x *writer) sheet(i int, s *Sheet) {
	name := s.Title
	if i == 0 {
		x.note(x.SetSheetName("Sheet1", name))
	} else if _, err := x.NewSheet(name); err != nil {
		x.note(err)
	}
	for c, column := range s.Columns {
		x.cell(name, c, 0, text(column.Label()), x.heads(column.Right))
		words, most := x.texts(column.Right), 0
		for _, row := range s.Rows {
			most = max(most, decimals(row[c]))
		}
		for r, row := range s.Rows {
			style := words
			if row[c].IsNumber {
				style = x.number(row[c], column, most)
			}
			x.cell(name, c, r+1, row[c], style)
		}
	}
	x.ticks(name, s)
	last, err := excelize.CoordinatesToCellName(len(s.Columns)+1, len(s.Rows)+1)
	x.note(err)
	x.note(x.SetSheetDimension(name, "A1:"+last))
	x.widths(name, s)
	x.note(x.SetPanes(name, &excelize.Panes{Freeze: true, YSplit: 1, TopLeftCell: "A2", ActivePane: "bottomLeft"}))
	x.print(name, s)
}

// ticks adds a column of boxes for the one who builds or fits the kit.
func (x *writer) ticks(name string, s *Sheet) {
	at := len(s.Columns)
	x.cell(name, at, 0, text("done"), x.heads(false))
	box := x.box()
	for r := range s.Rows {
		x.cell(name, at, r+1, text(""), box)
	}
}

func (x *writer) cell(sheet string, column, row int, c Cell, style int) {
	at, err := excelize.CoordinatesToCellName(column+1, row+1)
	x.note(err)
	if c.IsNumber {
		x.note(x.SetCellFloat(sheet, at, c.Number, -1, 64))
	} else if c.Text != "" {
		x.note(x.SetCellStr(sheet, at, report.Visible(c.Text)))
	}
	x.note(x.SetCellStyle(sheet, at, at, style))
}

// widths makes columns as wide as what stands in them, within reason.
func (x *writer) widths(name string, s *Sheet) {
	const narrow, wide, air = 7, 48, 2
	for c, column := range s.Columns {
		most := utf8.RuneCountInString(column.Label())
		for _, row := range s.Rows {
			most = max(most, utf8.RuneCountInString(row[c].Text))
		}
		letter, err := excelize.ColumnNumberToName(c + 1)
		x.note(err)
		x.note(x.SetColWidth(name, letter, letter, float64(min(max(most, narrow), wide)+air)))
	}
}

// print sets up the page: landscape, as wide as the paper, the head on each,
// header and footer in 8 point.
func (x *writer) print(name string, s *Sheet) {
	x.note(workbook.Landscape(x.File, name, x.paper, x.book.Family))
	x.note(x.SetDefinedName(&excelize.DefinedName{Name: "_xlnm.Print_Titles", RefersTo: "'" + name + "'!$1:$1", Scope: name}))
	b := &x.book.Block
	x.note(x.SetHeaderFooter(name, &excelize.HeaderFooterOptions{
		OddHeader: "&L&8 " + field(join(b.Owner, b.Number, "revision "+b.Revision, b.Status), 75) +
			"&C&8 " + field(s.Title+": "+b.Title, 75) +
			"&R&8 " + field(join("drawn by "+b.DrawnBy, "checked by "+b.CheckedBy, b.Date), 75),
		OddFooter: "&L&8 " + field(report.Caution, 200) + "&R&P / &N",
	}))
}

// join puts commas between the texts that say something.
func join(list ...string) string {
	var said []string
	for _, t := range list {
		if t = strings.TrimSpace(t); t != "" && t != "revision" && t != "drawn by" && t != "checked by" {
			said = append(said, t)
		}
	}
	return strings.Join(said, ", ")
}

// field makes a text fit for a header or a footer of at most that many UTF-16
// units: there an ampersand begins a code and is written twice, and all of a
// header together may have 255.
func field(text string, most int) string {
	const dots = "…"
	var b strings.Builder
	used := 0
	for _, r := range report.Visible(text) {
		part := string(r)
		if r == '&' {
			part = "&&"
		}
		n := len(utf16.Encode([]rune(part)))
		if used+n > most-1 {
			b.WriteString(dots)
			break
		}
		b.WriteString(part)
		used += n
	}
	return b.String()
}

// properties says what the workbook is. Its times are the day of the kit, as
// a time of writing would make each writing another file.
func (x *writer) properties() {
	day, err := time.Parse(finding.Day, x.book.Block.Date)
	if err != nil {
		day = workbook.LongAgo
	}
	b := &x.book.Block
	x.note(x.SetDocProps(&excelize.DocProperties{
		Title: report.Visible(b.Number + " " + b.Revision + ": " + b.Title), Creator: "kitgauge", LastModifiedBy: "kitgauge",
		Created: day.Format(time.RFC3339), Modified: day.Format(time.RFC3339),
	}))
}

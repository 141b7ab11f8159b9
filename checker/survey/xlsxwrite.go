package survey

import (
	"fmt"
	"io"
	"strconv"
	"strings"
	"time"

	"github.com/xuri/excelize/v2"

	"kitgauge/checker/workbook"
)

// WriteXLSX writes the survey as an Office Open XML workbook (ISO/IEC 29500),
// to be printed or filled in at a screen: what has words to choose from offers
// them, and a cell that is chosen says what belongs into it. The same survey
// gives the same bytes.
func (s *Survey) WriteXLSX(w io.Writer, paper workbook.Paper) error {
	f := excelize.NewFile()
	defer f.Close()
	x := &book{File: f, survey: s, paper: paper}
	x.styles()
	x.readFirst()
	for _, sheet := range s.Sheets {
		x.sheet(sheet)
	}
	x.ranges()
	x.note(x.DeleteSheet("Sheet1"))
	f.SetActiveSheet(0)
	long := workbook.LongAgo.Format(time.RFC3339)
	x.note(f.SetDocProps(&excelize.DocProperties{Title: "Survey of a vehicle", Creator: "kitgauge", LastModifiedBy: "kitgauge", Created: long, Modified: long}))
	f.SetZipWriter(workbook.NewZip)
	if x.err == nil {
		x.err = f.Write(w)
	}
	if x.err != nil {
		return fmt.Errorf("writing the survey as XLSX: %w", x.err)
	}
	return nil
}

// book writes worksheets and keeps the first error.
type book struct {
	*excelize.File
	survey *Survey
	paper  workbook.Paper
	err    error

	title, about, head, text, number, member, unit, says int // styles
}

func (x *book) note(err error) {
	if x.err == nil {
		x.err = err
	}
}

func (x *book) style(s *excelize.Style) int {
	id, err := x.NewStyle(s)
	x.note(err)
	return id
}

// styles makes those of the cells. Texts have the number format of text, so
// that a spreadsheet makes no date of an id; thin rules guide the pen.
func (x *book) styles() {
	const asText, thin = 49, 1
	rules := func(color string) []excelize.Border {
		var all []excelize.Border
		for _, side := range []string{"left", "right", "top", "bottom"} {
			all = append(all, excelize.Border{Type: side, Style: thin, Color: color})
		}
		return all
	}
	wrap := func(vertical string) *excelize.Alignment {
		return &excelize.Alignment{Vertical: vertical, WrapText: true}
	}
	grey := excelize.Fill{Type: "pattern", Pattern: 1, Color: []string{"E7EAED"}}
	x.title = x.style(&excelize.Style{Font: &excelize.Font{Bold: true, Size: 15}})
	x.about = x.style(&excelize.Style{Font: &excelize.Font{Size: 10}, Alignment: wrap("top")})
	x.head = x.style(&excelize.Style{Font: &excelize.Font{Bold: true, Size: 9}, Alignment: wrap("bottom"), NumFmt: asText, Fill: grey, Border: rules("6C757D")})
	x.text = x.style(&excelize.Style{NumFmt: asText, Alignment: wrap("center"), Border: rules("9AA0A6")})
	x.number = x.style(&excelize.Style{Alignment: &excelize.Alignment{Vertical: "center", Horizontal: "right"}, Border: rules("9AA0A6")})
	x.member = x.style(&excelize.Style{Font: &excelize.Font{Bold: true, Size: 10}, NumFmt: asText, Alignment: wrap("center"), Fill: grey, Border: rules("9AA0A6")})
	x.unit = x.style(&excelize.Style{Font: &excelize.Font{Size: 10}, NumFmt: asText, Alignment: wrap("center"), Border: rules("9AA0A6")})
	x.says = x.style(&excelize.Style{Font: &excelize.Font{Size: 9, Color: "444444"}, NumFmt: asText, Alignment: wrap("center"), Border: rules("9AA0A6")})
}

// cellName names a cell by column and row, both from 0.
func cellName(column, row int) string { return letters(column) + strconv.Itoa(row+1) }

func (x *book) put(sheet string, column, row int, text string, style int) {
	at := cellName(column, row)
	if text != "" {
		x.note(x.SetCellStr(sheet, at, text))
	}
	x.note(x.SetCellStyle(sheet, at, at, style))
}

// The rows above the things of a sheet: its title, and how it is filled in.
const (
	titleRow = iota
	aboutRow
	headRow
	firstRow
)

func (x *book) sheet(s *Sheet) {
	_, err := x.NewSheet(s.Name)
	x.note(err)
	x.put(s.Name, 0, titleRow, s.Title, x.title)
	wide := len(s.Columns)
	if s.Form {
		wide = 4
	}
	x.note(x.MergeCell(s.Name, cellName(0, aboutRow), cellName(wide-1, aboutRow)))
	x.put(s.Name, 0, aboutRow, s.About, x.about)
	x.note(x.SetRowHeight(s.Name, aboutRow+1, 30))
	rows := 0
	if s.Form {
		rows = x.form(s)
	} else {
		rows = x.list(s)
	}
	x.note(x.SetSheetDimension(s.Name, "A1:"+cellName(wide-1, firstRow+rows-1)))
	x.note(x.SetPanes(s.Name, &excelize.Panes{Freeze: true, YSplit: firstRow, TopLeftCell: cellName(0, firstRow), ActivePane: "bottomLeft"}))
	x.print(s.Name, s.Title)
	x.note(x.SetDefinedName(&excelize.DefinedName{Name: "_xlnm.Print_Titles", RefersTo: fmt.Sprintf("'%s'!$%d:$%d", s.Name, headRow+1, headRow+1), Scope: s.Name}))
}

// handHeight is the height of a row that is filled in with a pen, in points.
const handHeight = 25

func (x *book) form(s *Sheet) int {
	for i, width := range []float64{30, 40, 8, 58} {
		x.note(x.SetColWidth(s.Name, letters(i), letters(i), width))
	}
	for i, text := range []string{"member", "value", "unit", "what it is"} {
		x.put(s.Name, i, headRow, text, x.head)
	}
	for i, c := range s.Columns {
		row := firstRow + i
		x.put(s.Name, 0, row, c.label(), x.member)
		x.note(x.SetCellStyle(s.Name, cellName(1, row), cellName(1, row), x.styleOf(c)))
		x.fill(s.Name, c, 1, row, s.Rows[0][i])
		x.put(s.Name, 2, row, c.unit(x.survey.Family), x.unit)
		x.put(s.Name, 3, row, c.hint(), x.says)
		x.note(x.SetRowHeight(s.Name, row+1, handHeight+10))
		x.offer(s.Name, c, 1, row, row)
	}
	return len(s.Columns)
}

// hint is what a form says beside a member: what it is, and the words for it.
func (c *Column) hint() string {
	switch {
	case c.kind == flag:
		return "yes or no. " + c.Says
	case len(c.Words) > 0:
		return oneOf(c.Words) + ". " + c.Says
	}
	return c.Says
}

func (x *book) list(s *Sheet) int {
	rows := max(len(s.Rows), s.Blank)
	for i, c := range s.Columns {
		x.note(x.SetColWidth(s.Name, letters(i), letters(i), c.Wide))
		x.put(s.Name, i, headRow, c.Head(x.survey.Family), x.head)
		x.note(x.SetCellStyle(s.Name, cellName(i, firstRow), cellName(i, firstRow+rows-1), x.styleOf(c)))
		for r, row := range s.Rows {
			x.fill(s.Name, c, i, firstRow+r, row[i])
		}
		x.offer(s.Name, c, i, firstRow, firstRow+rows-1)
	}
	x.note(x.SetRowHeight(s.Name, headRow+1, 40))
	for r := range rows {
		x.note(x.SetRowHeight(s.Name, firstRow+r+1, s.height()))
	}
	return rows
}

// height is that of a row on paper: a wide sheet is printed smaller.
func (s *Sheet) height() float64 {
	const page = 125 // characters, of a sheet that is printed as large as it is
	wide := 0.0
	for _, c := range s.Columns {
		wide += c.Wide
	}
	return handHeight * max(1, wide/page)
}

// measured reports whether the cells of a column are numbers.
func (c *Column) measured() bool { return c.kind == number || c.kind == plain || c.kind == count }

func (x *book) styleOf(c *Column) int {
	if c.measured() {
		return x.number
	}
	return x.text
}

// fill writes a cell that somebody fills in: a number as a number.
func (x *book) fill(sheet string, c *Column, column, row int, cell Cell) {
	at := cellName(column, row)
	bare, is := bareNumber(cell.Text)
	switch {
	case cell.Text == "":
	case c.measured() && is:
		v, _ := strconv.ParseFloat(bare, 64)
		x.note(x.SetCellFloat(sheet, at, v, -1, 64))
	default:
		x.note(x.SetCellStr(sheet, at, cell.Text))
	}
}

// offer says beside a chosen cell what belongs into it, and offers what there
// is to choose from. What else is written is kept: it is told when the survey
// is read.
func (x *book) offer(sheet string, c *Column, column, from, to int) {
	const most = 250 // characters that a hint may have (ISO/IEC 29500-1, 18.3.1.32)
	v := excelize.NewDataValidation(true)
	v.SetSqref(cellName(column, from) + ":" + cellName(column, to))
	words := c.Words
	if c.kind == flag {
		words = []string{"yes", "no"}
	}
	switch {
	case c.From != "":
		v.SetSqrefDropList(fmt.Sprintf("'%s'!$A$%d:$A$%d", c.From, firstRow+1, firstRow+x.rowsOf(c.From)))
	case len(words) > 0 && len(strings.Join(words, ",")) < most:
		x.note(v.SetDropList(words))
	}
	v.ShowErrorMessage = false
	v.SetInput(cut(c.label(), 32), cut(c.hint(), most))
	x.note(x.AddDataValidation(sheet, v))
}

func (x *book) rowsOf(table string) int {
	s := x.survey.sheet(table)
	return max(len(s.Rows), s.Blank)
}

func cut(text string, most int) string {
	r := []rune(text)
	if len(r) <= most {
		return text
	}
	return string(r[:most-1]) + "…"
}

// print sets up the page.
func (x *book) print(name, title string) {
	x.note(workbook.Landscape(x.File, name, x.paper, x.survey.Family))
	edge, foot := 0.4, 0.6
	x.note(x.SetPageMargins(name, &excelize.PageLayoutMarginsOptions{Left: &edge, Right: &edge, Top: &foot, Bottom: &foot}))
	x.note(x.SetHeaderFooter(name, &excelize.HeaderFooterOptions{
		OddHeader: "&L&8Survey: " + title + "&R&8vehicle: ______________________   by: ________________   on: ______________",
		OddFooter: "&L&8" + caution + "&R&8&P / &N",
	}))
}

// caution goes to the foot of every page.
const caution = "Before you go under: brake set, wheels chocked, battery isolated and locked, raised bodies propped. The vehicle maker's instructions and local codes come first."

// readFirst tells how the survey is filled in.
func (x *book) readFirst() {
	const name = "read first"
	_, err := x.NewSheet(name)
	x.note(err)
	x.note(x.SetColWidth(name, "A", "A", 100))
	x.put(name, 0, 0, "Survey of a vehicle for an automatic-greasing kit", x.title)
	for i, text := range []string{
		caution,
		"One row a thing. Keep the heads: they say what a column is and in which unit its numbers are. A value in another unit has it beside it: 16.2 in, 0.9 m. A ditto mark stands for what is above.",
		"Begin with the datum: a place that somebody else finds again, such as the centre of the front axle on the ground. x goes forward, y to the left, z up; left is left for the driver.",
		"Then bodies and joints: what moves, and how far from rest. The last sheet shows how each range is measured.",
		"Then the points, with their body, and the stations where clips can go, from the pump outwards.",
		"Leave empty what you do not know. What is missing is marked in the kit that is proposed, and listed.",
		"At a desk: kitgauge propose SURVEY --catalogue PARTS --out KIT, then kitgauge check KIT.",
	} {
		x.put(name, 0, 2+i, text, x.about)
		x.note(x.SetRowHeight(name, 3+i, 34))
	}
	x.print(name, "read first")
}

package survey

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"kitgauge/checker/spelling"
	"kitgauge/checker/units"
	"kitgauge/checker/visible"
)

// Grid is a sheet as a file has it: rows of texts from the first row and
// column on.
type Grid struct {
	Name       string
	Rows       [][]string
	Semicolons bool // stand between the cells, as where the comma begins decimals
	Torn       bool // a text without quotation marks may have become two cells
}

// decimalCommas reports whether a number of the sheet has its decimals behind a
// comma, for certain.
func (g *Grid) decimalCommas() bool {
	return slices.ContainsFunc(g.Rows, func(row []string) bool {
		return slices.ContainsFunc(row, func(text string) bool {
			_, bare := bareNumber(text)
			return bare && strings.Contains(text, ",")
		})
	})
}

// unseen tells of characters in cells that nobody sees: they make another word
// of one that looks the same.
func (g *Grid) unseen() (problems []Problem) {
	for i, row := range g.Rows {
		for c, text := range row {
			at := strings.IndexFunc(strings.TrimSpace(text), hidden)
			if at < 0 {
				continue
			}
			odd, _ := utf8.DecodeRuneInString(strings.TrimSpace(text)[at:])
			problems = append(problems, Problem{g.Name + "!" + letters(c) + strconv.Itoa(i+1), "the text holds " + visible.Named(odd) + ", which cannot be seen", "write the text anew without it"})
		}
	}
	return problems
}

// hidden tells a character that nobody sees from a line break within a cell.
func hidden(r rune) bool { return r != '\n' && r != '\r' && r != '\t' && visible.Hidden(r) }

// Problem is what is wrong with a cell.
type Problem struct {
	At      string // "points!D7", or the sheet alone
	Message string
	Remedy  string
}

// Error puts the cell in front.
func (p Problem) Error() string {
	text := p.At + ": " + p.Message
	if p.Remedy != "" {
		text += "; " + p.Remedy
	}
	return text
}

// notes are the sheets of a workbook that hold nothing to read.
var notes = []string{"read first", "ranges"}

// FromGrids reads a survey from its sheets. Nothing that stands in them is
// lost in silence: what is in no place for it is told.
func FromGrids(grids []Grid) (*Survey, []Problem) {
	s := &Survey{Family: units.Metric}
	var problems []Problem
	read := map[string]bool{}
	for _, g := range grids {
		name := strings.ToLower(strings.TrimSpace(g.Name))
		t := Find(name)
		switch {
		case slices.Contains(notes, name), t == nil && !slices.ContainsFunc(g.Rows, filled):
		case t == nil:
			problems = append(problems, Problem{At: g.Name, Message: "no sheet of a survey has this name" + spelling.Hint(name, Names()), Remedy: "the sheets are " + strings.Join(Names(), ", ")})
		case read[name]:
			problems = append(problems, Problem{At: g.Name, Message: "this sheet is there twice", Remedy: "put its rows into one"})
		default:
			read[name] = true
			problems = append(problems, g.unseen()...)
			r := reader{Sheet: &Sheet{Table: t}, comma: g.Semicolons || g.decimalCommas(), torn: g.Torn}
			r.read(g.Rows)
			s.Sheets = append(s.Sheets, r.Sheet)
			problems = append(problems, r.problems...)
		}
	}
	order := Names()
	slices.SortStableFunc(s.Sheets, func(a, b *Sheet) int { return slices.Index(order, a.Name) - slices.Index(order, b.Name) })
	vehicle := s.sheet("vehicle")
	if len(vehicle.Rows) > 0 && vehicle.cell(vehicle.Rows[0], unitsKey).Text == "inch" {
		s.Family = units.Inch
	}
	for _, sheet := range s.Sheets {
		for i, c := range sheet.Columns {
			if sheet.Units[i] == "" {
				sheet.Units[i] = c.unit(s.Family)
			}
		}
	}
	if len(read) == 0 {
		problems = append(problems, Problem{At: "the survey", Message: "it has none of the sheets of a survey", Remedy: "begin with kitgauge survey --out survey.xlsx; the sheets are " + strings.Join(order, ", ")})
	}
	return s, problems
}

// reader reads one sheet.
type reader struct {
	*Sheet
	comma    bool // decimals stand behind one
	torn     bool // a comma in a text may have torn a row into more cells
	problems []Problem
}

func (r *reader) fail(at, message, remedy string) {
	r.problems = append(r.problems, Problem{at, message, remedy})
}

// place names a cell by its column and its row, both from 0.
func (r *reader) place(column, row int) string {
	return r.Name + "!" + letters(column) + strconv.Itoa(row+1)
}

// letters is the name of a column: A to Z, then AA.
func letters(n int) string {
	name := ""
	for n++; n > 0; n = (n - 1) / 26 {
		name = string(rune('A'+(n-1)%26)) + name
	}
	return name
}

func (r *reader) read(rows [][]string) {
	r.Units = make([]string, len(r.Columns))
	if r.Form {
		r.form(rows)
		return
	}
	r.list(rows)
}

// label and unit of a head: "range from (deg)".
func head(text string) (label, unit string) {
	label, rest, _ := strings.Cut(text, "(")
	unit, _, _ = strings.Cut(rest, ")")
	label = strings.NewReplacer(".", " ", "_", " ").Replace(strings.ToLower(label))
	return strings.Join(strings.Fields(label), " "), strings.TrimSpace(unit)
}

// match is the column with a head, -1 where there is none.
func (r *reader) match(text string) int {
	label, _ := head(text)
	return slices.IndexFunc(r.Columns, func(c *Column) bool { return c.label() == label })
}

// mostHeads is how far down a head is looked for.
const mostHeads = 12

// list reads the rows below the head.
func (r *reader) list(rows [][]string) {
	at := -1
	for i := range rows[:min(len(rows), mostHeads)] {
		found := 0
		for _, text := range rows[i] {
			if r.match(text) >= 0 {
				found++
			}
		}
		if found >= min(2, len(r.Columns)) {
			at = i
			break
		}
	}
	if at < 0 {
		if slices.ContainsFunc(rows, filled) {
			r.fail(r.Name, "it has no head, so nobody knows what its columns are", "the head is "+r.heads())
		}
		return
	}
	columns := r.columns(rows[at], at)
	for i := at + 1; i < len(rows); i++ {
		if !filled(rows[i]) {
			continue
		}
		row := make(Row, len(r.Columns))
		for c, to := range columns {
			if to >= 0 {
				row[to].At, row[to].Comma = r.place(c, i), r.comma
			}
		}
		r.cells(row, rows[i], columns, rows[at], i)
		r.Rows = append(r.Rows, row)
	}
}

// cells puts the texts of a row of the file into one of the sheet. What stands
// below a head that is none is told with that.
func (r *reader) cells(row Row, texts []string, columns []int, heads []string, i int) {
	if r.torn && len(texts) > len(columns) {
		r.fail(r.place(len(columns), i), fmt.Sprintf("this row has %d cells, and the head has %d", len(texts), len(columns)), "put a text or a number with a comma in it into quotation marks")
	}
	for c, text := range texts {
		text = strings.TrimSpace(text)
		switch {
		case text == "":
		case c < len(columns) && columns[c] >= 0:
			row[columns[c]].Text = r.ditto(text, columns[c])
		case c >= len(columns) && r.torn, c < len(columns) && strings.TrimSpace(heads[c]) != "":
		default:
			r.fail(r.place(c, i), fmt.Sprintf("%q stands in a column without a head", text), "move it into one of the columns, or into note")
		}
	}
}

// dittos are the marks for what stands above.
var dittos = []string{`"`, "”", "″", "〃", "ditto", "do."}

// ditto is what a cell says: where it is a mark, what the cell above says.
func (r *reader) ditto(text string, column int) string {
	if n := len(r.Rows); n > 0 && slices.Contains(dittos, strings.ToLower(text)) {
		return r.Rows[n-1][column].Text
	}
	return text
}

func filled(row []string) bool {
	return slices.ContainsFunc(row, func(text string) bool { return strings.TrimSpace(text) != "" })
}

func (r *reader) heads() string { return strings.Join(r.labels(), ", ") }

func (r *reader) labels() (all []string) {
	for _, c := range r.Columns {
		all = append(all, c.label())
	}
	return all
}

// columns reads the head: which column of the table each of the file's is, -1
// where it is none.
func (r *reader) columns(heads []string, row int) []int {
	to := make([]int, len(heads))
	seen := map[int]bool{}
	for c, text := range heads {
		to[c] = r.match(text)
		switch {
		case strings.TrimSpace(text) == "":
			to[c] = -1
		case to[c] < 0:
			to[c] = r.misspelt(heads, c, row)
		case seen[to[c]]:
			r.fail(r.place(c, row), fmt.Sprintf("the head %q is there twice", strings.TrimSpace(text)), "keep one of the columns")
			to[c] = -1
		default:
			seen[to[c]] = true
			_, unit := head(text)
			r.unit(to[c], unit, r.place(c, row))
		}
	}
	return to
}

// misspelt tells of a head that is none, and is the column for which it is read:
// the one that is nearest and has no head of its own; -1 where none is.
func (r *reader) misspelt(heads []string, c, row int) int {
	label, unit := head(heads[c])
	labels := r.labels()
	free := slices.DeleteFunc(slices.Clone(labels), func(one string) bool {
		return slices.ContainsFunc(heads, func(text string) bool { other, _ := head(text); return other == one })
	})
	says := fmt.Sprintf("the head %q is none of this sheet", strings.TrimSpace(heads[c]))
	meant := spelling.Only(label, free)
	alone := !slices.ContainsFunc(heads[:c], func(text string) bool {
		other, _ := head(text)
		return r.match(text) < 0 && other != "" && spelling.Only(other, free) == meant
	})
	if meant == "" || !alone || spelling.Distance(label, meant) > mostSlips {
		r.fail(r.place(c, row), says+spelling.Hint(label, labels), "the head is "+r.heads())
		return -1
	}
	r.fail(r.place(c, row), says+fmt.Sprintf("; it is read as %q, which is nearest", meant), "write "+meant)
	to := slices.Index(labels, meant)
	r.unit(to, unit, r.place(c, row))
	return to
}

// mostSlips is how many slips a head may have for which a column is read.
const mostSlips = 2

// unit notes the unit of a column, where it has one and the unit fits.
func (r *reader) unit(column int, unit, at string) {
	c := r.Columns[column]
	if unit == "" || c.kind != number || c.varies {
		return
	}
	if u, known := units.Lookup(unit); !known || u.Dim != c.dim {
		r.fail(at, fmt.Sprintf("%q is no unit of %s", unit, c.dim), "write one of "+strings.Join(units.Accepted(c.dim), ", "))
		return
	}
	r.Units[column] = unit
}

// form reads a row a member: name, value, unit.
func (r *reader) form(rows [][]string) {
	row := make(Row, len(r.Columns))
	seen := map[int]bool{}
	for i, cells := range rows {
		value := strings.TrimSpace(cellOf(cells, 1))
		label, _ := head(cellOf(cells, 0))
		c := r.match(cellOf(cells, 0))
		switch {
		case c < 0 && value == "" && strings.ContainsAny(label, ";\t"):
			r.fail(r.place(0, i), fmt.Sprintf("%q is one cell, and no member of this sheet", label), "write between the cells what stands there in the other rows")
		case label == "member" || value == "" && c < 0:
		case c < 0:
			r.fail(r.place(1, i), fmt.Sprintf("%q stands beside no member of this sheet", value)+spelling.Hint(label, r.labels()), "the members are "+r.heads())
		case seen[c]:
			r.fail(r.place(1, i), fmt.Sprintf("the member %q is there twice", label), "keep one of the two")
		default:
			seen[c] = true
			row[c] = Cell{Text: value, At: r.place(1, i), Comma: r.comma}
			r.beside(c, cells, i)
		}
	}
	r.Rows = []Row{row}
}

// beside reads what stands beside the value of a member: its unit, and nothing
// else.
func (r *reader) beside(column int, cells []string, i int) {
	const torn = "put a text or a number with a comma in it into quotation marks"
	unit := strings.TrimSpace(cellOf(cells, 2))
	if c := r.Columns[column]; unit != "" && c.kind != number {
		r.fail(r.place(2, i), fmt.Sprintf("%q stands beside %s, which has no unit", unit, c.label()), torn)
		return
	}
	r.unit(column, unit, r.place(2, i))
	for c, text := range cells {
		if text = strings.TrimSpace(text); c > 2 && text != "" && r.torn {
			r.fail(r.place(c, i), fmt.Sprintf("%q stands behind the unit", text), torn)
		}
	}
}

func cellOf(row []string, i int) string {
	if i < len(row) {
		return row[i]
	}
	return ""
}

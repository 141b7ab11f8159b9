package survey

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"kitgauge/checker/spelling"
	"kitgauge/checker/units"
)

// Grid is a sheet as a file has it: rows of texts from the first row and
// column on.
type Grid struct {
	Name string
	Rows [][]string
}

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
			r := reader{Sheet: &Sheet{Table: t}}
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
				row[to].At = r.place(c, i)
			}
		}
		for c, text := range rows[i] {
			text = strings.TrimSpace(text)
			switch {
			case text == "":
			case c < len(columns) && columns[c] >= 0:
				row[columns[c]].Text = r.ditto(text, columns[c])
			default:
				r.fail(r.place(c, i), fmt.Sprintf("%q stands in a column without a head", text), "move it into one of the columns, or into note")
			}
		}
		r.Rows = append(r.Rows, row)
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

func (r *reader) heads() string {
	var all []string
	for _, c := range r.Columns {
		all = append(all, c.label())
	}
	return strings.Join(all, ", ")
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
			label, _ := head(text)
			var labels []string
			for _, column := range r.Columns {
				labels = append(labels, column.label())
			}
			r.fail(r.place(c, row), fmt.Sprintf("the head %q is none of this sheet", strings.TrimSpace(text))+spelling.Hint(label, labels), "the head is "+r.heads())
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
		case label == "member" || value == "" && c < 0:
		case c < 0:
			r.fail(r.place(1, i), fmt.Sprintf("%q stands beside no member of this sheet", value), "the members are "+r.heads())
		case seen[c]:
			r.fail(r.place(1, i), fmt.Sprintf("the member %q is there twice", label), "keep one of the two")
		default:
			seen[c] = true
			row[c] = Cell{Text: value, At: r.place(1, i)}
			r.unit(c, strings.TrimSpace(cellOf(cells, 2)), r.place(2, i))
		}
	}
	r.Rows = []Row{row}
}

func cellOf(row []string, i int) string {
	if i < len(row) {
		return row[i]
	}
	return ""
}

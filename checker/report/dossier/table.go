package dossier

import (
	"slices"
	"unicode/utf8"
)

// table is a table of texts.
type table struct {
	ID      string // of its caption
	Title   string // of its heading; "" where the section's is enough
	Caption string
	Head    []cell
	Rows    [][]cell
	Notes   []string
	reasons map[string]int // the places of the notes
	Narrow  bool           // printed in several columns
}

type cell struct {
	Text  string
	Right bool // a number
	Head  bool // of its row
	Short bool // stays on one line: every text of its column is as short
}

// Class is how the cell is shown.
func (c cell) Class() string {
	switch {
	case c.Right && c.Short:
		return "number short"
	case c.Right:
		return "number"
	case c.Short:
		return "short"
	}
	return "text"
}

// longestShort is how long the texts of a column may be that does not break
// its lines, in characters.
const longestShort = 10

// shorten marks the columns whose texts are all short.
func (t *table) shorten() {
	for i := range t.Head {
		short := !slices.ContainsFunc(t.Rows, func(r []cell) bool { return utf8.RuneCountInString(r[i].Text) > longestShort })
		for _, r := range t.Rows {
			r[i].Short = short
		}
	}
}

// heads are the heads of columns of texts.
func heads(names ...string) []cell {
	var list []cell
	for _, n := range names {
		list = append(list, cell{Text: n})
	}
	return list
}

// row is a row of texts, headed by the first.
func row(texts ...string) []cell {
	list := heads(texts...)
	list[0].Head = true
	return list
}

// tables is the body of a section that holds only tables.
type tables struct {
	Lead   []string
	Tables []table
}

func (t *tables) tablesOf() []table  { return t.Tables }
func (c *changes) tablesOf() []table { return c.Tables }
func (in *inputs) tablesOf() []table { return in.Tables }

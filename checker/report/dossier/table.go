package dossier

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

package source

import (
	"fmt"
	"strings"

	"go.yaml.in/yaml/v4"
)

// twin is a key of a group that is given twice.
type twin struct {
	in    *Node
	key   *yaml.Node // the later one
	first int        // the line of the earlier one
	at    int        // how many members of the group stand before it
}

// index is which member the earlier key is.
func (t twin) index() int {
	for i, m := range t.in.Members {
		if m.Key == t.key.Value {
			return i
		}
	}
	return -1
}

// twins tells the keys of a document that are given twice. It is false where
// that comes of an item that has lost its dash or its first line, or of lines
// that have changed places: then the document says something else than it should.
func (r *reader) twins() bool {
	list := r.twice
	r.twice = nil
	for from := 0; from < len(list); {
		to := from + 1
		for to < len(list) && list[to].in == list[from].in {
			to++
		}
		if p := r.run(list[from:to]); p != nil {
			r.problems = append(r.problems[:len(r.problems):len(r.problems)], p)
			return false
		}
		for _, t := range list[from:to] {
			r.fail(Pos{r.file, t.key.Line, t.key.Column}, fmt.Sprintf("the key %q was already given on line %d", t.key.Value, t.first), "remove one of the two")
		}
		from = to
	}
	return true
}

// run says what has come of the lines of an item in which keys are given twice;
// nil where it is no more than that.
func (r *reader) run(list []twin) *Problem {
	t := list[0]
	n := t.in
	if n.parent == nil || n.parent.Kind != List || n.parent.Flow() || n.Flow() || n.borrowed || len(n.Members) < 2 {
		return nil
	}
	lead, which := n.Members[0], t.index()
	dash := strings.IndexByte(n.doc.Line(lead.Line), '-')
	p := &Problem{Pos: Pos{r.file, t.key.Line, t.key.Column}}
	switch {
	case dash < 0 || dash > lead.Column:
		return nil
	case len(list) > 1 && which == 0:
		p.Message = fmt.Sprintf("another item begins here, and its dash is missing: the key %q was already given on line %d", t.key.Value, t.first)
		p.Remedy = fmt.Sprintf("begin it with - %s, indented by %s", t.key.Value+":", count(dash))
	case len(list) > 1 && which == 1:
		p.Message = fmt.Sprintf("another item begins here, and its first line is missing: the key %q was already given on line %d", t.key.Value, t.first)
		p.Remedy = fmt.Sprintf("write - %s: with its value on a line of its own above it, indented by %s", lead.Key, count(dash))
	default:
		return r.exchanged(t, p)
	}
	return p
}

// exchanged says which lines have changed places where the last line of an item
// and the first of the next have; nil where none have.
func (r *reader) exchanged(t twin, p *Problem) *Problem {
	n := t.in
	tell := func(lower int, upper int) *Problem {
		p.Message = fmt.Sprintf("%q is given twice in one item, and not in the other: the lines %d and %d may stand in the wrong order", t.key.Value, lower, upper)
		p.Remedy = fmt.Sprintf("put line %d above line %d; or, where %s belongs to this item, keep one of the two", upper, lower, t.key.Value)
		return p
	}
	items := n.parent.Items
	if t.at == len(n.Members) && n.index+1 < len(items) {
		if next := items[n.index+1]; next.Kind == Map && len(next.Members) > 0 && next.Get(t.key.Value) == nil && next.Members[0].Line == t.key.Line+1 {
			return tell(t.key.Line, t.key.Line+1)
		}
	}
	if t.index() == 1 && n.index > 0 {
		if last := items[n.index-1]; last.Kind == Map && last.Get(t.key.Value) == nil && n.Members[0].Line == n.Members[1].Line-1 {
			p.Pos = Pos{r.file, n.Members[1].Line, n.Members[1].Column}
			return tell(n.Members[0].Line, n.Members[1].Line)
		}
	}
	return nil
}

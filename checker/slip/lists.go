package slip

import (
	"slices"
	"strings"

	"kitgauge/checker/source"
)

// own are the members whose words are about their thing alone: those of another
// are never meant, but for two that were exchanged.
var own = []string{"name", "text"}

// beside tries what the items before and after a thing have in the place of a
// value, and the same for a run of items with the same value.
func (g *generator) beside(n *source.Node) {
	item := thingOf(n)
	list := item.Parent()
	if list == nil || list.Kind != source.List || slices.Contains(names, n.Key()) || slices.Contains(own, n.Key()) {
		return
	}
	at := slices.Index(list.Items, item)
	for _, i := range []int{at - 1, at + 1} {
		if i < 0 || i >= len(list.Items) {
			continue
		}
		like := counterpart(n, item, list.Items[i])
		if like == nil || !isLeaf(like) {
			continue
		}
		if like.Scalar != n.Scalar {
			g.add(kindBeside(n), n, edit(n, like.Scalar))
		}
	}
	g.run(n)
}

func kindBeside(n *source.Node) Kind {
	if slices.Contains(bodyKeys, n.Key()) {
		return Body
	}
	return Beside
}

// longestRun is how many items in a row may have got the same wrong value.
const longestRun = 4

// run tries a value in all items of a row that have the same as one of them:
// those before and after the row.
func (g *generator) run(n *source.Node) {
	row, before, after := rowOf(n)
	for _, like := range []*source.Node{before, after} {
		if like != nil {
			g.all(Run, row, func(string) string { return like.Scalar })
		}
	}
}

// all makes one change of all values of a row.
func (g *generator) all(kind Kind, row []*source.Node, to func(was string) string) {
	edits := make([]Edit, len(row))
	for i, n := range row {
		edits[i] = edit(n, to(n.Scalar))
	}
	g.add(kind, row[0], edits...)
}

// rowOf are the values of the items in a row that have the same as one of
// them, with those before and after the row; no more than a few.
func rowOf(n *source.Node) (row []*source.Node, before, after *source.Node) {
	item := thingOf(n)
	list := item.Parent()
	if list == nil || list.Kind != source.List {
		return []*source.Node{n}, nil, nil
	}
	at := slices.Index(list.Items, item)
	like := func(i int) *source.Node {
		if i < 0 || i >= len(list.Items) {
			return nil
		}
		if like := counterpart(n, item, list.Items[i]); like != nil && isLeaf(like) {
			return like
		}
		return nil
	}
	first, last := at, at
	for before = like(first - 1); before != nil && before.Scalar == n.Scalar; before = like(first - 1) {
		first--
	}
	for after = like(last + 1); after != nil && after.Scalar == n.Scalar; after = like(last + 1) {
		last++
	}
	if last-first+1 > longestRun {
		return []*source.Node{n}, nil, nil
	}
	for i := first; i <= last; i++ {
		row = append(row, like(i))
	}
	return row, before, after
}

// thing tries what takes in a whole item of a list: its members exchanged with
// those of its neighbours and of its twin, its twin's in their place, the item
// at another place of the list, a way that its neighbour goes.
func (g *generator) thing(item *source.Node) {
	list := item.Parent()
	if list == nil || list.Kind != source.List || item.Kind != source.Map {
		return
	}
	at := slices.Index(list.Items, item)
	for _, i := range []int{at - 1, at + 1} {
		if i >= 0 && i < len(list.Items) {
			g.neighbours(list.Items[min(i, at)], list.Items[max(i, at)])
			g.way(item, list.Items[i])
			g.coordinates(item, list.Items[i])
		}
	}
	for _, twin := range g.twinsOf(item) {
		g.mirror(item, twin)
		g.twinMembers(item, twin)
	}
	if inOrder(list) {
		g.moves(list, at)
	}
	g.gap(item, list)
}

// way tries the bundle of a neighbour together with the station at which the
// line leaves it.
func (g *generator) way(item, other *source.Node) {
	var edits []Edit
	for _, key := range []string{"bundle", "leaves_at"} {
		x, y := item.Get(key), other.Get(key)
		if x == nil || y == nil {
			return
		}
		edits = append(edits, edit(x, y.Scalar))
	}
	g.add(Beside, item, edits...)
}

// coordinates tries two coordinates of the position of a neighbour.
func (g *generator) coordinates(item, other *source.Node) {
	x, y := item.Get("position"), other.Get("position")
	if x == nil || y == nil || len(x.Items) != 3 || len(y.Items) != 3 {
		return
	}
	for left := range x.Items {
		var edits []Edit
		for i := range x.Items {
			if i != left {
				edits = append(edits, edit(x.Items[i], y.Items[i].Scalar))
			}
		}
		g.add(Beside, x, edits...)
	}
}

// among tries any two of the items of a list that findings name with a member
// exchanged, and each at the place of another.
func (g *generator) among(list *source.Node, named []*source.Node) {
	for i, a := range named {
		for _, b := range named[i+1:] {
			g.neighbours(a, b)
		}
		if inOrder(list) {
			g.moves(list, slices.Index(list.Items, a))
		}
	}
}

// inOrder reports whether the order of a list means something.
func inOrder(list *source.Node) bool {
	return slices.Contains([]string{"route", "tail", "procedure"}, list.Key())
}

// neighbours tries two items of a list with a member of theirs exchanged, and
// what is written after them elsewhere as well.
func (g *generator) neighbours(a, b *source.Node) {
	if a.Kind != source.Map || b.Kind != source.Map {
		return
	}
	for i, m := range a.Members {
		x, y := a.Items[i], b.Get(m.Key)
		if y == nil || x.Kind != y.Kind || slices.Contains(names, m.Key) && m.Key != "kind" {
			continue
		}
		if m.Key == "text" && (g.clues.near(g.document, a.Pointer()) > thing || g.clues.near(g.document, b.Pointer()) > thing) {
			continue // whether a text fits its neighbour nobody looks
		}
		var edits []Edit
		if !pair(x, y, &edits) || len(edits) == 0 {
			continue
		}
		g.add(Exchange, x, slices.Clone(edits)...)
		switch {
		case m.Key == "name" && strings.Contains(x.Scalar, " "):
			g.add(Exchange, x, g.copies(edits, x, y)...)
		case m.Key == "point":
			g.add(Exchange, x, append(slices.Clone(edits), g.rows(a, b)...)...)
		}
	}
}

// copies adds to the exchange of two texts that of all their copies.
func (g *generator) copies(edits []Edit, x, y *source.Node) []Edit {
	out := slices.Clone(edits)
	var walk func(n *source.Node)
	walk = func(n *source.Node) {
		switch {
		case n == x || n == y:
		case isLeaf(n) && n.Scalar == x.Scalar:
			out = append(out, edit(n, y.Scalar))
		case isLeaf(n) && n.Scalar == y.Scalar:
			out = append(out, edit(n, x.Scalar))
		}
		for _, item := range n.Items {
			walk(item)
		}
	}
	walk(g.kit)
	return out
}

// rows are the edits that exchange the names of two lines in the call-out sheet.
func (g *generator) rows(a, b *source.Node) []Edit {
	var edits []Edit
	if x, y := g.row(a), g.row(b); x != nil && y != nil {
		pair(x, y, &edits)
	}
	return edits
}

// row is the name of a line in the call-out sheet; nil where it has none.
func (g *generator) row(line *source.Node) *source.Node {
	rows, number := g.kit.At("documents", "call_out_sheet", "rows"), line.Get("number")
	if rows == nil || number == nil {
		return nil
	}
	for _, row := range rows.Items {
		if n := row.Get("line"); n != nil && n.Scalar == number.Scalar {
			return row.Get("name")
		}
	}
	return nil
}

// farthest is by how many places an item of a list is tried at another.
const farthest = 3

// moves tries an item of a list some places further up and down.
func (g *generator) moves(list *source.Node, at int) {
	if at < 0 {
		return
	}
	for to := max(0, at-farthest); to <= min(len(list.Items)-1, at+farthest); to++ {
		if to == at {
			continue
		}
		order := slices.Clone(list.Items)
		order = slices.Insert(slices.Delete(order, at, at+1), to, list.Items[at])
		var edits []Edit
		alike := true
		for i := min(at, to); i <= max(at, to); i++ {
			alike = alike && replaced(list.Items[i], order[i], &edits)
		}
		if !alike {
			continue
		}
		if c := g.add(Order, list.Items[at], edits...); c != nil && c.Moved == 0 { // else it is another item that was moved past this one
			c.Moved = to - at
		}
	}
}

// replaced collects the edits that put all values of one tree into another of
// the same shape.
func replaced(x, by *source.Node, edits *[]Edit) bool {
	if x.Kind != by.Kind || len(x.Items) != len(by.Items) {
		return false
	}
	if x.Kind < source.List {
		*edits = append(*edits, edit(x, by.Scalar))
		return true
	}
	for i := range x.Items {
		if x.Kind == source.Map && x.Members[i].Key != by.Members[i].Key || !replaced(x.Items[i], by.Items[i], edits) {
			return false
		}
	}
	return true
}

// gap tries the number that is missing from a list at an item.
func (g *generator) gap(item, list *source.Node) {
	for _, key := range []string{"number", "line", "outlet"} {
		n := item.Get(key)
		if n == nil || n.Kind != source.Number {
			continue
		}
		at := slices.Index(list.Items, item)
		var around []string
		for _, i := range []int{at - 1, at + 1} {
			if i >= 0 && i < len(list.Items) {
				if like := list.Items[i].Get(key); like != nil {
					around = append(around, like.Scalar)
				}
			}
		}
		for i, near := range around {
			g.add(Beside, n, edit(n, counted(near, []int{1, -1}[i])))
		}
	}
}

// pair collects the edits that exchange two trees of the same shape.
func pair(x, y *source.Node, edits *[]Edit) bool {
	var there, back []Edit
	if !replaced(x, y, &there) || !replaced(y, x, &back) {
		return false
	}
	for i := range there {
		if there[i].From != there[i].To {
			*edits = append(*edits, there[i], back[i])
		}
	}
	return true
}

// counted is a whole number some further; the text itself where it is none.
func counted(text string, by int) string {
	f, ok := figure{number: text}.in("")
	if !ok || strings.Contains(f, ".") {
		return text
	}
	v, _, _ := amount(text)
	return shortest(v + float64(by))
}

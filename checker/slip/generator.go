package slip

import (
	"maps"
	"math"
	"slices"
	"strings"

	"kitgauge/checker/source"
)

// Choices lists what may stand in the place of a scalar: the words of its
// list, the parts of its kind. It may be nil.
type Choices func(n *source.Node) []string

// candidate is a change with what speaks for it before it is tried.
type candidate struct {
	Change
	kinds []Kind  // the ways to slip that lead to it
	cost  int     // how unlikely it is; see cost
	far   float64 // how far the new values are from the old
}

// generator makes the changes that would take one slip back, in the order of
// the file. A change to which several slips lead is made once.
type generator struct {
	document int
	kit      *source.Node // the root of the kit
	file     *source.Node // the root of the document
	choices  Choices
	clues    *clues
	out      []*candidate
	seen     map[string]*candidate
	units    map[string]bool           // that the file uses; nil before it is asked for
	hanging  bool                      // the findings hang on what is looked at
	byKey    map[string][]*source.Node // values of the file, as far as they were asked for
}

func (g *generator) add(kind Kind, at *source.Node, edits ...Edit) *candidate {
	edits = slices.DeleteFunc(edits, func(e Edit) bool { return e.From == e.To })
	if len(edits) == 0 {
		return nil
	}
	for _, item := range at.Items {
		if len(edits) == 1 && item.Pointer() == edits[0].Pointer {
			at = item
		}
	}
	keys := make([]string, len(edits))
	for i, e := range edits {
		edits[i].Document, edits[i].File = g.document, at.Pos().File
		keys[i] = e.Pointer + "\x00" + e.To
	}
	slices.Sort(keys)
	key := strings.Join(keys, "\x00")
	if g.seen == nil {
		g.seen = map[string]*candidate{}
	}
	c := g.seen[key]
	if c == nil {
		if g.confirmed(edits) {
			return nil
		}
		c = &candidate{Change: Change{Kind: kind, Place: placeOf(at), Edits: edits}, far: distance(edits)}
		g.seen[key] = c
		g.out = append(g.out, c)
	}
	if rarity[kind] < rarity[c.Kind] {
		c.Kind = kind
	}
	if !slices.Contains(c.kinds, kind) {
		c.kinds = append(c.kinds, kind)
	}
	return c
}

// confirmed reports whether the twin of a point has all the numbers that would
// be changed, as they stand: two people do not slip alike.
func (g *generator) confirmed(edits []Edit) bool {
	for _, e := range edits {
		n := g.file.Lookup(e.Pointer)
		if n == nil || !isLeaf(n) || !strings.Contains(e.Pointer, "/bearing/") {
			return false
		}
		thing := thingOf(n)
		twins := []*source.Node(nil)
		if thing.Parent() != nil && thing.Parent().Kind == source.List {
			twins = g.twinsOf(thing)
		}
		if len(twins) != 1 {
			return false
		}
		if like := counterpart(n, thing, twins[0]); like == nil || like.Scalar != n.Scalar {
			return false
		}
	}
	return true
}

// distance is by how many times the numbers change, at the most, as a
// logarithm; a lost sign is none.
func distance(edits []Edit) float64 {
	far := 0.0
	for _, e := range edits {
		from, dim, ok := amount(e.From)
		to, dim2, ok2 := amount(e.To)
		if ok && ok2 && dim == dim2 && from != 0 && to != 0 {
			far = max(far, math.Abs(math.Log(math.Abs(to/from))))
		}
	}
	return far
}

func edit(n *source.Node, to string) Edit {
	return Edit{Pointer: n.Pointer(), From: n.Scalar, To: to, Pos: n.PosAt(0)}
}

// isLeaf reports whether a node is a scalar.
func isLeaf(n *source.Node) bool { return n.Kind < source.List && n.Kind != source.Null }

// below makes the changes of all values below a node that are of its own: it
// does not go into the things that it lists.
func (g *generator) below(n *source.Node) {
	switch {
	case isLeaf(n):
		g.scalar(n)
	case n.Kind == source.Map || n.Kind == source.List:
		g.group(n)
		for _, item := range n.Items {
			if !listsThings(item) {
				g.below(item)
			}
		}
	}
}

// listsThings reports whether a node is a list of groups.
func listsThings(n *source.Node) bool {
	return n.Kind == source.List && slices.ContainsFunc(n.Items, func(i *source.Node) bool { return i.Kind == source.Map })
}

// thingOf is what a value is about: the nearest item of a list that holds it,
// or else the section of the file.
func thingOf(n *source.Node) *source.Node {
	for n.Parent() != nil {
		if n.Kind == source.Map && n.Parent().Kind == source.List || n.Parent().Parent() == nil {
			return n
		}
		n = n.Parent()
	}
	return n
}

// within reports whether a pointer is that of a value or of one below it.
func within(pointer, of string) bool {
	return pointer == of || strings.HasPrefix(pointer, of+"/")
}

// counterpart is the value that stands at the same place below another thing
// of the same kind; nil where there is none.
func counterpart(n, thing, other *source.Node) *source.Node {
	return other.Lookup(strings.TrimPrefix(n.Pointer(), thing.Pointer()))
}

// mentioned makes the changes of what findings name: all at the values at
// which they stand, and of the things what stands beside and what is named.
func (g *generator) mentioned() {
	for _, c := range g.clues.list {
		n := g.file.Lookup(c.pointer)
		if c.document != g.document || n == nil || n.Parent() == nil {
			continue
		}
		if isLeaf(n) {
			g.inRow(n)
		}
		if g.clues.counts(g.document, thingOf(n).Pointer()) {
			g.place(n)
		}
	}
	lists := map[string][]*source.Node{}
	for _, m := range g.clues.things {
		n := g.file.Lookup(m.pointer)
		if m.document != g.document || n == nil {
			continue
		}
		if list := n.Parent(); list != nil && list.Kind == source.List {
			lists[list.Pointer()] = append(lists[list.Pointer()], n)
		}
		if g.clues.counts(g.document, m.pointer) {
			g.members(n)
			g.thing(n)
		}
	}
	for _, at := range slices.Sorted(maps.Keys(lists)) {
		if named := lists[at]; len(named) <= mostNamed {
			g.among(g.file.Lookup(at), named)
		}
	}
}

// mostNamed is of how many items of a list that findings name any two are
// looked at together.
const mostNamed = 6

// place makes the changes of a value, and of those beside it in a position.
func (g *generator) place(n *source.Node) {
	if isLeaf(n) && n.Parent().Kind == source.List {
		n = n.Parent()
	}
	if n.Kind == source.Map && n.Parent().Kind == source.List {
		return // a whole thing
	}
	g.below(n)
}

// members makes what findings name, and what stands beside, of the values of a
// thing.
func (g *generator) members(n *source.Node) {
	if isLeaf(n) {
		g.value(n)
		return
	}
	g.exchangeWithin(n)
	for _, item := range n.Items {
		if !listsThings(item) {
			g.members(item)
		}
	}
}

// part makes the changes of a part on which most findings hang.
func (g *generator) part(n *source.Node) {
	switch {
	case n.Kind == source.Map && n.Parent().Kind == source.List:
		g.members(n)
		g.thing(n)
	case isLeaf(n) || n.Kind == source.List && !listsThings(n):
		g.hanging = true
		g.below(n)
		g.hanging = false
	case n.Kind == source.Map:
		g.group(n)
	}
}

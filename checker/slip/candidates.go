package slip

import (
	"regexp"
	"slices"
	"strconv"
	"strings"

	"kitgauge/checker/source"
	"kitgauge/checker/units"
)

// Choices lists what may stand in the place of a scalar: the words of its
// list, the parts of its kind. It may be nil.
type Choices func(n *source.Node) []string

// candidates lists the changes that would take one slip back in a part of a
// file, in the order of the file.
func candidates(p part, kit *source.Node, choices Choices) []Change {
	g := generator{document: p.document, kit: kit, choices: choices}
	g.below(p.node)
	if list := p.node.Parent(); list.Kind == source.List {
		g.beside(p.node, list)
	}
	return g.out
}

// beside tries an item of a list with its neighbours and its twin.
func (g *generator) beside(item, list *source.Node) {
	for i, other := range list.Items {
		if other == item && i > 0 {
			g.neighbours(list.Items[i-1], item)
		}
		if i > 0 && list.Items[i-1] == item {
			g.neighbours(item, other)
		}
	}
	if twin := twinOf(item, list); twin != nil {
		g.mirror(item, twin)
		g.twinMembers(item, twin)
	}
}

type generator struct {
	document int
	kit      *source.Node
	choices  Choices
	out      []Change
	seen     map[string]bool
}

func (g *generator) add(kind Kind, at *source.Node, edits ...Edit) {
	edits = slices.DeleteFunc(edits, func(e Edit) bool { return e.From == e.To })
	if len(edits) == 0 {
		return
	}
	for _, item := range at.Items {
		if len(edits) == 1 && item.Pointer() == edits[0].Pointer {
			at = item
		}
	}
	key := ""
	for i, e := range edits {
		edits[i].Document, edits[i].File = g.document, at.Pos().File
		key += e.Pointer + "\x00" + e.To + "\x00"
	}
	if g.seen == nil {
		g.seen = map[string]bool{}
	}
	if g.seen[key] {
		return
	}
	g.seen[key] = true
	g.out = append(g.out, Change{Kind: kind, Place: placeOf(at), Edits: edits})
}

func edit(n *source.Node, to string) Edit {
	return Edit{Pointer: n.Pointer(), From: n.Scalar, To: to, Pos: n.PosAt(0)}
}

func (g *generator) below(n *source.Node) {
	switch n.Kind {
	case source.List, source.Map:
		g.group(n)
		for i, item := range n.Items {
			g.below(item)
			if i > 0 {
				g.neighbours(n.Items[i-1], item)
			}
		}
		g.twins(n)
	case source.Text, source.Number, source.Bool:
		g.scalar(n)
	}
}

// measured is a number with or without a unit.
var measured = regexp.MustCompile(`^([+-]?)(\d+(?:\.\d+)?)(\s*[A-Za-z%][^\s]*)?$`)

// factors are those of a slipped point or of noughts lost or added.
var factors = []float64{10, 0.1, 100, 0.01, 1000, 0.001}

func (g *generator) scalar(n *source.Node) {
	if m := measured.FindStringSubmatch(n.Scalar); m != nil && n.Kind != source.Bool {
		g.number(n, m)
	}
	if n.Key() == "body" || n.Key() == "parent" || n.Key() == "child" {
		g.bodies(n)
		return
	}
	if n.Kind == source.Bool {
		g.add(Word, n, edit(n, strconv.FormatBool(n.Scalar != "true")))
		return
	}
	if g.choices != nil {
		for _, word := range g.choices(n) {
			g.add(Word, n, edit(n, word))
		}
	}
}

func (g *generator) number(n *source.Node, m []string) {
	sign, digits, unit := m[1], m[2], m[3]
	value, err := strconv.ParseFloat(digits, 64)
	if err != nil || value == 0 {
		return
	}
	switch {
	case sign == "-":
		g.add(Sign, n, edit(n, digits+unit))
	case n.Parent().Kind == source.List || slices.Contains([]string{"from", "to", "temperature"}, n.Key()):
		g.add(Sign, n, edit(n, "-"+digits+unit)) // of a coordinate or a range: a length has none
	}
	if n.Kind == source.Number && unit == "" && n.Parent().Kind == source.Map {
		return // a count or a number of something: no point, no unit
	}
	for _, f := range factors {
		g.add(pointKind(f), n, edit(n, sign+shortest(value*f)+unit))
	}
	for _, u := range otherUnits(strings.TrimSpace(unit)) {
		g.add(Unit, n, edit(n, sign+digits+" "+u))
	}
}

// pointKind tells a slip by one place from one by several.
func pointKind(factor float64) Kind {
	if factor == 10 || factor == 0.1 {
		return Point
	}
	return Places
}

// shortest writes a number without the noise of a binary product: with ten
// significant digits.
func shortest(v float64) string {
	if r, err := strconv.ParseFloat(strconv.FormatFloat(v, 'g', 10, 64), 64); err == nil {
		v = r // else it is beyond what a number can hold
	}
	return strconv.FormatFloat(v, 'f', -1, 64)
}

// otherUnits are the usual units of the dimension of a unit.
func otherUnits(symbol string) []string {
	u, ok := units.Lookup(symbol)
	if !ok || symbol == "" || symbol == "%" {
		return nil
	}
	return slices.DeleteFunc(slices.Clone(units.Accepted(u.Dim)), func(s string) bool { return s == symbol || s == "" })
}

// group tries the slips that take in several numbers at once: a range or a
// position in the wrong unit, with its signs exchanged, with two components
// exchanged.
func (g *generator) group(n *source.Node) {
	if len(n.Items) < 2 || len(n.Items) > 3 {
		return
	}
	var parts [][]string
	for _, item := range n.Items {
		m := measured.FindStringSubmatch(item.Scalar)
		if m == nil || item.Kind == source.Bool {
			return
		}
		parts = append(parts, m)
	}
	all := func(kind Kind, to func(m []string) string) {
		edits := make([]Edit, len(parts))
		for i, m := range parts {
			edits[i] = edit(n.Items[i], to(m))
		}
		g.add(kind, n, edits...)
	}
	for _, u := range otherUnits(strings.TrimSpace(parts[0][3])) {
		all(Unit, func(m []string) string { return m[1] + m[2] + " " + u })
	}
	for _, f := range factors {
		if strings.TrimSpace(parts[0][3]) == "" {
			break
		}
		all(pointKind(f), func(m []string) string {
			v, _ := strconv.ParseFloat(m[2], 64)
			return m[1] + shortest(v*f) + m[3]
		})
	}
	if n.Kind == source.Map && len(parts) == 2 {
		g.add(Sign, n, edit(n.Items[0], negated(parts[1])), edit(n.Items[1], negated(parts[0])))
		g.add(Exchange, n, edit(n.Items[0], n.Items[1].Scalar), edit(n.Items[1], n.Items[0].Scalar))
	}
	if n.Kind == source.List && len(parts) == 3 {
		for _, pair := range [][2]int{{0, 1}, {1, 2}, {0, 2}} {
			a, b := n.Items[pair[0]], n.Items[pair[1]]
			if a.Scalar != b.Scalar {
				g.add(Axis, n, edit(a, b.Scalar), edit(b, a.Scalar))
			}
		}
	}
}

func negated(m []string) string {
	if v, _ := strconv.ParseFloat(m[2], 64); v == 0 {
		return m[2] + m[3]
	}
	if m[1] == "-" {
		return m[2] + m[3]
	}
	return "-" + m[2] + m[3]
}

// bodies tries the other bodies of the kit.
func (g *generator) bodies(n *source.Node) {
	list := g.kit.Get("bodies")
	if list == nil {
		return
	}
	for _, b := range list.Items {
		if id := b.Get("id"); id != nil {
			g.add(Body, n, edit(n, id.Scalar))
		}
	}
}

// neighbours tries two items of a list with a member of theirs exchanged.
func (g *generator) neighbours(a, b *source.Node) {
	if a.Kind != source.Map || b.Kind != source.Map {
		return
	}
	for i, m := range a.Members {
		x, y := a.Items[i], b.Get(m.Key)
		if y == nil || x.Kind != y.Kind {
			continue
		}
		g.exchange(x, y)
	}
}

// exchange tries two scalars, or all of two groups of the same shape, in each
// other's place.
func (g *generator) exchange(x, y *source.Node) {
	var edits []Edit
	if !pair(x, y, &edits) || len(edits) == 0 {
		return
	}
	g.add(Exchange, x, edits...)
}

// pair collects the edits that exchange two trees of the same shape.
func pair(x, y *source.Node, edits *[]Edit) bool {
	if x.Kind != y.Kind || len(x.Items) != len(y.Items) {
		return false
	}
	if x.Kind != source.List && x.Kind != source.Map {
		if x.Scalar != y.Scalar {
			*edits = append(*edits, edit(x, y.Scalar), edit(y, x.Scalar))
		}
		return true
	}
	for i := range x.Items {
		if x.Kind == source.Map && x.Members[i].Key != y.Members[i].Key || !pair(x.Items[i], y.Items[i], edits) {
			return false
		}
	}
	return true
}

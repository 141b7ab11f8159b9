package slip

import (
	"cmp"
	"math"
	"slices"

	"kitgauge/checker/quantities/survey"
	"kitgauge/checker/source"
)

// mostTwins is how many stations of the twin of a bundle are taken for that of
// a station: the nearest ones.
const mostTwins = 3

// twinsOf are the items of a list that are mirror images of one: by its id, its
// name or the point that it leads to; of a station by its place.
func (g *generator) twinsOf(item *source.Node) []*source.Node {
	list := item.Parent()
	for _, key := range []string{"id", "name", "point"} {
		if twin := twinBy(key, item, list); twin != nil {
			return []*source.Node{twin}
		}
	}
	if bundle := list.Parent(); list.Key() == "route" && bundle != nil {
		for _, key := range []string{"id", "name"} {
			if twin := twinBy(key, bundle, bundle.Parent()); twin != nil && twin.Get("route") != nil {
				return nearestMirrored(item, twin.Get("route").Items)
			}
		}
	}
	return nil
}

// twinBy is the item of a list that is named as the mirror image of another;
// nil where there is none.
func twinBy(key string, item, list *source.Node) *source.Node {
	id, side := sideOf(key, item)
	if side == "" {
		return nil
	}
	for _, other := range list.Items {
		if k, s := sideOf(key, other); k == id && s != "" && s != side {
			return other
		}
	}
	return nil
}

// sideOf is a name of a thing without its side, and the side.
func sideOf(key string, item *source.Node) (name, side string) {
	switch n := item.Get(key); {
	case n == nil || n.Kind != source.Text:
		return "", ""
	case key == "name":
		return survey.Key(n.Scalar)
	default:
		return survey.IDKey(n.Scalar)
	}
}

// nearestMirrored are the stations that lie nearest to the mirror image of one.
func nearestMirrored(item *source.Node, list []*source.Node) []*source.Node {
	at, ok := place(item)
	if !ok {
		return nil
	}
	at[1] = -at[1]
	far := func(n *source.Node) float64 {
		p, ok := place(n)
		if !ok {
			return math.Inf(1)
		}
		return math.Hypot(math.Hypot(p[0]-at[0], p[1]-at[1]), p[2]-at[2])
	}
	list = slices.Clone(list)
	slices.SortStableFunc(list, func(a, b *source.Node) int { return cmp.Compare(far(a), far(b)) })
	return list[:min(len(list), mostTwins)]
}

// place is the position of a thing.
func place(item *source.Node) (p [3]float64, ok bool) {
	n := item.Get("position")
	if n == nil || len(n.Items) != 3 {
		return p, false
	}
	for i, c := range n.Items {
		v, _, ok := amount(c.Scalar)
		if !ok {
			return p, false
		}
		p[i] = v
	}
	return p, true
}

// twinMembers tries members of two twins in each other's place.
func (g *generator) twinMembers(a, b *source.Node) {
	g.neighbours(a, b)
	var edits []Edit
	for _, key := range []string{"position", "body"} { // what was measured at one, written at the other
		x, y := a.Get(key), b.Get(key)
		before := len(edits)
		if x == nil || y == nil || !pair(x, y, &edits) || len(edits) == before {
			return
		}
	}
	g.add(Exchange, a, edits...)
}

// mirror tries every value of the twin: a coordinate y with its sign, a range
// with its ends, the rest as it is.
func (g *generator) mirror(item, twin *source.Node) {
	if isBox(item) && isBox(twin) {
		g.mirrorBox(item, twin)
	}
	for i, m := range item.Members {
		x, y := item.Items[i], twin.Get(m.Key)
		if y == nil || m.Key == "id" || m.Key == "name" || m.Key == "point" || x.Kind != y.Kind {
			continue
		}
		switch {
		case m.Key == "range":
			g.mirrorRange(x, y)
		case isBox(item) && (m.Key == "from" || m.Key == "to"):
		case x.Kind == source.List && len(x.Items) == 3 && len(y.Items) == 3:
			g.mirrorVector(x, y)
		case x.Kind == source.Map:
			g.mirror(x, y)
		case x.Kind < source.List:
			to := y.Scalar
			if slices.Contains(bodyKeys, m.Key) {
				to = g.mirrored(to)
			}
			g.add(Twin, x, edit(x, to))
		}
	}
}

// sideWords are those of a name that say on which side a thing is.
var sideWords = map[string]string{"left": "right", "right": "left", "Left": "Right", "Right": "Left"}

// side tries a name with the other side in it, in the call-out sheet as well.
func (g *generator) side(n *source.Node) {
	if n.Key() != "name" || n.Kind != source.Text {
		return
	}
	other := tokens.ReplaceAllStringFunc(n.Scalar, func(word string) string { return cmp.Or(sideWords[word], word) })
	g.add(Twin, n, edit(n, other))
	if row := g.rowOf(n); row != nil && row.Scalar == n.Scalar {
		g.add(Twin, n, edit(n, other), edit(row, other))
	}
}

// rowOf is the name in the call-out sheet that goes with that of a point.
func (g *generator) rowOf(name *source.Node) *source.Node {
	point, lines := name.Parent().Get("id"), g.kit.Get("lines")
	if point == nil || lines == nil || name.Parent().Parent().Key() != "points" {
		return nil
	}
	for _, line := range lines.Items {
		if to := line.Get("point"); to != nil && to.Scalar == point.Scalar {
			return g.row(line)
		}
	}
	return nil
}

// isBox reports whether a thing goes from one corner to another.
func isBox(n *source.Node) bool {
	from, to := n.Get("from"), n.Get("to")
	return from != nil && to != nil && len(from.Items) == 3 && len(to.Items) == 3
}

// mirrorBox tries the corners of the twin, whose right and left side change
// places with the sign.
func (g *generator) mirrorBox(x, y *source.Node) {
	var all []Edit
	for _, keys := range [][2]string{{"from", "to"}, {"to", "from"}} {
		for i, n := range x.Get(keys[0]).Items {
			to := y.Get(keys[0]).Items[i].Scalar
			if i == 1 {
				m := measured.FindStringSubmatch(y.Get(keys[1]).Items[1].Scalar)
				if m == nil {
					return
				}
				to = negated(m)
			}
			g.add(Twin, n, edit(n, to))
			all = append(all, edit(n, to))
		}
	}
	g.add(Twin, x, all...)
}

func (g *generator) mirrorVector(x, y *source.Node) {
	to := []string{y.Items[0].Scalar, y.Items[1].Scalar, y.Items[2].Scalar}
	if m := measured.FindStringSubmatch(to[1]); m != nil {
		to[1] = negated(m)
	}
	var edits []Edit
	for i, n := range x.Items {
		if n.Scalar != to[i] {
			g.add(Twin, n, edit(n, to[i]))
			edits = append(edits, edit(n, to[i]))
		}
	}
	if len(edits) > 1 {
		g.add(Twin, x, edits...)
	}
}

// mirrorRange takes the twin's range as it is and, about a mirrored axis, with
// its signs exchanged.
func (g *generator) mirrorRange(x, y *source.Node) {
	from, to, twinFrom, twinTo := x.Get("from"), x.Get("to"), y.Get("from"), y.Get("to")
	if from == nil || to == nil || twinFrom == nil || twinTo == nil {
		return
	}
	g.add(Twin, x, edit(from, twinFrom.Scalar), edit(to, twinTo.Scalar))
	a, b := measured.FindStringSubmatch(twinFrom.Scalar), measured.FindStringSubmatch(twinTo.Scalar)
	if a != nil && b != nil {
		g.add(Twin, x, edit(from, negated(b)), edit(to, negated(a)))
	}
}

// mirrored is the id of the mirror image of a body; its own where it has none.
func (g *generator) mirrored(body string) string {
	list := g.kit.Get("bodies")
	if list == nil {
		return body
	}
	for _, b := range list.Items {
		if id := b.Get("id"); id == nil || id.Scalar != body {
			continue
		}
		if twin := twinBy("id", b, list); twin != nil {
			return twin.Get("id").Scalar
		}
	}
	return body
}

package slip

import (
	"kitgauge/checker/quantities/survey"
	"kitgauge/checker/source"
)

// twins tries, for the items of a list that are mirror images by their ids,
// the values of one in the other, mirrored, and the two exchanged.
func (g *generator) twins(list *source.Node) {
	if list.Kind != source.List {
		return
	}
	for _, item := range list.Items {
		twin := twinOf(item, list)
		if twin == nil {
			continue
		}
		g.mirror(item, twin)
		if item.Line < twin.Line {
			g.twinMembers(item, twin)
		}
	}
}

// twinOf is the item of a list whose id is the mirror image of that of another
// by its side; nil where there is none.
func twinOf(item, list *source.Node) *source.Node {
	key, side := idKey(item)
	if side == "" {
		return nil
	}
	for _, other := range list.Items {
		if k, s := idKey(other); k == key && s != "" && s != side {
			return other
		}
	}
	return nil
}

// idKey is the id of a thing without its side, and the side.
func idKey(item *source.Node) (key, side string) {
	if id := item.Get("id"); id != nil {
		return survey.IDKey(id.Scalar)
	}
	return "", ""
}

// twinMembers tries members of two twins in each other's place.
func (g *generator) twinMembers(a, b *source.Node) {
	var position, body []Edit
	for i, m := range a.Members {
		x, y := a.Items[i], b.Get(m.Key)
		if y == nil || m.Key == "id" {
			continue
		}
		g.exchange(x, y)
		switch m.Key {
		case "position":
			pair(x, y, &position)
		case "body":
			pair(x, y, &body)
		}
	}
	if len(position) > 0 && len(body) > 0 { // what was measured at one, written at the other
		g.add(Exchange, a, append(position, body...)...)
	}
}

// mirror tries every value of the twin: a coordinate y with its sign, a range
// with its ends, the rest as it is.
func (g *generator) mirror(item, twin *source.Node) {
	for i, m := range item.Members {
		x, y := item.Items[i], twin.Get(m.Key)
		if y == nil || m.Key == "id" || m.Key == "name" || x.Kind != y.Kind {
			continue
		}
		switch {
		case m.Key == "range":
			g.mirrorRange(x, y)
		case x.Kind == source.List && len(x.Items) == 3 && len(y.Items) == 3:
			g.mirrorVector(x, y)
		case x.Kind == source.Map:
			g.mirror(x, y)
		case x.Kind < source.List:
			to := y.Scalar
			if m.Key == "body" || m.Key == "parent" || m.Key == "child" {
				to = g.mirrored(to)
			}
			g.add(Twin, x, edit(x, to))
		}
	}
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
		if twin := twinOf(b, list); twin != nil {
			return twin.Get("id").Scalar
		}
	}
	return body
}

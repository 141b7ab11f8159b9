package engine

import (
	"fmt"
	"reflect"

	"github.com/google/cel-go/common/types"
	"github.com/google/cel-go/common/types/ref"
	"github.com/google/cel-go/common/types/traits"

	"kitgauge/checker/finding"
	"kitgauge/checker/source"
)

// related names places that belong to a finding: things of the kit, the member
// of them that matters, and what they have to do with it.
type related struct {
	things *expression
	at     []string
	says   *message
}

// mostRelated bounds how many places a finding names.
const mostRelated = 10

// located is a thing that is written somewhere.
type located interface{ Source() *source.Node }

var locatedType = reflect.TypeFor[located]()

func (r *packReader) related(n *source.Node, rule *Rule) []related {
	list := n.Get("related")
	if list == nil {
		return nil
	}
	var out []related
	for _, item := range list.Items {
		one := related{things: r.expression(item, "things", wantThings, rule), says: r.message(item, "says", rule)}
		if one.things == nil || one.says == nil {
			r.Fail(item, "a related place needs things and says", "write both, or leave it out")
			continue
		}
		one.at = keys(r.text(item, "at"))
		out = append(out, one)
	}
	return out
}

// places evaluates what belongs to a finding. What is not known names no place,
// and neither does the place of the finding itself.
func (r *Rule) places(s *scope, own source.Pos) []finding.Place {
	var list []finding.Place
	for _, one := range r.related {
		v, err := one.things.eval(s)
		if err != nil {
			continue
		}
		for _, n := range nodes(v, mostRelated+1) {
			for _, key := range one.at {
				if m := n.Get(key); m != nil {
					n = m
				}
			}
			if at := n.Pos(); at != own && at.Line > 0 && len(list) < mostRelated {
				list = append(list, finding.Place{Pos: at, Pointer: n.Pointer(), Says: one.says.fill(s)})
			}
		}
	}
	return list
}

// nodes are the places where a thing, or those of a list, are written.
func nodes(v ref.Val, most int) []*source.Node {
	var list []*source.Node
	add := func(v ref.Val) {
		if i, is := v.(*instance); is {
			if l, is := i.native.(located); is && l.Source() != nil {
				list = append(list, l.Source())
			}
		}
	}
	items, is := v.(traits.Lister)
	if !is {
		add(v)
		return list
	}
	for it := items.Iterator(); it.HasNext() == types.True && len(list) < most; {
		add(it.Next())
	}
	return list
}

// things reports whether a type is that of things that are written somewhere,
// or of a list of them.
func (v *Types) things(t *types.Type) bool { return v.thing(t) != nil }

// thing is what is known of such a thing; nil where the type is of none.
func (v *Types) thing(t *types.Type) *object {
	if t.Kind() == types.ListKind && len(t.Parameters()) == 1 {
		t = t.Parameters()[0]
	}
	for of, o := range v.byType {
		if o.cel.IsExactType(t) && reflect.PointerTo(of).Implements(locatedType) {
			return o
		}
	}
	return nil
}

func (e *expression) noThings(t *types.Type) (message, remedy string) {
	if e.rule.pack.vocabulary.things(t) {
		return "", ""
	}
	return fmt.Sprintf("this gives %s; things of the kit are needed", e.typeName(t.String())), "name one, or filter a list of them, as in kit.lines.filter(l, l.number == 7)"
}

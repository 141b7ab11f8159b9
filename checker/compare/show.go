package compare

import (
	"encoding/json"
	"reflect"
	"slices"
	"strconv"
	"strings"

	"kitgauge/checker/kit"
	"kitgauge/checker/source"
	"kitgauge/checker/value"
)

// shown is a leaf of the model as it is compared and as it is shown.
type shown struct {
	stated bool
	same   string // two leaves are alike where this is
	text   string
	exact  string // as written: for two that differ in what text leaves out
	node   *source.Node
	value  any      // the leaf itself
	items  []string // of a list
}

// reference is a Ref of any kind.
type reference interface {
	Target() (to any, found bool, why string)
	Source() *source.Node
}

// show makes a leaf ready; it returns false for what has members of its own.
func (d *differ) show(v reflect.Value, m measure) (shown, bool) {
	switch p := v.Addr().Interface().(type) {
	case *value.Number:
		return d.number(p, m), true
	case *value.Count:
		return leaf(*p, func(n int64) string { return strconv.FormatInt(n, 10) }), true
	case *value.Text:
		return leaf(*p, func(t string) string { return t }), true
	case *value.Flag:
		return leaf(*p, yesNo), true
	case *kit.Vector:
		return d.vector(p, m), true
	case *kit.Range:
		return d.span(p, m), true
	case *[]value.Text:
		return set(*p, func(t string) string { return t }), true
	case *[]value.Count:
		return set(*p, func(n int64) string { return strconv.FormatInt(n, 10) }), true
	case reference:
		s := leaf(v.FieldByName("ID").Interface().(value.Text), func(t string) string { return t })
		s.value = p
		return s, true
	}
	return shown{}, false
}

func yesNo(yes bool) string {
	if yes {
		return "yes"
	}
	return "no"
}

// leaf shows a value. One that is stated and cannot be read is compared as it
// is written.
func leaf[T float64 | int64 | string | bool](v value.Of[T], text func(T) string) shown {
	s := shown{node: v.Node, value: v}
	switch {
	case v.Known:
		s.stated, s.text = true, text(v.V)
		s.same = "=" + s.text
		s.exact = s.text
	case v.Node != nil:
		s.stated, s.text = true, raw(v.Node)
		s.same, s.exact = "?"+s.text, s.text
	}
	return s
}

// raw is what stands in the file.
func raw(n *source.Node) string {
	if n.Kind != source.List && n.Kind != source.Map {
		return n.Scalar
	}
	text, err := json.Marshal(n.Plain())
	if err != nil { // a tree of package source holds JSON values only
		return n.Kind.String()
	}
	return string(text)
}

func (d *differ) number(v *value.Number, m measure) shown {
	// Twelve digits are more than anybody writes, and fewer than a conversion
	// to SI rounds.
	s := leaf(*v, func(x float64) string { return strconv.FormatFloat(x, 'g', 12, 64) })
	if !v.Known {
		return s
	}
	s.text = m.format(v.V, d.family)
	if v.Node != nil {
		s.exact = v.Node.Scalar
	}
	return s
}

// vector shows a position or a direction as it is written: [x, y, z].
func (d *differ) vector(v *kit.Vector, m measure) shown {
	s := shown{node: v.Node, value: *v}
	if !v.Known() && v.Node != nil {
		s.stated, s.text = true, raw(v.Node)
		s.same, s.exact = "?"+s.text, s.text
		return s
	}
	x, y, z := d.number(&v.X, m), d.number(&v.Y, m), d.number(&v.Z, m)
	if s.stated = x.stated || y.stated || z.stated; !s.stated {
		return s
	}
	list := func(of func(shown) string) string {
		return "[" + strings.Join([]string{orNot(x, of), orNot(y, of), orNot(z, of)}, ", ") + "]"
	}
	s.same = list(func(c shown) string { return c.same })
	s.text = list(func(c shown) string { return c.text })
	s.exact = list(func(c shown) string { return c.exact })
	return s
}

func orNot(s shown, of func(shown) string) string {
	if !s.stated {
		return "not stated"
	}
	return of(s)
}

// span shows a range: "-38..44 deg".
func (d *differ) span(r *kit.Range, m measure) shown {
	s := shown{node: r.Node, value: *r}
	from, to := d.number(&r.From, m), d.number(&r.To, m)
	if s.stated = from.stated || to.stated || r.Node != nil; !s.stated {
		return s
	}
	if !from.stated && !to.stated {
		s.text = raw(r.Node)
		s.same, s.exact = "?"+s.text, s.text
		return s
	}
	both := func(of func(shown) string) string {
		a, b := orNot(from, of), orNot(to, of)
		if n, unit, found := strings.Cut(a, " "); found && strings.HasSuffix(b, " "+unit) {
			a = n // the unit once
		}
		return a + ".." + b
	}
	s.same = orNot(from, func(c shown) string { return c.same }) + ".." + orNot(to, func(c shown) string { return c.same })
	s.text = both(func(c shown) string { return c.text })
	s.exact = both(func(c shown) string { return c.exact })
	return s
}

// set shows a list of names or numbers, whose order says nothing.
func set[T string | int64](list []value.Of[T], text func(T) string) shown {
	s := shown{stated: len(list) > 0}
	for i := range list {
		one := leaf(list[i], text)
		s.items = append(s.items, one.text)
		if s.node == nil && one.node != nil {
			s.node = one.node.Parent()
		}
	}
	s.text = strings.Join(s.items, ", ")
	sorted := slices.Sorted(slices.Values(s.items))
	s.same, s.exact = strings.Join(sorted, "\x00"), s.text
	return s
}

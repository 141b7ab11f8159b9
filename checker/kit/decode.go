package kit

import (
	"errors"
	"fmt"
	"reflect"
	"strconv"
	"strings"
	"unicode/utf8"

	"kitgauge/checker/source"
	"kitgauge/checker/units"
	"kitgauge/checker/value"
)

// decoder fills structs from nodes. A value of the wrong kind is a problem,
// and the leaf stays unknown with that reason; an unknown key is left to the
// JSON Schema, which reports it.
type decoder struct {
	problems []*source.Problem
}

func (d *decoder) fail(n *source.Node, message, remedy string) string {
	d.problems = append(d.problems, &source.Problem{Pos: n.Pos(), Message: message, Remedy: remedy, Node: n})
	return message
}

var nodeType = reflect.TypeFor[*source.Node]()

// into fills the struct v from the map n.
func (d *decoder) into(n *source.Node, v reflect.Value, dim units.Dimension) {
	if f := v.FieldByName("Node"); f.IsValid() && f.Type() == nodeType {
		f.Set(reflect.ValueOf(n))
	}
	if n.Kind != source.Map {
		d.fail(n, fmt.Sprintf("this is %s; a group of members is needed", n.Kind), "write its members below it")
		return
	}
	for _, m := range value.Members(v.Type()) {
		field := v.Field(m.Index)
		if m.Key == "" { // an embedded struct shares the group
			d.into(n, field, dim)
			continue
		}
		child := n.Get(m.Key)
		if child == nil || m.Varies {
			continue
		}
		of := m
		if m.Inherit {
			of.Dim = dim
		}
		d.field(child, field, of)
	}
	if f, ok := v.Addr().Interface().(interface{ finish(*decoder) }); ok {
		f.finish(d)
	}
}

// referrer is a Ref of any kind.
type referrer interface{ id() *value.Text }

func (r *Ref[T]) id() *value.Text { return &r.ID }

func (d *decoder) field(n *source.Node, v reflect.Value, m value.Member) {
	switch p := v.Addr().Interface().(type) {
	case *value.Number:
		*p = d.number(n, m)
	case *value.Count:
		*p = d.count(n)
	case *value.Text:
		*p = d.text(n)
	case *value.Flag:
		*p = d.flag(n)
	case *Vector:
		d.vector(n, p, m)
	case referrer:
		*p.id() = d.text(n)
	default:
		d.composite(n, v, m)
	}
}

func (d *decoder) composite(n *source.Node, v reflect.Value, m value.Member) {
	if v.Kind() == reflect.Struct {
		d.into(n, v, m.Dim)
		return
	}
	if n.Kind != source.List {
		d.fail(n, fmt.Sprintf("%s is %s; a list is needed", label(n), n.Kind), "write its items below it, each after a dash")
		return
	}
	list := reflect.MakeSlice(v.Type(), len(n.Items), len(n.Items))
	for i, item := range n.Items {
		e := list.Index(i)
		if e.Kind() == reflect.Pointer {
			e.Set(reflect.New(e.Type().Elem()))
			d.into(item, e.Elem(), m.Dim)
			continue
		}
		d.field(item, e, m)
	}
	v.Set(list)
}

func (d *decoder) number(n *source.Node, m value.Member) value.Number {
	if m.Dim == units.Plain && n.Kind == source.Number {
		f, _ := strconv.ParseFloat(n.Scalar, 64) // package source keeps to finite numbers
		return value.Number{V: f, Known: true, Node: n}
	}
	if long := len(n.Scalar) > longestMeasured; long || n.Kind != source.Text && n.Kind != source.Number {
		is := n.Kind.String()
		if long {
			is = show(n)
		}
		why := d.fail(n, fmt.Sprintf("%s is %s; %s is needed", label(n), is, article(m.Dim.String())), "write a number with its unit: "+strings.Join(units.Accepted(m.Dim), ", "))
		return value.Number{Why: why, Node: n}
	}
	si, err := units.Parse(n.Scalar, m.Dim)
	if err == nil && m.Spread && !strings.HasSuffix(n.Scalar, "K") {
		err = fmt.Errorf("%q is a temperature; a difference of temperatures is written in K", n.Scalar)
	}
	if err != nil {
		return value.Number{Why: d.fail(n, label(n)+": "+err.Error(), ""), Node: n}
	}
	return value.Number{V: si, Known: true, Node: n}
}

func (d *decoder) count(n *source.Node) value.Count {
	i, err := strconv.ParseInt(n.Scalar, 10, 32)
	if n.Kind == source.Number && errors.Is(err, strconv.ErrRange) {
		return value.Count{Why: d.fail(n, fmt.Sprintf("%s is %s, which is too large to be meant", label(n), show(n)), ""), Node: n}
	}
	if n.Kind != source.Number || err != nil {
		return value.Count{Why: d.fail(n, fmt.Sprintf("%s is %s; a whole number is needed", label(n), show(n)), "write it without quotes and without a unit"), Node: n}
	}
	return value.Count{V: i, Known: true, Node: n}
}

func (d *decoder) text(n *source.Node) value.Text {
	if n.Kind != source.Text && n.Kind != source.Number {
		remedy := "write one value after the colon"
		switch n.Kind {
		case source.Null:
			remedy = "write its value after the colon, or leave the key out"
		case source.Bool:
			remedy = "put quotes round it"
		}
		return value.Text{Why: d.fail(n, fmt.Sprintf("%s is %s; text is needed", label(n), show(n)), remedy), Node: n}
	}
	if size := utf8.RuneCountInString(n.Scalar); size > longestText {
		return value.Text{Why: d.fail(n, fmt.Sprintf("%s has %d characters; at most %d are possible", label(n), size, longestText), "shorten it"), Node: n}
	}
	return value.Text{V: n.Scalar, Known: true, Node: n}
}

// longestText is the largest maxLength of the schemas. A longer text would be
// repeated in all that is said of what it names.
const longestText = 4000

func (d *decoder) flag(n *source.Node) value.Flag {
	if n.Kind != source.Bool {
		return value.Flag{Why: d.fail(n, fmt.Sprintf("%s is %s; true or false is needed", label(n), show(n)), "write true or false without quotes"), Node: n}
	}
	return value.Flag{V: n.Scalar == "true", Known: true, Node: n}
}

func (d *decoder) vector(n *source.Node, v *Vector, m value.Member) {
	v.Node = n
	if n.Kind != source.List || len(n.Items) != 3 {
		why := d.fail(n, label(n)+" is not a list of three", "write [x, y, z]: x forward, y left, z up (ISO 8855)")
		v.X.Why, v.Y.Why, v.Z.Why = why, why, why
		return
	}
	for i, p := range []*value.Number{&v.X, &v.Y, &v.Z} {
		*p = d.number(n.Items[i], m)
	}
}

// label names the value by the nearest key above it.
func label(n *source.Node) string {
	for n.Parent() != nil && n.Parent().Kind == source.List {
		n = n.Parent()
	}
	return n.Key()
}

func article(noun string) string {
	if strings.ContainsRune("aeiou", rune(noun[0])) {
		return "an " + noun
	}
	return "a " + noun
}

// longestMeasured is far beyond any number with its unit, in bytes.
const longestMeasured = 1000

// longestShown is how much of a value a message repeats, in characters.
const longestShown = 100

// show names what stands in the file, for a message.
func show(n *source.Node) string {
	switch n.Kind {
	case source.Text, source.Number:
		if runes := []rune(n.Scalar); len(runes) > longestShown {
			return strconv.Quote(string(runes[:longestShown]) + "...")
		}
		return strconv.Quote(n.Scalar)
	}
	return n.Kind.String()
}

// finish reads the joint's range, whose dimension depends on its kind.
func (j *Joint) finish(d *decoder) {
	r := j.Node.Get("range")
	if r == nil {
		return
	}
	dim := units.Angle
	if j.Kind.V == "prismatic" {
		dim = units.Length
	}
	d.into(r, reflect.ValueOf(&j.Range).Elem(), dim)
}

// decode fills the struct that p points to.
func decode(n *source.Node, p any) []*source.Problem {
	var d decoder
	d.into(n, reflect.ValueOf(p).Elem(), units.Plain)
	return d.problems
}

// Package decode reads a tree of a file into structs, as their tags say
// (value.Members): kits and catalogues, settings and fault cards. A value of
// the wrong kind is a problem, with its place and what would be right; a key
// that is not known is left to the JSON Schema, which reports it.
//
// Beside `key` and `dim`, a member takes
//
//   - need, the remedy where it is missing or empty; without it, it may be;
//   - the key "*" in the items of a list that the file writes as a group: the
//     name of each, in the order of the file;
//   - the key "." where the file may write the one text instead of the group.
//
// A measured number that is below 0 and cannot be is such a problem too.
//
// A member of type *source.Node is the value as it stands, and a field of that
// type called Node is where the group was written, nil where it was not.
package decode

import (
	"errors"
	"fmt"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"kitgauge/checker/source"
	"kitgauge/checker/units"
	"kitgauge/checker/value"
)

// Decoder fills structs and keeps what is wrong.
type Decoder struct {
	Problems []*source.Problem
}

// Reader is a member that reads itself.
type Reader interface {
	ReadNode(d *Decoder, n *source.Node, m value.Member)
}

// Finisher is a struct with members that depend on others: it is called when
// those with a key are read.
type Finisher interface {
	Finish(d *Decoder, n *source.Node)
}

// Into fills the struct that p points to.
func Into(n *source.Node, p any) []*source.Problem {
	var d Decoder
	d.Value(n, p, value.Member{})
	return d.Problems
}

// Value fills what p points to as the member would be.
func (d *Decoder) Value(n *source.Node, p any, m value.Member) {
	d.field(n, reflect.ValueOf(p).Elem(), m)
}

// Fail notes a problem and returns its message, for the value that has none. A
// value that could not be read was told already.
func (d *Decoder) Fail(n *source.Node, message, remedy string) string {
	if n.Unread != "" {
		return n.Unread
	}
	d.Problems = append(d.Problems, &source.Problem{Pos: n.Pos(), Message: message, Remedy: remedy, Node: n})
	return message
}

var nodeType = reflect.TypeFor[*source.Node]()

// group fills the struct v, which is the member of, from the members of n.
func (d *Decoder) group(n *source.Node, v reflect.Value, of value.Member) {
	if f := v.FieldByName("Node"); f.IsValid() && f.Type() == nodeType {
		f.Set(reflect.ValueOf(n))
	}
	if m, short := special(v.Type(), "."); short && (n.Kind != source.Map || onlyText(v.Type())) {
		d.field(n, v.Field(m.Index), m)
		return
	}
	if n.Kind != source.Map {
		d.Fail(n, fmt.Sprintf("this is %s; a group of members is needed", n.Kind), "write its members below it")
		return
	}
	for _, m := range value.Members(v.Type()) {
		if m.Inherit {
			m.Dim, m.Signed = of.Dim, of.Signed
		}
		switch m.Key {
		case "": // an embedded struct shares the group
			d.group(n, v.Field(m.Index), of)
		case "*", ".":
		default:
			d.member(n, v.Field(m.Index), m)
		}
	}
	if f, ok := v.Addr().Interface().(Finisher); ok {
		f.Finish(d, n)
	}
}

func (d *Decoder) member(n *source.Node, v reflect.Value, m value.Member) {
	child := n.Get(m.Key)
	if m.Need != "" && (child == nil || child.Kind <= source.Text && strings.TrimSpace(child.Scalar) == "") {
		d.lacks(n, child, m)
		return
	}
	if child != nil && !m.Varies {
		d.field(child, v, m)
	}
}

func (d *Decoder) lacks(n, child *source.Node, m value.Member) {
	message := m.Key + " is missing"
	if p := n.Parent(); p != nil && p.Kind == source.Map {
		message = n.Key() + " has no " + m.Key
	}
	if child != nil {
		n = child // empty
	}
	d.Fail(n, message, m.Need)
}

// special is the member with the key "*" or ".".
func special(t reflect.Type, key string) (value.Member, bool) {
	if t.Kind() == reflect.Pointer {
		t = t.Elem()
	}
	if t.Kind() != reflect.Struct {
		return value.Member{}, false
	}
	members := value.Members(t)
	i := slices.IndexFunc(members, func(m value.Member) bool { return m.Key == key })
	if i < 0 {
		return value.Member{}, false
	}
	return members[i], true
}

// onlyText reports whether a struct is the one text, with its name or without.
func onlyText(t reflect.Type) bool {
	return !slices.ContainsFunc(value.Members(t), func(m value.Member) bool { return m.Key != "*" && m.Key != "." })
}

func (d *Decoder) field(n *source.Node, v reflect.Value, m value.Member) {
	switch p := v.Addr().Interface().(type) {
	case *value.Number:
		*p = d.number(n, m)
	case *value.Count:
		*p = d.count(n)
	case *value.Text:
		*p = d.text(n)
	case *value.Flag:
		*p = d.flag(n)
	case *string:
		*p = strings.TrimSpace(d.text(n).V)
	case **source.Node:
		*p = n
	case Reader:
		p.ReadNode(d, n, m)
	default:
		d.composite(n, v, m)
	}
}

func (d *Decoder) composite(n *source.Node, v reflect.Value, m value.Member) {
	switch v.Kind() {
	case reflect.Struct:
		d.group(n, v, m)
	case reflect.Pointer:
		v.Set(reflect.New(v.Type().Elem()))
		d.group(n, v.Elem(), m)
	default:
		d.list(n, v, m)
	}
}

// list reads the items of a list, or those of a group with their names.
func (d *Decoder) list(n *source.Node, v reflect.Value, m value.Member) {
	name, named := special(v.Type().Elem(), "*")
	switch {
	case named && n.Kind != source.Map:
		d.Fail(n, fmt.Sprintf("%s is %s; a group of members is needed", label(n), n.Kind), "write its members below it, each with its name before the colon")
		return
	case !named && n.Kind != source.List:
		d.Fail(n, fmt.Sprintf("%s is %s; a list is needed", label(n), n.Kind), "write its items below it, each after a dash")
		return
	}
	list := reflect.MakeSlice(v.Type(), len(n.Items), len(n.Items))
	for i, item := range n.Items {
		d.field(item, list.Index(i), m)
		if named {
			reflect.Indirect(list.Index(i)).Field(name.Index).SetString(n.Members[i].Key)
		}
	}
	v.Set(list)
}

func (d *Decoder) number(n *source.Node, m value.Member) value.Number {
	if m.Dim == units.Plain && n.Kind == source.Number {
		f, _ := strconv.ParseFloat(n.Scalar, 64) // package source keeps to finite numbers
		return d.notBelow(n, f, m)
	}
	if long := len(n.Scalar) > longestMeasured; long || n.Kind != source.Text && n.Kind != source.Number {
		is := n.Kind.String()
		if long {
			is = show(n)
		}
		why := d.Fail(n, fmt.Sprintf("%s is %s; %s is needed", label(n), is, m.Dim.Phrase()), "write a number with its unit: "+strings.Join(units.Accepted(m.Dim), ", "))
		return value.Number{Why: why, Node: n}
	}
	si, err := units.Parse(n.Scalar, m.Dim)
	if err == nil && m.Spread && !strings.HasSuffix(n.Scalar, "K") {
		err = fmt.Errorf("%q is a temperature; a difference of temperatures is written in K", n.Scalar)
	}
	if err != nil {
		why := d.Fail(n, label(n)+": "+err.Error(), "")
		var meant *units.Misspelt
		if errors.As(err, &meant) {
			d.Problems[len(d.Problems)-1].Meant = meant.Meant
		}
		return value.Number{Why: why, Node: n}
	}
	return d.notBelow(n, si, m)
}

// notBelow is a number that was read, unless it is below 0 and cannot be.
func (d *Decoder) notBelow(n *source.Node, si float64, m value.Member) value.Number {
	if si < 0 && !m.Signed {
		why := d.Fail(n, fmt.Sprintf("%s is %s; it cannot be below 0", label(n), n.Scalar), "correct it: write what was measured, without the minus sign")
		return value.Number{Why: why, Node: n}
	}
	return value.Number{V: si, Known: true, Node: n}
}

func (d *Decoder) count(n *source.Node) value.Count {
	i, err := strconv.ParseInt(n.Scalar, 10, 32)
	if n.Kind == source.Number && errors.Is(err, strconv.ErrRange) {
		return value.Count{Why: d.Fail(n, fmt.Sprintf("%s is %s, which is too large to be meant", label(n), show(n)), ""), Node: n}
	}
	if n.Kind != source.Number || err != nil {
		return value.Count{Why: d.Fail(n, fmt.Sprintf("%s is %s; a whole number is needed", label(n), show(n)), "write it without quotes and without a unit"), Node: n}
	}
	return value.Count{V: i, Known: true, Node: n}
}

func (d *Decoder) text(n *source.Node) value.Text {
	if n.Kind != source.Text && n.Kind != source.Number {
		remedy := "write one value after the colon"
		switch n.Kind {
		case source.Null:
			remedy = "write its value after the colon, or leave the key out"
		case source.Bool:
			remedy = "put quotes round it"
		}
		return value.Text{Why: d.Fail(n, fmt.Sprintf("%s is %s; text is needed", label(n), show(n)), remedy), Node: n}
	}
	if size := utf8.RuneCountInString(n.Scalar); size > longestText {
		return value.Text{Why: d.Fail(n, fmt.Sprintf("%s has %d characters; at most %d are possible", label(n), size, longestText), "shorten it"), Node: n}
	}
	return value.Text{V: n.Scalar, Known: true, Node: n}
}

// longestText is the largest maxLength of the schemas. A longer text would be
// repeated in all that is said of what it names.
const longestText = 4000

func (d *Decoder) flag(n *source.Node) value.Flag {
	if n.Kind != source.Bool {
		return value.Flag{Why: d.Fail(n, fmt.Sprintf("%s is %s; true or false is needed", label(n), show(n)), "write true or false without quotes"), Node: n}
	}
	return value.Flag{V: n.Scalar == "true", Known: true, Node: n}
}

// label names the value by the nearest key above it.
func label(n *source.Node) string {
	for n.Parent() != nil && n.Parent().Kind == source.List {
		n = n.Parent()
	}
	return n.Key()
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

package compare

import (
	"reflect"
	"strings"
	"sync"

	"kitgauge/checker/kit"
	"kitgauge/checker/source"
	"kitgauge/checker/units"
)

// member is a member of a group of the model, read from its struct tags: what
// is added to the model is compared without a word here.
type member struct {
	index    int
	key      string
	measure  measure
	inherit  bool // takes the measure of the group
	travel   bool // an angle or a length, as the joint's kind says
	embedded bool // its members are those of the group
}

var plans sync.Map // reflect.Type -> []member

func membersOf(t reflect.Type) []member {
	if p, ok := plans.Load(t); ok {
		return p.([]member)
	}
	var list []member
	for i := range t.NumField() {
		f := t.Field(i)
		m := member{index: i, key: f.Tag.Get("key"), embedded: f.Anonymous}
		if m.key == "" && !m.embedded {
			continue
		}
		switch dim := f.Tag.Get("dim"); dim {
		case "":
		case "inherit":
			m.inherit = true
		case "any":
			m.travel = true
		case "temperature_difference":
			m.measure = measure{units.Temperature, true}
		default:
			m.measure.dim, _ = units.Named(dim)
		}
		list = append(list, m)
	}
	plans.Store(t, list)
	return list
}

// of is the measure of the member in a group that has one itself.
func (m member) of(group reflect.Value, own measure) measure {
	switch {
	case m.inherit:
		return own
	case m.travel:
		if j, is := group.Addr().Interface().(*kit.Joint); is && j.Kind.V == "prismatic" {
			return measure{dim: units.Length}
		}
		return measure{dim: units.Angle}
	}
	return m.measure
}

// words is the member's name as people say it.
func (m member) words(group reflect.Type) string {
	if w, special := memberWords[group.Name()+"."+m.key]; special {
		return w
	}
	return strings.ReplaceAll(m.key, "_", " ")
}

// memberWords are the names of members that would not read well beside "to".
var memberWords = map[string]string{
	"Outline.from": "first corner", "Outline.to": "second corner",
	"Zone.from": "start", "Zone.to": "end",
	"Tied.at": "distance", "Bearing.kind": "kind",
	"Header.number": "kit number",
}

// differ compares and keeps what it finds.
type differ struct {
	family  units.Family
	section string
	changes []Change
}

// place is where in the kit something stands.
type place struct {
	text string
	node [2]*source.Node // in the old and in the new file
}

func pointee(p any) reflect.Value { return reflect.ValueOf(p).Elem() }

// kit compares section by section.
func (d *differ) kit(old, new *kit.Kit) {
	a, b := pointee(old), pointee(new)
	for _, m := range membersOf(a.Type()) {
		d.section = m.key
		d.member(place{}, a, b, m, measure{}, measure{})
	}
}

// group compares the members of two groups of one type. Their measures differ
// where a joint has become one of another kind.
func (d *differ) group(at place, old, new reflect.Value, was, is measure) {
	for _, m := range membersOf(old.Type()) {
		d.member(at, old, new, m, was, is)
	}
}

// member compares one member of two groups.
func (d *differ) member(at place, old, new reflect.Value, m member, was, is measure) {
	was, is = m.of(old, was), m.of(new, is)
	group := old.Type()
	old, new = old.Field(m.index), new.Field(m.index)
	if m.embedded {
		d.group(at, old, new, was, is)
		return
	}
	if a, leaf := d.show(old, was); leaf {
		b, _ := d.show(new, is)
		d.leaf(at, group, m, a, b, is)
		return
	}
	if old.Kind() == reflect.Slice {
		d.list(at, m.key, old, new)
		return
	}
	d.group(at.group(m.key, old, new), old, new, was, is)
}

// groupNames are those of the groups that there is one of in a kit.
var groupNames = map[string]string{
	"Header": "", "Documents": "", "Vehicle": "vehicle", "Outline": "vehicle's outline", "PumpFit": "pump",
	"BoltFit": "pump's bolts", "Timer": "timer", "Fill": "reservoir", "Feed": "feed", "Circuit": "feed's circuit",
}

// group is the place of a group within a place.
func (at place) group(key string, old, new reflect.Value) place {
	in := place{node: [2]*source.Node{nodeOf(old), nodeOf(new)}}
	name, only := groupNames[old.Type().Name()]
	if only {
		in.text = name
		return in
	}
	name = strings.ReplaceAll(key, "_", " ")
	if key == "call_out_sheet" {
		name = "call-out sheet"
	}
	in.text = join(at.text, ", ", name)
	return in
}

// nodeOf is where a group is written.
func nodeOf(v reflect.Value) *source.Node {
	if f := v.FieldByName("Node"); f.IsValid() {
		n, _ := f.Interface().(*source.Node)
		return n
	}
	return nil
}

// join puts the separator between two texts that are not empty.
func join(a, separator, b string) string {
	if a == "" || b == "" {
		return a + b
	}
	return a + separator + b
}

package compare

import (
	"reflect"
	"strings"

	"kitgauge/checker/kit"
	"kitgauge/checker/source"
	"kitgauge/checker/units"
	"kitgauge/checker/value"
)

// measureOf is the measure of a member in a group that has one itself.
func measureOf(m value.Member, group reflect.Value, own measure) measure {
	switch {
	case m.Inherit:
		return own
	case m.Varies:
		if j, is := group.Addr().Interface().(*kit.Joint); is && j.Kind.V == "prismatic" {
			return measure{dim: units.Length}
		}
		return measure{dim: units.Angle}
	}
	return measure{m.Dim, m.Spread}
}

// wordsOf is the member's name as people say it.
func wordsOf(m value.Member, group reflect.Type) string {
	if w, special := memberWords[group.Name()+"."+m.Key]; special {
		return w
	}
	return strings.ReplaceAll(m.Key, "_", " ")
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

// kit compares section by section. What is added to the model is compared
// without a word here.
func (d *differ) kit(old, new *kit.Kit) {
	a, b := pointee(old), pointee(new)
	for _, m := range value.Members(a.Type()) {
		d.section = m.Key
		d.member(place{}, a, b, m, measure{}, measure{})
	}
}

// group compares the members of two groups of one type. Their measures differ
// where a joint has become one of another kind.
func (d *differ) group(at place, old, new reflect.Value, was, is measure) {
	for _, m := range value.Members(old.Type()) {
		d.member(at, old, new, m, was, is)
	}
}

// member compares one member of two groups.
func (d *differ) member(at place, old, new reflect.Value, m value.Member, was, is measure) {
	was, is = measureOf(m, old, was), measureOf(m, new, is)
	group := old.Type()
	old, new = old.Field(m.Index), new.Field(m.Index)
	if m.Embedded {
		d.group(at, old, new, was, is)
		return
	}
	if a, leaf := d.show(old, was); leaf {
		b, _ := d.show(new, is)
		d.leaf(at, group, m, a, b, is)
		return
	}
	if old.Kind() == reflect.Slice {
		d.list(at, m.Key, old, new)
		return
	}
	d.group(at.group(m.Key, old, new), old, new, was, is)
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

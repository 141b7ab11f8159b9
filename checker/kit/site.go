package kit

import (
	"maps"
	"reflect"
	"slices"
	"sync"

	"kitgauge/checker/source"
	"kitgauge/checker/units"
	"kitgauge/checker/value"
)

// Site is what the model says of a place of a file that may be half written:
// it follows the types of the model by keys and items, without a value.
type Site struct {
	value.Member              // of the place, or of the list that holds the item
	typ          reflect.Type // nil where the model has nothing
	holder       reflect.Type // the struct that the member is of
	item         bool         // it is an item of the list
}

// SiteOf is the place of a whole file, as the type T reads it.
func SiteOf[T any]() Site { return Site{typ: reflect.TypeFor[T]()} }

// The whole of the files that this package reads.
func KitSite() Site       { return SiteOf[Kit]() }
func CatalogueSite() Site { return SiteOf[File]() }

// leads is a reference, which says of itself to what.
type leads interface{ leads() reflect.Type }

func (*Ref[T]) leads() reflect.Type { return reflect.TypeFor[T]() }

// Known reports whether the model has the place.
func (s Site) Known() bool { return s.typ != nil }

// List reports whether the place holds a list.
func (s Site) List() bool { return s.typ != nil && s.typ.Kind() == reflect.Slice }

// Vector reports whether the place holds a list of three numbers.
func (s Site) Vector() bool { return s.typ == reflect.TypeFor[Vector]() }

// Flag reports whether the place holds yes or no.
func (s Site) Flag() bool { return s.typ == reflect.TypeFor[value.Flag]() }

// Count reports whether the place holds a whole number.
func (s Site) Count() bool { return s.typ == reflect.TypeFor[value.Count]() }

// Group reports whether the place holds a group of members.
func (s Site) Group() bool { return s.shape().group && !s.Vector() }

// Get is the place of a member of the group.
func (s Site) Get(key string) Site {
	of := s.shape()
	if of.keyed {
		return Site{Member: s.Member, typ: s.typ.Elem(), holder: s.holder, item: true}
	}
	found := of.members[key]
	if found.Inherit {
		found.Dim, found.HasDim, found.Signed, found.Spread, found.Varies = s.Dim, s.HasDim, s.Signed, s.Spread, s.Varies
	}
	return found
}

// partsKey is where a catalogue lists its parts, each as its kind has it.
const partsKey = "parts"

// Keyed reports whether the file writes the list as a group, each item under
// its name.
func (s Site) Keyed() bool { return s.shape().keyed }

// shape is what there is to know of a type, kept for the next place of it.
type shape struct {
	group          bool // it is one, and no value
	keyed          bool
	members        map[string]Site
	nameKey, thing string
	target         Target                   // of a reference
	lists          func() map[string]string // the members that list things, by their words
}

var shapes sync.Map // reflect.Type -> *shape

func (s Site) shape() *shape { return shapeOf(s.typ) }

func shapeOf(t reflect.Type) *shape {
	if of, ok := shapes.Load(t); ok {
		return of.(*shape)
	}
	of := &shape{members: map[string]Site{}}
	of.lists = sync.OnceValue(of.listing)
	if t != nil {
		of.describe(t)
	}
	shapes.Store(t, of)
	return of
}

func (of *shape) describe(t reflect.Type) {
	if t.Kind() == reflect.Pointer {
		t = t.Elem()
	}
	if t.Kind() == reflect.Slice {
		item := t.Elem()
		of.keyed = item.Kind() == reflect.Struct && slices.ContainsFunc(value.Members(item), func(m value.Member) bool { return m.Key == "*" })
		return
	}
	pointer := reflect.PointerTo(t)
	switch {
	case t.Kind() != reflect.Struct || t == reflect.TypeFor[source.Node]() || pointer.Implements(reflect.TypeFor[value.Cell]()):
		return
	case pointer.Implements(reflect.TypeFor[leads]()):
		to := reflect.New(t).Interface().(leads).leads()
		if _, of.target.Thing = nameKey(to); of.target.Thing == partThing {
			of.target.Kinds = KindsOf(to)
		}
		return
	}
	of.group = true
	of.take(t)
	of.nameKey, of.thing = nameKey(t)
	if t == reflect.TypeFor[File]() {
		of.members[partsKey] = Site{Member: value.Member{Key: partsKey}, typ: reflect.TypeFor[[]holder](), holder: t}
	}
}

// take takes the members of a struct, its own before those of one that it
// embeds.
func (of *shape) take(t reflect.Type) {
	for _, m := range value.Members(t) {
		switch _, has := of.members[m.Key]; {
		case m.Embedded && m.Type.Kind() == reflect.Struct:
			of.take(m.Type)
		case m.Key != "" && !has:
			of.members[m.Key] = Site{Member: m, typ: m.Type, holder: t}
		}
	}
}

// Item is the place of an item of the list; of is the kind of part, where it
// is one.
func (s Site) Item(of string) Site {
	out := Site{Member: s.Member, holder: s.holder, item: true}
	switch {
	case s.Vector():
		out.typ = reflect.TypeFor[value.Number]()
		out.Signed = true
	case !s.List():
		return Site{}
	case s.typ.Elem() == reflect.TypeFor[holder]():
		out.typ = reflect.TypeFor[Part]()
		if create := kinds[of]; create != nil {
			out.typ = reflect.TypeOf(create()).Elem()
		}
	default:
		out.typ = s.typ.Elem()
	}
	return out
}

// Of is the place of a value of a file that was read, s being that of its root.
func (s Site) Of(n *source.Node) Site {
	p := n.Parent()
	switch {
	case p == nil:
		return s
	case p.Kind == source.List:
		of := ""
		if kind := n.Get("kind"); kind != nil {
			of = kind.Scalar
		}
		return s.Of(p).Item(of)
	}
	return s.Of(p).Get(n.Key())
}

// ListOf is the member of the group that lists the things of a word; "" where
// none does.
func (s Site) ListOf(thing string) string { return s.shape().lists()[thing] }

// listing finds the members that list things, by the words for these.
func (of *shape) listing() map[string]string {
	found := map[string]string{}
	for _, key := range slices.Sorted(maps.Keys(of.members)) {
		if list := of.members[key]; list.List() {
			if _, thing := list.Item("").NameKey(); thing != "" && found[thing] == "" {
				found[thing] = key
			}
		}
	}
	return found
}

// KeysTo lists the keys of a kit file under which a thing of a word is named.
func KeysTo(thing string) []string {
	var list []string
	seen := map[reflect.Type]bool{}
	var walk func(s Site)
	walk = func(s Site) {
		for s.List() {
			s = s.Item("")
		}
		if seen[s.typ] {
			return
		}
		seen[s.typ] = s.Group()
		for _, key := range slices.Sorted(maps.Keys(s.shape().members)) {
			m := s.Get(key)
			if m.Target().Thing == thing && !slices.Contains(list, key) {
				list = append(list, key)
			}
			walk(m)
		}
	}
	walk(KitSite())
	slices.Sort(list)
	return list
}

// NameKey is the key under which the thing that a group describes has its
// name, and the word for the thing; "" where it has none.
func (s Site) NameKey() (key, thing string) { return s.shape().nameKey, s.shape().thing }

func nameKey(t reflect.Type) (key, thing string) {
	if t == nil || t.Kind() != reflect.Struct {
		return "", ""
	}
	for _, m := range value.Members(t) {
		if m.Names != "" {
			return m.Key, m.Names
		}
		if m.Embedded {
			if key, thing = nameKey(m.Type); key != "" {
				return key, thing
			}
		}
	}
	return "", ""
}

// Target is what the value of a place refers to.
type Target struct {
	Thing string   // the word for it: "body", "part", "rule"; "" where it refers to nothing
	Kinds []string // of a part: those that fit; nil is all
	In    string   // the member beside it that says in which thing it lies; "" for the whole file
	Once  bool     // no two of a list refer to the same
}

// Target is what a value there refers to, or each item of a list there.
func (s Site) Target() Target {
	t := s.shape().target
	if t.Thing == "" {
		t.Thing = s.Refers
	}
	t.In, t.Once = s.In, s.Once
	return t
}

// partThing is the word for a part.
var _, partThing = nameKey(reflect.TypeFor[Part]())

// KindsOf lists the kinds of part that a type of the model describes.
func KindsOf(t reflect.Type) []string {
	var list []string
	for kind, create := range kinds {
		if reflect.TypeOf(create()).Elem() == t {
			list = append(list, kind)
		}
	}
	slices.Sort(list)
	return list
}

// Dimension is what a number at the place measures; get gives the members
// beside the one whose dimension they decide.
func (s Site) Dimension(get func(key string) string) (units.Dimension, bool) {
	if !s.Varies {
		return s.Dim, s.HasDim
	}
	return rangeDimension(get("kind")), true
}

// rangeDimension is what the range of a joint of a kind measures.
func rangeDimension(kind string) units.Dimension {
	if kind == "prismatic" {
		return units.Length
	}
	return units.Angle
}

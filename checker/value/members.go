package value

import (
	"reflect"
	"strings"
	"sync"

	"kitgauge/checker/units"
)

// Member is a field of a struct that a file or a rule can name, as its tags
// say: `key` is the name, `dim` the dimension of the numbers in it. Instead of
// a dimension, dim can say
//
//   - inherit: that of the field that holds the struct;
//   - any: that which another member of the struct decides;
//   - temperature_difference: in K, and never a temperature.
//
// A measured number below 0 is refused, but for a temperature, and where the
// tag `sign` says any.
//
// What things are called, and what is called so elsewhere, stands in tags too:
//
//   - names is the word for the thing that the member gives its name: on the
//     id of a body, body. Where the things of a struct have another name already,
//     several of them may share it: the elements of a series;
//   - refers is the word for the thing whose name the member, or each item of
//     its list, repeats. A type of reference says it itself;
//   - in is a member beside it: the thing lies in the one that this refers to;
//   - once says yes where no two things of a list refer to the same.
type Member struct {
	Index    int // of the field
	Type     reflect.Type
	Key      string
	Dim      units.Dimension
	HasDim   bool
	Inherit  bool
	Varies   bool     // dim is any
	Spread   bool     // Dim is a difference of temperatures
	Signed   bool     // it can be below 0
	Words    []string // the tag words: all that a text can be; nil where it is free
	Need     string   // the tag of that name: the remedy where a file lacks it
	Names    string   // the tag of that name; "" where it names nothing
	Refers   string   // the tag of that name; "" where it refers to nothing, or its type says it
	In       string   // the tag of that name; "" for the whole file
	Once     bool     // the tag of that name
	Embedded bool     // its members are those of the struct, which win
}

var members sync.Map // reflect.Type -> []Member

// Members lists the members of a struct in the order of its fields. It panics
// on a dimension that there is not, which is a mistake of the program.
func Members(t reflect.Type) []Member {
	if list, ok := members.Load(t); ok {
		return list.([]Member)
	}
	var list []Member
	for i := range t.NumField() {
		f := t.Field(i)
		m := Member{Index: i, Type: f.Type, Key: f.Tag.Get("key"), Need: f.Tag.Get("need"), Embedded: f.Anonymous,
			Names: f.Tag.Get("names"), Refers: f.Tag.Get("refers"), In: f.Tag.Get("in"), Once: f.Tag.Get("once") == "yes"}
		if m.Key == "" && !m.Embedded {
			continue
		}
		if words := f.Tag.Get("words"); words != "" {
			m.Words = strings.Split(words, ",")
		}
		m.measure(f.Tag.Get("dim"))
		m.Signed = m.Signed || f.Tag.Get("sign") == "any"
		list = append(list, m)
	}
	members.Store(t, list)
	return list
}

func (m *Member) measure(dim string) {
	switch dim {
	case "":
	case "inherit":
		m.Inherit = true
	case "any":
		m.Varies = true
	case "temperature_difference":
		m.Dim, m.HasDim, m.Spread = units.Temperature, true, true
	default:
		if m.Dim, m.HasDim = units.Named(dim); !m.HasDim {
			panic("value: member " + m.Key + " has a dimension that is not known: " + dim)
		}
		m.Signed = m.Dim == units.Temperature
	}
}

package facts

import (
	"reflect"
	"slices"
	"strings"

	"kitgauge/checker/units"
	"kitgauge/checker/value"
)

// Figure is one computed quantity of one thing.
type Figure struct {
	Name      string // "loop radius"
	Dimension units.Dimension
	Value     value.Number
}

// Figures are the computed quantities of one thing.
type Figures struct {
	Kind    string // "span"
	Place   string // "bundle FL, span chassis to front axle"
	Figures []Figure
}

// Figures lists every computed number of the kit: those that the structs of
// this package add to what the file states. A quantity that is added to one
// of them is listed here by itself.
func (f *Kit) Figures() []Figures {
	var out []Figures
	for _, k := range Kinds() {
		if k.Name == "kit" {
			continue
		}
		fields := computed(k.Type, nil)
		for _, s := range f.Subjects(k.Name) {
			row := Figures{Kind: k.Name, Place: s.Place()}
			for _, c := range fields {
				row.Figures = append(row.Figures, Figure{c.name, c.dim, reflect.ValueOf(s).Elem().FieldByIndex(c.index).Interface().(value.Number)})
			}
			if len(row.Figures) > 0 {
				out = append(out, row)
			}
		}
	}
	return out
}

type computedField struct {
	name  string
	dim   units.Dimension
	index []int
}

var (
	numberType  = reflect.TypeFor[value.Number]()
	packagePath = reflect.TypeFor[Kit]().PkgPath()
)

// computed finds the numbers that a struct of this package holds beside the
// embedded one of the file.
func computed(t reflect.Type, path []int) []computedField {
	var out []computedField
	for _, m := range value.Members(t) {
		index := append(slices.Clone(path), m.Index)
		switch {
		case m.Embedded && m.Type.Kind() == reflect.Struct && m.Type.PkgPath() == packagePath:
			out = append(out, computed(m.Type, index)...)
		case m.Type == numberType && m.HasDim && !m.Spread:
			out = append(out, computedField{strings.ReplaceAll(m.Key, "_", " "), m.Dim, index})
		}
	}
	return out
}

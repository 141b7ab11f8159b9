package facts

import (
	"reflect"
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
	for i := range t.NumField() {
		f := t.Field(i)
		index := append(append([]int(nil), path...), i)
		switch {
		case f.Anonymous && f.Type.Kind() == reflect.Struct && f.Type.PkgPath() == packagePath:
			out = append(out, computed(f.Type, index)...)
		case f.Type == numberType:
			dim, ok := units.Named(f.Tag.Get("dim"))
			if ok {
				out = append(out, computedField{strings.ReplaceAll(f.Tag.Get("key"), "_", " "), dim, index})
			}
		}
	}
	return out
}

package facts

import (
	"reflect"
	"slices"
	"strings"

	"kitgauge/checker/source"
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
	return f.FiguresAt(func(string, *source.Node) bool { return true })
}

// FiguresAt lists those of the things that are asked for, by their kind and
// their place in the file.
func (f *Kit) FiguresAt(wanted func(kind string, at *source.Node) bool) []Figures {
	var out []Figures
	for _, k := range Kinds() {
		if k.Name == "kit" {
			continue
		}
		fields := computed(k.Type, nil)
		for _, s := range f.Subjects(k.Name) {
			if len(fields) == 0 || !wanted(k.Name, s.Source()) {
				continue
			}
			row := Figures{Kind: k.Name, Place: s.Place()}
			for _, c := range fields {
				row.Figures = append(row.Figures, Figure{c.name, c.dim, reflect.ValueOf(s).Elem().FieldByIndex(c.index).Interface().(value.Number)})
			}
			out = append(out, row)
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

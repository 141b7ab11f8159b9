package webpage

import (
	"html/template"
	"reflect"

	"kitgauge/checker/report"
)

// Visible makes every text of a model visible, so that none can steer or
// reorder what a browser shows. What is HTML or CSS already was made so by
// the package that wrote it.
func Visible(model any) { walk(reflect.ValueOf(model)) }

var written = map[reflect.Type]bool{reflect.TypeFor[template.HTML](): true, reflect.TypeFor[template.CSS](): true}

func walk(v reflect.Value) {
	switch v.Kind() {
	case reflect.Pointer, reflect.Interface:
		if !v.IsNil() {
			walk(v.Elem())
		}
	case reflect.Struct:
		for i := range v.NumField() {
			if v.Type().Field(i).IsExported() {
				walk(v.Field(i))
			}
		}
	case reflect.Slice:
		for i := range v.Len() {
			walk(v.Index(i))
		}
	case reflect.String:
		if !written[v.Type()] && v.CanSet() {
			v.SetString(report.Visible(v.String()))
		}
	}
}

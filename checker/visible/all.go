package visible

import "reflect"

// All makes every text of a model visible, so that none can steer or reorder
// what a browser shows. Exported fields of the type string count: what is of a
// type of its own, as HTML, whoever wrote it made so already.
func All(model any) { walk(reflect.ValueOf(model)) }

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
		if v.Type() == reflect.TypeFor[string]() && v.CanSet() {
			v.SetString(Text(v.String()))
		}
	}
}

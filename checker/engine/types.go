// Package engine evaluates rule packs. It is the only package that imports
// CEL. Rules read Go structs directly: a Vocabulary is made once from the
// struct tags of the model, so that every field has a name, a type and a
// dimension before the first rule is compiled.
package engine

import (
	"fmt"
	"reflect"
	"slices"
	"sort"
	"strings"
	"sync"

	"github.com/google/cel-go/common/types"
	"github.com/google/cel-go/common/types/ref"

	"kitgauge/checker/source"
	"kitgauge/checker/units"
	"kitgauge/checker/value"
)

// Types is what the expressions of rules can name.
type Types struct {
	kinds   map[string]value.Kind
	names   []string
	objects map[string]*object // by name
	byType  map[reflect.Type]*object
	base    *types.Registry

	functions []value.Function
	signature func() []byte // all of the above, for the digest of a compiled pack
}

// object is one struct type as rules see it.
type object struct {
	name   string
	cel    *types.Type
	fields map[string]*field
	keys   []string
}

// field is one member of an object.
type field struct {
	key     string
	dim     units.Dimension
	hasDim  bool
	inherit bool // the dimension is that of the field that holds the object
	of      *object
	words   []string    // all that a text can be; nil where it is free
	group   *limitGroup // of a group of limits
	cel     *types.FieldType
}

// function finds one by its name.
func (v *Types) function(name string) *value.Function {
	for i := range v.functions {
		if v.functions[i].Name == name {
			return &v.functions[i]
		}
	}
	return nil
}

// NewTypes reads the struct types of the kinds and all that they reach.
// It panics on a mistake in a struct tag, which is one of the program.
func NewTypes(kinds []value.Kind, functions []value.Function) *Types {
	base, err := types.NewRegistry()
	if err != nil {
		panic("engine: " + err.Error())
	}
	v := &Types{kinds: map[string]value.Kind{}, objects: map[string]*object{}, byType: map[reflect.Type]*object{}, base: base, functions: functions}
	for _, k := range kinds {
		v.kinds[k.Name] = k
		v.names = append(v.names, k.Name)
		v.object(k.Type)
	}
	sort.Strings(v.names)
	v.signature = sync.OnceValue(v.sign)
	return v
}

func (v *Types) object(t reflect.Type) *object {
	if o, ok := v.byType[t]; ok {
		return o
	}
	name := snake(t.Name())
	if other, taken := v.objects[name]; taken {
		panic(fmt.Sprintf("engine: two types are called %s (%v)", name, other.keys))
	}
	o := &object{name: name, cel: types.NewObjectType(name), fields: map[string]*field{}}
	v.objects[name], v.byType[t] = o, o
	v.fields(o, t, nil)
	sort.Strings(o.keys)
	return o
}

func (v *Types) fields(o *object, t reflect.Type, path []int) {
	var embedded []value.Member
	for _, m := range value.Members(t) {
		if m.Embedded {
			embedded = append(embedded, m) // after the struct's own, which win
			continue
		}
		if o.fields[m.Key] == nil {
			o.fields[m.Key] = v.field(m, append(slices.Clone(path), m.Index))
			o.keys = append(o.keys, m.Key)
		}
	}
	for _, e := range embedded {
		if e.Type.Kind() == reflect.Pointer {
			e.Type = e.Type.Elem()
		}
		v.fields(o, e.Type, append(slices.Clone(path), e.Index))
	}
}

var (
	cellType   = reflect.TypeFor[value.Cell]()
	targetType = reflect.TypeFor[target]()
	stringType = reflect.TypeFor[string]()
	textType   = reflect.TypeFor[value.Text]()
	countType  = reflect.TypeFor[value.Count]()
)

// target is a reference that may lead nowhere.
type target interface {
	Target() (to any, found bool, why string)
	Unread() bool
	Source() *source.Node
}

func (v *Types) field(m value.Member, at []int) *field {
	key := m.Key
	out := &field{key: key, dim: m.Dim, hasDim: m.HasDim, inherit: m.Inherit, words: m.Words}
	switch t := m.Type; {
	case reflect.PointerTo(t).Implements(cellType):
		out.cel = cellField(key, cellKind(t), at)
	case reflect.PointerTo(t).Implements(targetType):
		to, _ := t.FieldByName("To")
		out.of = v.object(to.Type.Elem())
		out.cel = v.referenceField(key, out.of, at)
	case t.Kind() == reflect.Struct:
		out.of = v.object(t)
		out.cel = structField(out.of, at)
	case t.Kind() == reflect.Slice:
		out.cel = v.listField(out, t.Elem(), at)
	default:
		panic(fmt.Sprintf("engine: field %s has a type that rules cannot read: %v", key, t))
	}
	return out
}

func cellKind(t reflect.Type) *types.Type {
	f, _ := t.FieldByName("V")
	switch f.Type.Kind() {
	case reflect.Float64:
		return types.DoubleType
	case reflect.Int64:
		return types.IntType
	case reflect.Bool:
		return types.BoolType
	}
	return types.StringType
}

// Missing is the reason why an expression could not be evaluated.
type Missing struct {
	holder any // the struct whose field it is
	key    string
	why    string
}

// Error gives the reason in the words of the person with the kit file.
func (m *Missing) Error() string {
	if m.why != "" {
		return m.why
	}
	if p, ok := m.holder.(placed); ok {
		return fmt.Sprintf("the %s of %s is not stated", strings.ReplaceAll(m.key, "_", " "), p.Place())
	}
	return "the " + strings.ReplaceAll(m.key, "_", " ") + " is not stated"
}

// placed is a thing that has a name in the trade's own words.
type placed interface{ Place() string }

func at(target any, path []int) reflect.Value {
	return reflect.ValueOf(target).Elem().FieldByIndex(path).Addr()
}

func cellField(key string, t *types.Type, path []int) *types.FieldType {
	return &types.FieldType{
		Type: t,
		IsSet: func(target any) bool {
			c := at(target, path).Interface().(value.Cell)
			_, known, _ := c.Cell()
			return known || c.Source() != nil
		},
		GetFrom: func(target any) (any, error) {
			v, known, why := at(target, path).Interface().(value.Cell).Cell()
			if !known {
				return nil, &Missing{target, key, why}
			}
			return v, nil
		},
	}
}

func (v *Types) referenceField(key string, of *object, path []int) *types.FieldType {
	return &types.FieldType{
		Type: of.cel,
		IsSet: func(target_ any) bool {
			to := at(target_, path).Interface().(target)
			_, found, _ := to.Target()
			return found || to.Unread() // what is read of it is missing then, and why
		},
		GetFrom: func(target_ any) (any, error) {
			to, found, why := at(target_, path).Interface().(target).Target()
			if !found {
				return nil, &Missing{target_, key, why}
			}
			return to, nil
		},
	}
}

func structField(of *object, path []int) *types.FieldType {
	return &types.FieldType{
		Type: of.cel,
		IsSet: func(target any) bool {
			f := at(target, path).Elem().FieldByName("Node")
			return !f.IsValid() || !f.IsNil()
		},
		GetFrom: func(target any) (any, error) { return at(target, path).Interface(), nil },
	}
}

func (v *Types) listField(out *field, elem reflect.Type, path []int) *types.FieldType {
	isSet := func(target any) bool { return at(target, path).Elem().Len() > 0 }
	var get func(list reflect.Value) any
	t := types.StringType
	switch {
	case elem == stringType:
		get = func(list reflect.Value) any { return list.Interface() }
	case elem == textType:
		get = func(list reflect.Value) any { return bare[string](list) }
	case elem == countType:
		t = types.IntType
		get = func(list reflect.Value) any { return bare[int64](list) }
	default:
		if elem.Kind() == reflect.Pointer {
			elem = elem.Elem()
		}
		out.of = v.object(elem)
		t = out.of.cel
		get = func(list reflect.Value) any { return v.list(list) }
	}
	return &types.FieldType{
		Type:    types.NewListType(t),
		IsSet:   isSet,
		GetFrom: func(target any) (any, error) { return get(at(target, path).Elem()), nil },
	}
}

// bare leaves out the items that are not known: the decoder reported them.
func bare[T float64 | int64 | string | bool](list reflect.Value) []T {
	var out []T
	for i := range list.Len() {
		if o := list.Index(i).Interface().(value.Of[T]); o.Known {
			out = append(out, o.V)
		}
	}
	return out
}

// list hands the structs of a slice to CEL without copying them.
func (v *Types) list(list reflect.Value) any {
	vals := make([]ref.Val, list.Len())
	for i := range vals {
		e := list.Index(i)
		if e.Kind() != reflect.Pointer {
			e = e.Addr()
		}
		vals[i] = v.NativeToValue(e.Interface())
	}
	return types.NewRefValList(v, vals)
}

func snake(name string) string {
	var b strings.Builder
	for i, r := range name {
		if i > 0 && r >= 'A' && r <= 'Z' {
			b.WriteByte('_')
		}
		b.WriteRune(r)
	}
	return strings.ToLower(b.String())
}

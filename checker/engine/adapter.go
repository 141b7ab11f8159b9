package engine

import (
	"fmt"
	"reflect"

	"github.com/google/cel-go/common/types"
	"github.com/google/cel-go/common/types/ref"
)

// The methods below make a Vocabulary the type provider and the adapter that
// CEL asks for names, fields and values.

// EnumValue implements types.Provider; there are no enumerations.
func (v *Types) EnumValue(name string) ref.Val { return v.base.EnumValue(name) }

// FindIdent implements types.Provider.
func (v *Types) FindIdent(name string) (ref.Val, bool) { return v.base.FindIdent(name) }

// FindStructType implements types.Provider.
func (v *Types) FindStructType(name string) (*types.Type, bool) {
	if o, ok := v.objects[name]; ok {
		return types.NewTypeTypeWithParam(o.cel), true
	}
	return nil, false
}

// FindStructFieldNames implements types.Provider.
func (v *Types) FindStructFieldNames(name string) ([]string, bool) {
	if o, ok := v.objects[name]; ok {
		return o.keys, true
	}
	return nil, false
}

// FindStructFieldType implements types.Provider.
func (v *Types) FindStructFieldType(name, key string) (*types.FieldType, bool) {
	if o, ok := v.objects[name]; ok {
		if f, ok := o.fields[key]; ok {
			return f.cel, true
		}
	}
	return nil, false
}

// NewValue implements types.Provider: rules read the kit, they make no parts.
func (v *Types) NewValue(name string, _ map[string]ref.Val) ref.Val {
	return types.NewErr("a rule cannot make a new %s", name)
}

// NativeToValue implements types.Adapter.
func (v *Types) NativeToValue(native any) ref.Val {
	switch n := native.(type) {
	case ref.Val:
		return n
	case float64:
		return types.Double(n)
	case int64:
		return types.Int(n)
	case string:
		return types.String(n)
	case bool:
		return types.Bool(n)
	}
	if t := reflect.TypeOf(native); t != nil && t.Kind() == reflect.Pointer {
		if o, ok := v.byType[t.Elem()]; ok {
			return &instance{o, native}
		}
	}
	return types.DefaultTypeAdapter.NativeToValue(native)
}

// instance is a struct of the model as a CEL value.
type instance struct {
	of     *object
	native any
}

func (i *instance) ConvertToNative(t reflect.Type) (any, error) {
	if reflect.TypeOf(i.native).AssignableTo(t) {
		return i.native, nil
	}
	return nil, fmt.Errorf("a %s cannot be converted", i.of.name)
}

func (i *instance) ConvertToType(t ref.Type) ref.Val {
	if t == types.TypeType {
		return i.of.cel
	}
	return types.NewErr("a %s cannot be converted", i.of.name)
}

func (i *instance) Equal(other ref.Val) ref.Val {
	return types.Bool(i.native == other.Value())
}

func (i *instance) Type() ref.Type { return i.of.cel }

func (i *instance) Value() any { return i.native }

package schema_test

import (
	"reflect"
	"slices"
	"strings"
	"testing"

	"kitgauge/checker/kit"
	"kitgauge/checker/source"
	"kitgauge/checker/value"
	"kitgauge/schema"
)

// The model and the schema have the same members, of the same kinds.
func TestKitModel(t *testing.T) {
	root := schema.Tree("kit")
	m := matcher{t: t, root: root, seen: map[string]bool{}}
	m.group("kit", root, reflect.TypeFor[kit.Kit]())
	m.allSeen()
}

func TestPartsModel(t *testing.T) {
	parts := map[string]reflect.Type{
		"pump": reflect.TypeFor[kit.Pump](), "element": reflect.TypeFor[kit.Element](), "tube": reflect.TypeFor[kit.Tube](),
		"conduit": reflect.TypeFor[kit.Conduit](), "fitting": reflect.TypeFor[kit.Fitting](), "fuse": reflect.TypeFor[kit.Fuse](),
		"cable": reflect.TypeFor[kit.Cable](), "connector": reflect.TypeFor[kit.Connector](), "grease": reflect.TypeFor[kit.Grease](),
		"bolt": reflect.TypeFor[kit.Bolt](), "tie": reflect.TypeFor[kit.Tie](),
		"clip": reflect.TypeFor[kit.Tie](), "grommet": reflect.TypeFor[kit.Tie](), "blank": reflect.TypeFor[kit.Blank](),
		"marker": reflect.TypeFor[kit.Piece](), "fuse-holder": reflect.TypeFor[kit.Piece](), "bracket": reflect.TypeFor[kit.Piece](),
	}
	root := schema.Tree("parts")
	kinds := scalars(root.At("$defs", "kind", "enum"))
	slices.Sort(kinds)
	if !slices.Equal(kinds, kit.Kinds()) || len(kinds) != len(parts) {
		t.Fatalf("kinds of part: schema %v, model %v, this test %d", kinds, kit.Kinds(), len(parts))
	}
	m := matcher{t: t, root: root, seen: map[string]bool{"part": true, "kind": true}}
	for _, k := range kinds {
		m.seen[k] = true
		m.group(k, root.At("$defs", k), parts[k])
	}
	for _, branch := range root.At("$defs", "part", "allOf").Items {
		k := branch.At("if", "properties", "kind", "const").Scalar
		if got := branch.At("then", "$ref").Scalar; got != "#/$defs/"+k {
			t.Errorf("a part of kind %s is held to %s", k, got)
		}
		kinds = slices.DeleteFunc(kinds, func(s string) bool { return s == k })
	}
	if len(kinds) > 0 {
		t.Errorf("no part is held to %v", kinds)
	}
	// A catalogue's own members are those of its file, and the parts.
	file := root.Get("properties")
	m.fields("parts", file, reflect.TypeFor[kit.File](), map[string]bool{"parts": true})
	m.member("include.item", file.At("include", "items"), reflect.TypeFor[value.Text](), "")
	m.allSeen()
}

// matcher walks the types of the model beside the schema.
type matcher struct {
	t    *testing.T
	root *source.Node
	seen map[string]bool // definitions used by the model
}

func (m *matcher) follow(n *source.Node) *source.Node {
	for n.Get("$ref") != nil {
		name := strings.TrimPrefix(n.Get("$ref").Scalar, "#/$defs/")
		m.seen[name] = true
		n = m.root.At("$defs", name)
	}
	return n
}

func (m *matcher) group(path string, n *source.Node, typ reflect.Type) {
	n = m.follow(n)
	if n.Get("type").Scalar != "object" || n.Get("additionalProperties") == nil {
		m.t.Errorf("%s is a group of the model, not of the schema", path)
		return
	}
	m.fields(path, n.Get("properties"), typ, map[string]bool{})
}

// fields compares both ways; has are the members met already.
func (m *matcher) fields(path string, properties *source.Node, typ reflect.Type, has map[string]bool) {
	m.ownFields(path, properties, typ, has)
	for _, p := range properties.Members {
		if !has[p.Key] {
			m.t.Errorf("%s.%s is in the schema, not in the model", path, p.Key)
		}
	}
}

func (m *matcher) ownFields(path string, properties *source.Node, typ reflect.Type, has map[string]bool) {
	for i := range typ.NumField() {
		f := typ.Field(i)
		key := f.Tag.Get("key")
		if f.Anonymous {
			m.ownFields(path, properties, f.Type, has)
		}
		if key == "" {
			continue
		}
		has[key] = true
		member := properties.Get(key)
		if member == nil {
			m.t.Errorf("%s.%s is in the model, not in the schema", path, key)
			continue
		}
		m.member(path+"."+key, member, f.Type, f.Tag.Get("dim"))
	}
}

func (m *matcher) member(path string, n *source.Node, typ reflect.Type, dim string) {
	at := m.follow(n)
	ref := ""
	if r := n.Get("$ref"); r != nil {
		ref = strings.TrimPrefix(r.Scalar, "#/$defs/")
	}
	var wantRef, wantType string
	switch {
	case typ == reflect.TypeFor[value.Number]():
		wantRef = dim
	case typ == reflect.TypeFor[value.Count]():
		wantType = "integer"
	case typ == reflect.TypeFor[value.Flag]():
		wantType = "boolean"
	case typ == reflect.TypeFor[value.Text](), strings.HasPrefix(typ.Name(), "Ref["):
		wantType = "string"
	case typ == reflect.TypeFor[kit.Vector]():
		wantRef = map[string]string{"length": "position", "plain_number": "direction"}[dim]
	case typ == reflect.TypeFor[kit.Range]() && dim == "any":
		wantRef = "travel_range"
	case typ == reflect.TypeFor[kit.Range]():
		wantRef = dim + "_range"
	case typ.Kind() == reflect.Slice:
		m.list(path, at, typ.Elem(), dim)
		return
	default:
		m.group(path, n, typ)
		return
	}
	if wantRef != "" && ref != wantRef {
		m.t.Errorf("%s is %q in the schema; want %q", path, ref, wantRef)
	}
	if got := first(at.Get("type")); wantType != "" && got != wantType {
		m.t.Errorf("%s is %q in the schema; want %q", path, got, wantType)
	}
	m.inner(at)
}

// inner follows what a definition refers to itself, as a range its ends.
func (m *matcher) inner(at *source.Node) {
	if items := at.Get("items"); items != nil {
		m.follow(items)
	}
	if p := at.Get("properties"); p != nil {
		for _, end := range p.Items {
			m.follow(end)
		}
	}
}

func (m *matcher) list(path string, at *source.Node, elem reflect.Type, dim string) {
	if first(at.Get("type")) != "array" || at.Get("maxItems") == nil {
		m.t.Errorf("%s is a list in the model; the schema has %q, bounded: %t", path, first(at.Get("type")), at.Get("maxItems") != nil)
		return
	}
	if elem.Kind() == reflect.Pointer {
		elem = elem.Elem()
	}
	m.member(path+".item", at.Get("items"), elem, dim)
}

// first is the kind that a schema asks for first, of several.
func first(n *source.Node) string {
	if n != nil && n.Kind == source.List {
		n = n.Items[0]
	}
	if n == nil {
		return ""
	}
	return n.Scalar
}

func (m *matcher) allSeen() {
	for _, def := range m.root.Get("$defs").Members {
		if !m.seen[def.Key] {
			m.t.Errorf("the definition %s is not used", def.Key)
		}
	}
}

// The first sample of each schema has every member, so that the tests that
// change each value of it leave none out.
func TestEveryMemberIsInASample(t *testing.T) {
	for _, name := range written {
		used := map[string]bool{}
		for _, rule := range rulesOf(name, everyMember(t, name)) {
			used[rule.Pointer()] = true
		}
		walk(schema.Tree(name), func(n *source.Node) {
			if n.Get("properties") == nil || n.Key() == "if" || n.Key() == "part" {
				return
			}
			for _, p := range n.Get("properties").Items {
				if !used[p.Pointer()] {
					t.Errorf("%s: %s is in no sample", name, p.Pointer())
				}
			}
		})
	}
}

// rulesOf finds the part of the schema that each value of a file is held to,
// by the pointer of the value.
func rulesOf(name string, file *source.Node) map[string]*source.Node {
	root, rules := schema.Tree(name), map[string]*source.Node{}
	var visit func(rule, n *source.Node)
	visit = func(rule, n *source.Node) {
		rules[n.Pointer()] = rule
		rule = follow(root, rule)
		if rule.Key() == "part" {
			rule = root.At("$defs", n.Get("kind").Scalar)
		}
		for i, item := range n.Items {
			var next *source.Node
			switch {
			case n.Kind == source.List:
				next = rule.Get("items")
			case rule.Get("patternProperties") != nil:
				next = rule.Get("patternProperties").Items[0]
			case rule.At("additionalProperties", "$ref") != nil:
				next = rule.Get("additionalProperties")
			default:
				next = rule.At("properties", n.Members[i].Key)
			}
			if next != nil { // nil below a value of any kind
				visit(next, item)
			}
		}
	}
	visit(root, file)
	return rules
}

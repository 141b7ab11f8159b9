package schema_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/santhosh-tekuri/jsonschema/v5"

	"kitgauge/checker/quantities/environment"
	"kitgauge/checker/quantities/procedure"
	"kitgauge/checker/source"
	"kitgauge/checker/units"
	"kitgauge/schema"
)

func TestText(t *testing.T) {
	for _, name := range schema.Names() {
		text, ok := schema.Text(name)
		if !ok || !json.Valid(text) {
			t.Errorf("Text(%q) = %d bytes, %t; want a JSON text", name, len(text), ok)
			continue
		}
		text[0] = 'x' // a caller's change stays its own
		if again, _ := schema.Text(name); again[0] != '{' {
			t.Errorf("Text(%q) hands out its own memory", name)
		}
	}
	if text, ok := schema.Text("settings.json"); ok || text != nil {
		t.Errorf("Text of an unknown name = %q, %t; want nothing", text, ok)
	}
}

// Source: the meta-schema of JSON Schema draft 2020-12, as the library holds
// it; TestSecondValidator holds the schemas to the copy of another library.
func TestMetaSchema(t *testing.T) {
	meta := jsonschema.MustCompile("https://json-schema.org/draft/2020-12/schema")
	for _, name := range schema.Names() {
		root := schema.Tree(name)
		if err := meta.Validate(root.Plain()); err != nil {
			t.Errorf("%s: %#v", name, err)
		}
		if got, want := root.Get("$id").Scalar, "https://kitgauge.example/schema/"+name+".json"; got != want {
			t.Errorf("%s: $id is %s; want %s", name, got, want)
		}
	}
	if err := meta.Validate(map[string]any{"type": "objekt"}); err == nil {
		t.Error("the meta-schema accepts a type that there is not: this test cannot fail")
	}
}

// walk visits every schema within a schema, with its pointer.
func walk(n *source.Node, visit func(n *source.Node)) {
	visit(n)
	for i, m := range n.Members {
		switch child := n.Items[i]; m.Key {
		case "items", "if", "then":
			walk(child, visit)
		case "properties", "patternProperties", "$defs", "allOf", "anyOf", "oneOf":
			for _, c := range child.Items {
				walk(c, visit)
			}
		}
	}
}

// Whatever can be written in an unknown way has no words: each keyword of the
// schemas is one that the samples have seen explained.
func TestKeywords(t *testing.T) {
	known := strings.Fields(`$schema $id $comment $defs $ref title description examples if then allOf anyOf oneOf const
		type enum required properties patternProperties additionalProperties items
		minItems maxItems maxProperties minLength maxLength minimum maximum pattern patternErrorMessage`)
	for _, name := range schema.Names() {
		walk(schema.Tree(name), func(n *source.Node) {
			for _, m := range n.Members {
				if !slices.Contains(known, m.Key) {
					t.Errorf("%s: %s has %s, for which there are no words", name, n.Pointer(), m.Key)
				}
			}
		})
	}
}

// follow returns the schema that n refers to, n where it refers to none.
func follow(root, n *source.Node) *source.Node {
	for n.Get("$ref") != nil {
		n = root.Lookup(strings.TrimPrefix(n.Get("$ref").Scalar, "#"))
	}
	return n
}

// What is required is a member of the group, or of the group round a branch.
func TestRequiredIsAMember(t *testing.T) {
	for _, name := range schema.Names() {
		walk(schema.Tree(name), func(n *source.Node) {
			required := n.Get("required")
			if required == nil {
				return
			}
			group := n
			for group.Get("properties") == nil {
				group = group.Parent()
			}
			for _, key := range required.Items {
				if group.Get("properties").Get(key.Scalar) == nil {
					t.Errorf("%s: %s requires %s, which %s does not have", name, n.Pointer(), key.Scalar, group.Pointer())
				}
			}
		})
	}
}

func TestEveryMemberIsExplained(t *testing.T) {
	for _, name := range schema.Names() {
		root := schema.Tree(name)
		walk(root, func(n *source.Node) {
			if n.Get("properties") == nil || n.Parent() != nil && n.Key() == "if" {
				return
			}
			if root.Pointer() != n.Pointer() && n.Get("additionalProperties") == nil && n.Key() != "part" {
				t.Errorf("%s: %s lets misspelt members pass", name, n.Pointer())
			}
			for _, member := range append(slices.Clone(n.Get("properties").Items), n) {
				explained(t, name, root, member)
			}
		})
	}
}

// refers reports whether a member names something else of the file, a part or a
// person, or says yes or no: an editor takes an example for a value, and such a
// one is in no file.
func refers(root, member *source.Node) bool {
	ref := member.Get("$ref")
	if items := member.Get("items"); items != nil && member.Get("type") != nil {
		return refers(root, items)
	}
	return ref != nil && (strings.HasSuffix(ref.Scalar, "/id") || strings.HasSuffix(ref.Scalar, "/yes_no") || strings.HasSuffix(ref.Scalar, "/number")) ||
		slices.Contains([]string{"drawn_by", "checked_by", "granted_by", "number", "id", "yes_no"}, member.Key())
}

// grouped reports whether a member is a group, or a list of groups: its members
// have their examples, and one of the whole would hold ids that are in no file.
func grouped(root, member *source.Node) bool {
	at := follow(root, member)
	if items := at.Get("items"); items != nil {
		at = follow(root, items)
	}
	return at.Get("properties") != nil
}

// No example stands at what refers to another thing.
func TestReferencesHaveNoExamples(t *testing.T) {
	root := schema.Tree("kit")
	walk(root, func(n *source.Node) {
		properties := n.Get("properties")
		if properties == nil {
			return
		}
		for _, m := range properties.Members {
			if ref := n.Get("properties").Get(m.Key).Get("$ref"); ref != nil && m.Key != "id" && m.Key != "number" && m.Key != "revision" &&
				(ref.Scalar == "#/$defs/id" || ref.Scalar == "#/$defs/number" || ref.Scalar == "#/$defs/yes_no") && n.Get("properties").Get(m.Key).Get("examples") != nil {
				t.Errorf("%s/%s has examples, which an editor offers as values", n.Pointer(), m.Key)
			}
		}
	})
}

func explained(t *testing.T, name string, root, member *source.Node) {
	t.Helper()
	at := member
	if len(member.Members) == 1 && member.Get("$ref") != nil {
		at = follow(root, member)
		if schema.Measured(at) {
			t.Errorf("%s: %s is a bare measured value", name, member.Pointer())
		}
	}
	for _, key := range []string{"title", "description"} {
		if text := at.Get(key); text == nil || strings.TrimSpace(text.Scalar) == "" {
			t.Errorf("%s: %s has no %s", name, at.Pointer(), key)
		}
	}
	if d := at.Get("description"); d != nil && !strings.HasSuffix(d.Scalar, ".") {
		t.Errorf("%s: the description of %s is no sentence", name, at.Pointer())
	}
	if ex := at.Get("examples"); (ex == nil || len(ex.Items) == 0) && !refers(root, member) && !grouped(root, member) {
		t.Errorf("%s: %s has no examples", name, at.Pointer())
	}
}

// Each example fits the schema that it stands in, by the library; and each
// example of a measured value is one that package units can read.
func TestExamples(t *testing.T) {
	for _, name := range schema.Names() {
		root := schema.Tree(name)
		text, _ := schema.Text(name)
		c := jsonschema.NewCompiler()
		url := root.Get("$id").Scalar
		if err := c.AddResource(url, bytes.NewReader(text)); err != nil {
			t.Fatal(err)
		}
		walk(root, func(n *source.Node) {
			if n.Get("examples") == nil {
				return
			}
			part, err := c.Compile(url + "#" + n.Pointer())
			if err != nil {
				t.Fatal(err)
			}
			dim, measured := dimension(n)
			for _, example := range n.Get("examples").Items {
				if err := part.Validate(example.Plain()); err != nil {
					t.Errorf("%s: example %s of %s: %#v", name, example.Scalar, n.Pointer(), err)
				}
				if !measured {
					continue
				}
				if _, err := units.Parse(example.Scalar, dim); err != nil {
					t.Errorf("%s: %s: %v", name, n.Pointer(), err)
				}
			}
		})
	}
}

// dimension tells what a schema measures: by the definition that it refers
// to, or that it is.
func dimension(n *source.Node) (units.Dimension, bool) {
	key := n.Key()
	if r := n.Get("$ref"); r != nil {
		key = strings.TrimPrefix(r.Scalar, "#/$defs/")
	} else if !schema.Measured(n) {
		return units.Plain, false
	}
	if key == "temperature_difference" {
		return units.Temperature, true
	}
	return units.Named(key)
}

// The definition of a measured value lists exactly the units that package
// units accepts, and every use of one names the first.
func TestUnitsAreListed(t *testing.T) {
	for _, name := range []string{"kit", "parts"} {
		root := schema.Tree(name)
		defs := root.Get("$defs")
		for i, m := range defs.Members {
			def := defs.Items[i]
			dim, measured := units.Named(m.Key)
			if schema.Measured(def) != (measured || m.Key == "temperature_difference" || m.Key == "travel") {
				t.Errorf("%s: %s: measured or not?", name, m.Key)
			}
			if !measured {
				continue
			}
			want := "Units: " + strings.Join(units.Accepted(dim), ", ") + "."
			if dim == units.Plain {
				want = "Units: none, or %."
			}
			if got := def.Get("description").Scalar; !strings.HasSuffix(got, want) {
				t.Errorf("%s: %s ends %q; want %q", name, m.Key, got, want)
			}
		}
		walk(root, func(n *source.Node) {
			if dim, measured := dimension(n); measured && n.Get("$ref") != nil && n.Get("description") != nil && dim != units.Plain {
				list := units.Accepted(dim)
				if d := n.Get("description").Scalar; !strings.Contains(d, list[0]) && !strings.Contains(d, "in K") {
					t.Errorf("%s: %s does not say that %s is accepted", name, n.Pointer(), list[0])
				}
			}
		})
	}
	joint := schema.Tree("kit").At("$defs", "travel", "description").Scalar
	want := fmt.Sprintf("Units: %s for a revolute joint; %s for a prismatic one.", strings.Join(units.Accepted(units.Angle), ", "), strings.Join(units.Accepted(units.Length), ", "))
	if !strings.HasSuffix(joint, want) {
		t.Errorf("travel ends %q; want %q", joint, want)
	}
}

func scalars(n *source.Node) []string {
	var list []string
	for _, item := range n.Items {
		list = append(list, item.Scalar)
	}
	return list
}

func TestStepKinds(t *testing.T) {
	var want []string
	for _, k := range procedure.Kinds {
		want = append(want, k.Name)
	}
	got := scalars(schema.Tree("kit").At("$defs", "step", "properties", "step", "enum"))
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("kinds of step (-package procedure +schema):\n%s", diff)
	}
}

// Package environment names its thickeners only in the error for one that it
// does not know.
func TestThickeners(t *testing.T) {
	_, err := environment.Compatible("chalk", "chalk")
	if err == nil {
		t.Fatal("chalk is a thickener")
	}
	_, list, _ := strings.Cut(err.Error(), "use one of ")
	want := strings.Split(list, ", ")
	for name, def := range map[string]string{"kit": "former_grease", "parts": "grease"} {
		got := scalars(schema.Tree(name).At("$defs", def, "properties", "thickener", "enum"))
		if diff := cmp.Diff(want, got); diff != "" {
			t.Errorf("%s: thickeners (-package environment +schema):\n%s", name, diff)
		}
	}
}

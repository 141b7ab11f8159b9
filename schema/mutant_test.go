package schema_test

import (
	"encoding/json"
	"fmt"
	"slices"
	"strconv"
	"testing"

	"kitgauge/checker/source"
	"kitgauge/schema"
)

// mutant is a sample with one change.
type mutant struct {
	name     string
	kind     string       // "without", "misspelt" or the kind of the new value
	original *source.Node // the value that was changed
	value    any          // the whole file, as changed
}

// mutants changes each value of a file in every way, one at a time: its key
// left out, its key misspelt, and a value of each other kind.
func mutants(root *source.Node) []mutant {
	others := []struct {
		kind  string
		value any
	}{
		{"text", "gritter"}, {"empty text", ""}, {"a number", 5.5}, {"nothing", nil}, {"a flag", true},
		{"an empty list", []any{}}, {"a list", []any{"gritter"}}, {"an empty group", map[string]any{}},
	}
	var list []mutant
	var visit func(n *source.Node)
	add := func(n *source.Node, kind string, change func(parent any, key string)) {
		file := root.Plain()
		change(container(file, n.Parent()), n.Key())
		list = append(list, mutant{fmt.Sprintf("%s %s", n.Pointer(), kind), kind, n, file})
	}
	visit = func(n *source.Node) {
		if p := n.Parent(); p != nil {
			if p.Kind == source.Map {
				add(n, "without", func(parent any, key string) { delete(parent.(map[string]any), key) })
				add(n, "misspelt", func(parent any, key string) {
					m := parent.(map[string]any)
					m[key+"z"] = m[key]
					delete(m, key)
				})
			}
			for _, o := range others {
				add(n, o.kind, func(parent any, key string) { set(parent, key, o.value) })
			}
		}
		for _, item := range n.Items {
			visit(item)
		}
	}
	visit(root)
	return list
}

func set(parent any, key string, value any) {
	switch p := parent.(type) {
	case map[string]any:
		p[key] = value
	case []any:
		i, _ := strconv.Atoi(key)
		p[i] = value
	}
}

// container finds the value of a node in a copy of its file.
func container(file any, n *source.Node) any {
	if n.Parent() == nil {
		return file
	}
	switch p := container(file, n.Parent()).(type) {
	case map[string]any:
		return p[n.Key()]
	case []any:
		i, _ := strconv.Atoi(n.Key())
		return p[i]
	}
	return nil
}

func (m mutant) root(t *testing.T) *source.Node {
	t.Helper()
	text, err := json.Marshal(m.value) // the order of its keys is fixed
	if err != nil {
		t.Fatal(err)
	}
	return parse(t, m.name, string(text))
}

// Nothing that the library finds is lost on the way to a problem, but for
// measured values, and a misspelt key is reported where it stands.
func TestMutants(t *testing.T) {
	for _, name := range written {
		file := everyMember(t, name)
		rules := rulesOf(name, file)
		for _, m := range mutants(file) {
			rule := rules[m.original.Pointer()]
			if rule == nil {
				continue // below a value of any kind
			}
			root := m.root(t)
			problems := schema.Validate(name, root)
			measured := schema.Measured(follow(schema.Tree(name), rule))
			switch {
			case m.kind == "misspelt" && !open(m.original):
				misspelt(t, name, m, root, problems)
			case len(problems) == 0 && !measured && !schema.FitsShape(name, root.Plain()):
				t.Errorf("%s: %s does not fit, without a problem", name, m.name)
			case measured && len(problems) > 0 && m.kind != "without":
				t.Errorf("%s: %s is measured; package kit reports it:\n%s", name, m.name, format(problems))
			}
		}
	}
}

// open reports whether the key is not one that the schema can know: the name
// of a limit, a rule or a value, or that which decides how the part is read.
func open(n *source.Node) bool {
	return slices.Contains([]string{"limits", "severities", "leave_out", "with", "is", "to"}, n.Parent().Key()) || n.Key() == "kind" && n.Parent().Parent().Key() == "parts"
}

func misspelt(t *testing.T, name string, m mutant, root *source.Node, problems []*source.Problem) {
	t.Helper()
	key := m.original.Key()
	want := fmt.Sprintf("there is no member %q here; nearest is %q", key+"z", key)
	at := root.Lookup(m.original.Pointer() + "z")
	for _, p := range problems {
		if p.Message == want && p.Pos == at.KeyPos() && p.Node == at {
			return
		}
	}
	t.Errorf("%s: %s: got\n%swant %s: %s", name, m.name, format(problems), at.KeyPos(), want)
}

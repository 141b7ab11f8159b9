package editor_test

import (
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"

	"kitgauge/checker/editor"
	"kitgauge/checker/kit"
	"kitgauge/checker/settings"
	"kitgauge/schema"
)

// member is a place of a file that the schema and the model have: the keys that
// lead there, "" for an item of a list.
type member struct {
	schema string
	path   []string
	def    string // of the schema: what it says of the value is called
	site   kit.Site
}

func (m *member) String() string { return m.schema + "/" + strings.Join(m.path, "/") }

// walker goes through a schema and the model at once.
type walker struct {
	name string
	defs map[string]any
	all  []member
}

// walked are the members of a kind of file.
func walked(t *testing.T, name string, site kit.Site) []member {
	t.Helper()
	text, _ := schema.Text(name)
	var root map[string]any
	if err := json.Unmarshal(text, &root); err != nil {
		t.Fatal(err)
	}
	w := &walker{name: name, defs: root["$defs"].(map[string]any)}
	w.group(root, site, nil)
	if name == "parts" {
		for _, kind := range kit.Kinds() {
			w.group(w.defs[kind].(map[string]any), site.Get("parts").Item(kind), []string{"parts", kind})
		}
	}
	return w.all
}

func (w *walker) group(rule map[string]any, site kit.Site, path []string) {
	properties, _ := rule["properties"].(map[string]any)
	for _, key := range slices.Sorted(maps.Keys(properties)) {
		w.value(properties[key].(map[string]any), site.Get(key), append(slices.Clone(path), key))
	}
}

func (w *walker) value(rule map[string]any, site kit.Site, path []string) {
	def := ""
	for rule["$ref"] != nil {
		def = strings.TrimPrefix(rule["$ref"].(string), "#/$defs/")
		rule = w.defs[def].(map[string]any)
	}
	w.all = append(w.all, member{w.name, path, def, site})
	w.group(rule, site, path)
	if items, is := rule["items"].(map[string]any); is && !(w.name == "parts" && path[len(path)-1] == "parts") {
		w.value(items, site.Item(""), append(slices.Clone(path), ""))
	}
}

// ofItsOwn names the file, or a paper that lies outside of it: nothing refers
// to it.
var ofItsOwn = []string{
	"kit/header/number", "kit/header/revision", "parts/revision",
	"kit/documents/schematic/number", "kit/documents/schematic/revision",
	"kit/documents/call_out_sheet/number", "kit/documents/call_out_sheet/revision",
	"kit/documents/instructions/number", "kit/documents/instructions/revision",
}

// Every member that the schema calls an id, a number, a part number or a file
// is told by its tags what it names, or to what it refers.
func TestTagged(t *testing.T) {
	count := 0
	for name, site := range map[string]kit.Site{"kit": kit.KitSite(), "parts": kit.CatalogueSite(), "settings": kit.SiteOf[settings.File]()} {
		for _, m := range walked(t, name, site) {
			if !slices.Contains([]string{"id", "number", "part_number", "path", "loosened"}, m.def) || slices.Contains(ofItsOwn, m.String()) {
				continue
			}
			if count++; m.site.Names == "" && m.site.Target().Thing == "" {
				t.Errorf("%s is of the kind %s, and no tag says what it names or to what it refers", m.String(), m.def)
			}
		}
	}
	if count < 50 {
		t.Errorf("%d members were looked at", count)
	}
}

// calledIn are the names of the test's things: numbers for those that have one.
func calledIn(thing string) any {
	if thing == "outlet" || thing == "line" {
		return 77
	}
	return "zz9"
}

// definer is a document that has a thing of the kind.
func definer(thing string) map[string]any {
	one := func(key string, members map[string]any) map[string]any { return map[string]any{key: []any{members}} }
	switch name := calledIn(thing); thing {
	case "body":
		return one("bodies", map[string]any{"id": name})
	case "point":
		return one("points", map[string]any{"id": name})
	case "outlet":
		return map[string]any{"pump": one("outlets", map[string]any{"number": name})}
	case "line":
		return one("lines", map[string]any{"number": name})
	case "bundle":
		return one("bundles", map[string]any{"id": name})
	case "station":
		return one("bundles", map[string]any{"id": "b", "route": []any{map[string]any{"id": name}}})
	}
	return map[string]any{}
}

// with adds what stands at a path; lists get a new item.
func with(doc map[string]any, path []string, value any) {
	key := path[0]
	switch {
	case len(path) == 1:
		doc[key] = value
	case path[1] == "" && len(path) == 2:
		doc[key] = []any{value}
	case path[1] == "":
		item := map[string]any{}
		if key == "lines" {
			item["bundle"] = "b" // in which leaves_at names a station
		}
		list, _ := doc[key].([]any)
		doc[key] = append(list, item)
		with(item, path[2:], value)
	default:
		below, _ := doc[key].(map[string]any)
		if below == nil {
			below = map[string]any{}
			doc[key] = below
		}
		with(below, path[1:], value)
	}
}

// written is a value as YAML, between brackets or in lines.
func written(v any, flow bool, indent string) string {
	var parts []string
	switch v := v.(type) {
	case map[string]any:
		for _, key := range slices.Sorted(maps.Keys(v)) {
			if flow {
				parts = append(parts, key+": "+written(v[key], true, ""))
			} else {
				parts = append(parts, indent+key+":"+below(v[key], indent+"  "))
			}
		}
		if flow {
			return "{" + strings.Join(parts, ", ") + "}"
		}
	case []any:
		for _, item := range v {
			text := written(item, flow, indent+"  ")
			if !flow {
				text = indent + "- " + strings.TrimLeft(text, " ")
			}
			parts = append(parts, text)
		}
		if flow {
			return "[" + strings.Join(parts, ", ") + "]"
		}
	default:
		return fmt.Sprint(v)
	}
	return strings.Join(parts, "\n")
}

func below(v any, indent string) string {
	switch v.(type) {
	case map[string]any, []any:
		return "\n" + written(v, false, indent)
	}
	return " " + fmt.Sprint(v)
}

// Of every member of a kit that refers to a thing or a part, the name is
// completed, found, listed and changed along with the thing, between brackets
// and in lines.
func TestReferring(t *testing.T) {
	count := 0
	for _, m := range walked(t, "kit", kit.KitSite()) {
		to := m.site.Target()
		if to.Thing == "" || m.site.List() || slices.Contains([]string{"rule", "place", "file"}, to.Thing) {
			continue // those that TestNamesOfRules and the tables play
		}
		count++
		for _, flow := range []bool{true, false} {
			referring(t, &m, to, flow)
		}
	}
	if count < 30 {
		t.Errorf("%d members were looked at", count)
	}
}

func referring(t *testing.T, m *member, to kit.Target, flow bool) {
	t.Helper()
	where := fmt.Sprintf("%s, between brackets: %v", m, flow)
	name := calledIn(to.Thing)
	text := func(value any) (string, int) {
		doc := definer(to.Thing)
		if to.Thing == "part" {
			doc["catalogues"] = []any{"k.parts.yaml"}
		}
		with(doc, m.path, value)
		marked := written(doc, flow, "") + "\n"
		return strings.Replace(marked, mark, "", 1), strings.Index(marked, mark)
	}
	kind := "tube"
	if len(to.Kinds) > 0 {
		kind = to.Kinds[0]
	}
	files := shelf{"k.parts.yaml": fmt.Sprintf("parts:\n  - {number: %v, kind: %s, description: a part}\n", name, kind)}
	open := func(value any) (*editor.View, int) {
		whole, at := text(value)
		files["a.kit.yaml"] = whole
		return editor.Open("a.kit.yaml", []byte(whole), files, editor.Options{Kits: []string{"a.kit.yaml"}}), at
	}
	v, at := open(mark)
	if !slices.ContainsFunc(v.Completions(at), func(c editor.Completion) bool { return c.Label == fmt.Sprint(name) }) {
		t.Errorf("%s: %v is not completed in\n%s", where, name, files["a.kit.yaml"])
	}
	v, at = open(mark + fmt.Sprint(name))
	whole := files["a.kit.yaml"]
	if got := v.Definition(at); len(got) != 1 || got[0].Path == "a.kit.yaml" && got[0].From == at {
		t.Errorf("%s: the definition is %v in\n%s", where, got, whole)
	}
	if got := v.References(at); len(got) != 2 {
		t.Errorf("%s: the references are %v in\n%s", where, got, whole)
	}
	changes, err := v.Rename(at, "78")
	if err != nil || len(changes) != 2 {
		t.Errorf("%s: renamed %v, %v in\n%s", where, changes, err, whole)
	}
}

package checker_test

import (
	"bytes"
	"encoding/json"
	"flag"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v5"

	"kitgauge/checker"
	"kitgauge/checker/fill"
	"kitgauge/checker/finding"
	"kitgauge/checker/internal/fleet"
	"kitgauge/checker/propose"
	"kitgauge/checker/source"
	"kitgauge/checker/survey"
	"kitgauge/examples"
	"kitgauge/schema"
)

var everyMember = flag.Bool("every-member", false, "take every required member from every thing, not from one of each sort")

// needed is a member that the schema requires of a group.
type needed struct {
	group *source.Node
	key   string
	sort  string // the place without what tells things of one sort apart
}

// neededOf are the members of a file that the schema requires. A group that may
// be left out, and that nothing looks at, is left out here too.
func neededOf(r schema.Rule, n *source.Node, sort string) []needed {
	var list []needed
	if n.Kind == source.List {
		for _, item := range n.Items {
			list = append(list, neededOf(r.Item(), item, sort)...)
		}
		return list
	}
	if n.Kind != source.Map {
		return nil
	}
	r = r.For(holding(n))
	for i, m := range n.Members {
		required := r.Required(m.Key)
		if required {
			list = append(list, needed{n, m.Key, sort + "/" + m.Key})
		}
		if required || n.Items[i].Kind == source.List {
			list = append(list, neededOf(r.Member(m.Key), n.Items[i], sort+"/"+m.Key)...)
		}
	}
	return list
}

// holding says of the keys of a group what stands there.
func holding(n *source.Node) func(key string) string {
	return func(key string) string {
		m := n.Get(key)
		if m == nil || m.Kind == source.Map || m.Kind == source.List {
			return map[bool]string{true: key}[m != nil]
		}
		return m.Scalar
	}
}

// without is a file as JSON, with one member taken out.
func without(t *testing.T, root *source.Node, m needed) []byte {
	t.Helper()
	file := root.Plain()
	at := file
	for _, key := range source.Keys(m.group.Pointer()) {
		switch v := at.(type) {
		case map[string]any:
			at = v[key]
		case []any:
			i, _ := strconv.Atoi(key)
			at = v[i]
		}
	}
	delete(at.(map[string]any), m.key)
	text, err := json.Marshal(file)
	if err != nil {
		t.Error(err)
	}
	return text
}

// released is an example as it is given to review, with a concession in it.
func released(t *testing.T, name string) (file string, text []byte) {
	t.Helper()
	file, text, found := examples.Kit(name)
	if !found {
		t.Fatal(name)
	}
	s := strings.Replace(string(text), "status: draft", "status: for-review\n  checked_by: R. Okafor", 1)
	return file, []byte(s + "\nconcessions:\n  - {rule: routing/heat, place: line 1, reason: sleeved, granted_by: R. Okafor, until: 2026-12-31}\n")
}

func rootOf(t *testing.T, file string, text []byte) *source.Node {
	t.Helper()
	docs, problems := source.Parse(file, text)
	if len(problems) > 0 || len(docs) != 1 {
		t.Fatalf("%s: %v", file, problems)
	}
	return docs[0].Root
}

// grave are what a check finds that counts, and what it could not evaluate.
func grave(t *testing.T, c *checker.Checker, file string, text []byte) []finding.Finding {
	t.Helper()
	results, err := c.Check(file, text)
	if err != nil {
		t.Error(err)
		return nil
	}
	return slices.DeleteFunc(slices.Clone(results[0].Findings), func(f finding.Finding) bool {
		return f.Severity < finding.Major && f.Status != finding.NotEvaluated
	})
}

// thing is what a member belongs to: a group at the top of the file, or an item
// of a list there.
func (m needed) thing() *source.Node {
	keys := source.Keys(m.group.Pointer())
	root := m.group.Document().Root
	if n := root.At(keys[:min(1, len(keys))]...); n.Kind != source.List {
		return n
	}
	return root.At(keys[:2]...)
}

// names are what messages call the group and what holds it.
func (m needed) names() []string {
	var list []string
	for n := m.group; n.Parent() != nil; n = n.Parent() {
		if n.Kind == source.List || n.Parent().Kind == source.Map {
			list = append(list, n.Key())
		}
		for _, key := range []string{"id", "number", "name"} {
			if name := n.Get(key); name != nil {
				list = append(list, name.Scalar)
			}
		}
	}
	return list
}

// tells reports whether a finding is about the thing: it stands there, or says
// that something of it is not stated.
func (m needed) tells(f finding.Finding) bool {
	at := m.thing().Pointer()
	if at == "" || f.Pointer == at || strings.HasPrefix(f.Pointer, at+"/") {
		return true
	}
	return strings.Contains(f.Message, "stated") && slices.ContainsFunc(m.names(), func(name string) bool {
		return strings.Contains(f.Message, name)
	})
}

// TestRequiredIsTold takes from the examples each member that the schema
// requires, one at a time: the check tells it at that thing.
func TestRequiredIsTold(t *testing.T) {
	c := checker.OnExamples()
	seen := map[string]bool{}
	for _, name := range []string{"trailer", "loader", "gritter"} {
		file, text := released(t, name)
		root := rootOf(t, file, text)
		usual := map[string]bool{}
		for _, f := range grave(t, c, file, text) {
			usual[f.Rule+f.Pointer] = true
		}
		var list []needed
		for _, m := range neededOf(schema.Of("kit"), root, "") {
			if !seen[m.sort] || *everyMember {
				seen[m.sort] = true
				list = append(list, m)
			}
		}
		checker.Parallel(len(list), func(i int) {
			m := list[i]
			for _, f := range grave(t, c, file, without(t, root, m)) {
				if !usual[f.Rule+f.Pointer] && m.tells(f) {
					return
				}
			}
			t.Errorf("%s: %s has no %s, and nothing tells it", name, m.group.Pointer(), m.key)
		})
	}
	if len(seen) < 100 {
		t.Errorf("%d sorts of member are required; want a hundred or more", len(seen))
	}
}

// TestRequiredOfPartsIsTold does the same with the catalogue: of a part that a
// kit uses, the check says that the figure is not stated.
func TestRequiredOfPartsIsTold(t *testing.T) {
	const catalogue = "parts/winter.parts.yaml"
	text, err := examples.ReadFile("", catalogue)
	if err != nil {
		t.Fatal(err)
	}
	root, c := rootOf(t, catalogue, text), checker.OnExamples()
	seen := map[string]bool{}
	for _, name := range []string{"trailer", "loader", "gritter"} {
		file, kit := released(t, name)
		var list []needed
		for _, part := range root.Get("parts").Items {
			number := part.Get("number").Scalar
			if !bytes.Contains(kit, []byte(number)) {
				continue
			}
			for _, m := range neededOf(schema.Of("parts").Member("parts").Item(), part, part.Get("kind").Scalar) {
				if key := m.key; key != "number" && key != "kind" && (!seen[m.sort] || *everyMember) {
					seen[m.sort] = true
					list = append(list, m)
				}
			}
		}
		checker.Parallel(len(list), func(i int) {
			m := list[i]
			read := func(kit, file string) ([]byte, error) {
				if file == catalogue {
					return without(t, root, m), nil
				}
				return examples.ReadFile(kit, file)
			}
			for _, f := range grave(t, c.Reading(read), file, kit) {
				if strings.Contains(f.Message, "stated") || strings.Contains(f.Message, m.thing().Get("number").Scalar) {
					return
				}
			}
			t.Errorf("%s: %s of %s has no %s, and nothing tells it", name, m.sort, m.thing().Get("number").Scalar, m.key)
		})
	}
	if len(seen) < 40 {
		t.Errorf("%d sorts of figure are required; want forty or more", len(seen))
	}
}

// published compiles a schema as kitgauge schema prints it.
func published(t *testing.T, name string) *jsonschema.Schema {
	t.Helper()
	text, _ := schema.Text(name)
	c := jsonschema.NewCompiler()
	url := "https://kitgauge.example/schema/" + name + ".json"
	if err := c.AddResource(url, bytes.NewReader(text)); err != nil {
		t.Fatal(err)
	}
	return c.MustCompile(url)
}

// TestFinishedFilesAreWhole holds what is finished to the published schemas:
// an editor that has nothing else warns of nothing there. A kit that fill has
// written the rest of is one.
func TestFinishedFilesAreWhole(t *testing.T) {
	fits := func(kind, file string, text []byte) {
		t.Helper()
		if err := published(t, kind).Validate(rootOf(t, file, text).Plain()); err != nil {
			t.Errorf("%s: %#v", file, err)
		}
	}
	for _, file := range globbed(t, "../testdata/kits/large.kit.yaml", "../examples/*/*.kit.yaml", "../examples/*/*.parts.yaml") {
		text, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		fits(map[bool]string{true: "parts", false: "kit"}[strings.Contains(file, ".parts.")], file, text)
	}
	file := "../examples/trailer/trailer.kit.yaml"
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	i, j := bytes.Index(text, []byte("\nparts_list:")), bytes.Index(text, []byte("\nprocedure:"))
	filled, err := fill.Kit(checker.New(checker.Options{NoSettings: true}), file, slices.Concat(text[:i], text[j:]), fill.Options{})
	if err != nil {
		t.Fatal(err)
	}
	fits("kit", file, filled.Text)
	p, err := propose.New(survey.FromKit(rootOf(t, file, text)).Kit(), propose.Options{
		File: "proposed.kit.yaml", Catalogues: []string{"winter.parts.yaml"}, ReadFile: fleet.ReadFile,
	})
	if err != nil {
		t.Fatal(err)
	}
	fits("kit", "proposed.kit.yaml", p.Text)
	if first, _, _ := strings.Cut(string(p.Text), "\n"); first != modeline+"kit.schema.json" {
		t.Errorf("what propose writes begins with %s", first)
	}
	if i < 0 || j < i || !bytes.Contains(filled.Text, []byte("\nparts_list:")) {
		t.Error("fill did not write the parts list: nothing was looked at")
	}
}

// globbed are the files of some patterns, of each one at least.
func globbed(t *testing.T, patterns ...string) []string {
	t.Helper()
	var files []string
	for _, pattern := range patterns {
		found, err := filepath.Glob(pattern)
		if err != nil || len(found) == 0 {
			t.Fatal(pattern, err)
		}
		files = append(files, found...)
	}
	return files
}

// modeline is the first line of a file, behind which the name of its schema stands.
const modeline = "# yaml-language-server: $schema="

// TestModelines looks at the first lines: each names the schema of its file,
// where it is; and what mends or fills in a file leaves that line as it is.
func TestModelines(t *testing.T) {
	for _, file := range globbed(t, "../examples/*/*.yaml", "../testdata/kits/*.yaml") {
		text, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		first, _, _ := strings.Cut(string(text), "\n")
		name, is := strings.CutPrefix(first, modeline)
		got, err := os.ReadFile(filepath.Join(filepath.Dir(file), filepath.FromSlash(name)))
		want, _ := schema.Text(map[bool]string{true: "parts", false: "kit"}[strings.Contains(file, ".parts.")])
		if !is || err != nil || !bytes.Equal(got, want) {
			t.Errorf("%s begins with %s, which names no schema of it: %v", file, first, err)
		}
	}
	c, file := checker.New(checker.Options{NoSettings: true}), "../examples/trailer/trailer.kit.yaml"
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	text = bytes.Replace(text, []byte("{part: FG-E15, quantity: 6}"), []byte("{part: FG-E15, quantity: 5}"), 1)
	first, _, _ := bytes.Cut(text, []byte("\n"))
	filled, err := fill.Kit(c, file, text, fill.Options{})
	if err != nil {
		t.Fatal(err)
	}
	fixed, err := c.Fix(file, text, checker.FixOptions{})
	if err != nil {
		t.Fatal(err)
	}
	for how, after := range map[string][]byte{"fill": filled.Text, "fix": fixed.Text} {
		if got, _, _ := bytes.Cut(after, []byte("\n")); !bytes.Equal(got, first) {
			t.Errorf("after %s it begins with %s", how, got)
		}
	}
	if bytes.Equal(fixed.Text, text) {
		t.Error("fix wrote nothing: nothing was looked at")
	}
}

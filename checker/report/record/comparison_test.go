package record_test

import (
	"bytes"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"unicode"

	"github.com/santhosh-tekuri/jsonschema/v5"

	"kitgauge/checker/compare"
	"kitgauge/checker/golden"
	"kitgauge/checker/internal/reporttest"
	"kitgauge/checker/report/record"
)

func writeComparison(t testing.TB, c *compare.Comparison) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := record.WriteComparison(&b, c, "0.1.0"); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

var comparisons = []struct {
	name string
	c    *compare.Comparison
}{
	{"comparison", reporttest.Comparison()},
	{"comparison-empty", &compare.Comparison{}},
	{"comparison-harmful", reporttest.HarmfulComparison(reporttest.HarmfulText)},
}

func TestGoldenComparison(t *testing.T) {
	for _, tt := range comparisons {
		t.Run(tt.name, func(t *testing.T) {
			got := writeComparison(t, tt.c)
			name := filepath.Join("testdata", tt.name+".json")
			golden.Compare(t, name, got)
			for _, r := range string(got) {
				if r != '\n' && (unicode.Is(unicode.Cc, r) || unicode.Is(unicode.Bidi_Control, r)) {
					t.Fatalf("got %U in the output", r)
				}
			}
		})
	}
}

func comparisonSchema(t *testing.T) *jsonschema.Schema {
	t.Helper()
	text, err := os.ReadFile("../../../schema/compare.schema.json")
	if err != nil {
		t.Fatal(err)
	}
	c := jsonschema.NewCompiler()
	c.Draft = jsonschema.Draft2020
	if err := c.AddResource("compare.json", bytes.NewReader(text)); err != nil {
		t.Fatal(err)
	}
	s, err := c.Compile("compare.json")
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// TestComparisonSchema: what is written fits the schema, which takes no member
// away but those that it lets go, and none more.
func TestComparisonSchema(t *testing.T) {
	schema := comparisonSchema(t)
	for _, tt := range comparisons {
		if err := schema.Validate(decode(t, writeComparison(t, tt.c))); err != nil {
			t.Errorf("%s: %#v", tt.name, err)
		}
	}
	root := decode(t, writeComparison(t, reporttest.Comparison())).(map[string]any)
	optional := []string{"old", "new", "by", "old_why", "new_why"}
	var change func(v any, path string)
	change = func(v any, path string) {
		switch v := v.(type) {
		case []any:
			for _, item := range v {
				change(item, path+"/0")
			}
		case map[string]any:
			for _, key := range slices.Sorted(maps.Keys(v)) {
				member := v[key]
				delete(v, key)
				if err := schema.Validate(root); err == nil && (path == "" || !slices.Contains(optional, key)) {
					t.Errorf("%s/%s left out: got no error", path, key)
				}
				v[key] = member
				change(member, path+"/"+key)
			}
			v["surplus"] = 1
			if err := schema.Validate(root); err == nil {
				t.Errorf("%s/surplus: got no error", path)
			}
			delete(v, "surplus")
		}
	}
	change(root, "")
	if err := schema.Validate(root); err != nil {
		t.Fatalf("the comparison itself: %#v", err)
	}
}

// The files in testdata are results as they are written. They are refreshed by
// go generate ./..., and the difference is read; a change that a reader could
// notice raises FormatVersion.
package record_test

import (
	"bytes"
	"encoding/json"
	"maps"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"unicode"

	"github.com/santhosh-tekuri/jsonschema/v5"

	"kitgauge/checker/engine"
	"kitgauge/checker/finding"
	"kitgauge/checker/golden"
	"kitgauge/checker/internal/reporttest"
	"kitgauge/checker/report"
	"kitgauge/checker/report/record"
)

const schemaFile = "../../../schema/result.schema.json"

var runs = []struct {
	name string
	run  report.Run
}{
	{"fleet", reporttest.Fleet()},
	{"clean", report.Run{Kits: []report.Kit{reporttest.Clean()}, Gate: finding.None, Version: "0.1.0"}},
	{"empty", report.Run{Gate: finding.Major}},
	{"harmful", reporttest.Harmful()},
}

func write(t testing.TB, run report.Run) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := record.Write(&b, run); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func TestGolden(t *testing.T) {
	for _, tt := range runs {
		t.Run(tt.name, func(t *testing.T) {
			got := write(t, tt.run)
			name := filepath.Join("testdata", tt.name+".json")
			golden.Compare(t, name, got)
			if again := write(t, tt.run); !bytes.Equal(again, got) {
				t.Error("written again: got other bytes")
			}
			if bytes.Contains(got, []byte("null")) {
				t.Error("got null where nothing is out of range")
			}
		})
	}
}

// compile reads the schema as JSON Schema draft 2020-12.
func compile(t *testing.T) *jsonschema.Compiler {
	t.Helper()
	text, err := os.ReadFile(schemaFile)
	if err != nil {
		t.Fatal(err)
	}
	c := jsonschema.NewCompiler()
	c.Draft = jsonschema.Draft2020
	c.ExtractAnnotations = true
	if err := c.AddResource("result.json", bytes.NewReader(text)); err != nil {
		t.Fatal(err)
	}
	return c
}

func decode(t *testing.T, text []byte) any {
	t.Helper()
	var v any
	if err := json.Unmarshal(text, &v); err != nil {
		t.Fatalf("%v in %s", err, text)
	}
	return v
}

func TestAgainstSchema(t *testing.T) {
	schema, err := compile(t).Compile("result.json")
	if err != nil {
		t.Fatal(err)
	}
	for _, tt := range runs {
		if err := schema.Validate(decode(t, write(t, tt.run))); err != nil {
			t.Errorf("%s: %#v", tt.name, err)
		}
	}
}

// TestSchemaRefuses: the schema takes no member away and none more.
func TestSchemaRefuses(t *testing.T) {
	schema, err := compile(t).Compile("result.json")
	if err != nil {
		t.Fatal(err)
	}
	text := write(t, reporttest.Fleet())
	optional := map[string]bool{"value": true, "limit": true, "margin": true, "concession": true}
	var change func(v any, path string)
	root := decode(t, text).(map[string]any)
	change = func(v any, path string) {
		switch v := v.(type) {
		case []any:
			if len(v) > 0 {
				change(v[0], path+"/0")
			}
		case map[string]any:
			for _, key := range slices.Sorted(maps.Keys(v)) {
				member := v[key]
				delete(v, key)
				if err := schema.Validate(root); err == nil && !optional[key] {
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
		t.Fatalf("the result itself: %#v", err)
	}
}

// TestSchemaExplains: every member has a title, a description, and examples
// that are valid; every object is closed.
func TestSchemaExplains(t *testing.T) {
	c := compile(t)
	text, err := os.ReadFile(schemaFile)
	if err != nil {
		t.Fatal(err)
	}
	pointer := strings.NewReplacer("~", "~0", "/", "~1")
	var walk func(v any, path string, member bool)
	walk = func(v any, path string, member bool) {
		m := v.(map[string]any)
		if member {
			s, err := c.Compile("result.json#" + path)
			if err != nil {
				t.Fatal(err)
			}
			if m["title"] == nil || m["description"] == nil || m["examples"] == nil {
				t.Errorf("%s: title, description or examples are missing", path)
			}
			examples, _ := m["examples"].([]any)
			for _, e := range examples {
				if err := s.Validate(e); err != nil {
					t.Errorf("%s: example: %v", path, err)
				}
			}
		}
		if m["type"] == "object" && m["additionalProperties"] != false {
			t.Errorf("%s: is not closed", path)
		}
		for _, group := range []string{"properties", "$defs"} {
			members, _ := m[group].(map[string]any)
			for key, s := range members {
				walk(s, path+"/"+group+"/"+pointer.Replace(key), true)
			}
		}
		if items, is := m["items"]; is {
			walk(items, path+"/items", false)
		}
	}
	walk(decode(t, text), "", true)
}

// TestOnlyTextEscaped: a hostile text comes back as it was, and the bytes hold
// nothing that steers a terminal.
func TestOnlyTextEscaped(t *testing.T) {
	text := write(t, reporttest.Harmful())
	for _, r := range string(text) {
		if r != '\n' && (unicode.Is(unicode.Cc, r) || unicode.Is(unicode.Bidi_Control, r)) {
			t.Fatalf("got %U in the output", r)
		}
	}
	got := decode(t, text).(map[string]any)["kits"].([]any)[0].(map[string]any)["number"]
	// RFC 8259, 8.1: JSON is UTF-8; a byte that is not becomes U+FFFD.
	if want := strings.ToValidUTF8(reporttest.HarmfulText, "\ufffd"); got != want {
		t.Errorf("number: got %q, want %q", got, want)
	}
	if tag := write(t, report.Run{Version: "a\U000e0041<&>"}); !bytes.Contains(tag, []byte(`"a\udb40\udc41<&>"`)) {
		t.Errorf("got %s, want a pair of surrogates (RFC 8259, 7), and no escapes meant for HTML", tag)
	}
}

// TestBeyondRange: what JSON has no number for is null, and nothing is -0.
func TestBeyondRange(t *testing.T) {
	schema, err := compile(t).Compile("result.json")
	if err != nil {
		t.Fatal(err)
	}
	tests := []struct {
		name  string
		share float64
		want  string
	}{
		{"infinite", math.Inf(1), "null"},
		{"negative and infinite", math.Inf(-1), "null"},
		{"not a number", math.NaN(), "null"},
		{"minus nought", math.Copysign(0, -1), "0"},
		{"largest", math.MaxFloat64, "1.7976931348623157e+308"}, // IEEE 754 binary64
		{"a tenth", 0.1, "0.1"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			run := report.Run{Kits: []report.Kit{{Margins: []engine.Margin{{Share: tt.share}}}}}
			text := write(t, run)
			if want := `"share": ` + tt.want + "\n"; !bytes.Contains(text, []byte(want)) {
				t.Errorf("got %s\nwant %s", text, want)
			}
			if err := schema.Validate(decode(t, text)); err != nil {
				t.Errorf("%#v", err)
			}
		})
	}
}

func BenchmarkWrite(b *testing.B) {
	run := reporttest.Fleet()
	for b.Loop() {
		write(b, run)
	}
}

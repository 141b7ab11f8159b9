package mutation_test

import (
	"encoding/json"
	"maps"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"kitgauge/checker/internal/mutation"
)

// trees are two small files.
func trees() map[string]any {
	return map[string]any{
		"a.json": map[string]any{"lines": []any{map[string]any{"number": 1.0, "cut_length": "3 m"}, map[string]any{"number": 2.0, "cut_length": "4 m"}}, "id": "A"},
		"b.json": []any{"1 mm", nil, true, []any{}},
	}
}

func TestEdited(t *testing.T) {
	for _, tt := range []struct {
		name    string
		program string
		want    string // a.json
	}{
		{"nothing", "", `{"id":"A","lines":[{"cut_length":"3 m","number":1},{"cut_length":"4 m","number":2}]}`},
		{"an edit cut short", "\x00\x00\x01\x00", `{"id":"A","lines":[{"cut_length":"3 m","number":1},{"cut_length":"4 m","number":2}]}`},
		{"a number changed, its unit kept", "\x00\x00\x04\x0b\x00", `{"id":"A","lines":[{"cut_length":"3000 m","number":1},{"cut_length":"4 m","number":2}]}`},
		{"another value", "\x02\x00\x01\x0d\x00", `{"id":1e400,"lines":[{"cut_length":"3 m","number":1},{"cut_length":"4 m","number":2}]}`},
		{"a value from a place of the same name", "\x03\x00\x04\x00\x01", `{"id":"A","lines":[{"cut_length":"4 m","number":1},{"cut_length":"4 m","number":2}]}`},
		{"two change places", "\x05\x00\x05\x00\x01", `{"id":"A","lines":[{"cut_length":"3 m","number":2},{"cut_length":"4 m","number":1}]}`},
		{"an item taken out", "\x06\x00\x03\x00\x00", `{"id":"A","lines":[{"cut_length":"4 m","number":2}]}`},
		{"a member taken out", "\x06\x00\x04\x00\x00", `{"id":"A","lines":[{"number":1},{"cut_length":"4 m","number":2}]}`},
		{"an item again", "\x07\x00\x03\x00\x00", `{"id":"A","lines":[{"cut_length":"3 m","number":1},{"cut_length":"4 m","number":2},{"cut_length":"3 m","number":1}]}`},
		{"and under a number of its own", "\x0a\x00\x03\x00\x00", `{"id":"A","lines":[{"cut_length":"3 m","number":1},{"cut_length":"4 m","number":2},{"cut_length":"3 m","number":101}]}`},
	} {
		if got := string(mutation.Edited(trees(), []byte(tt.program))["a.json"]); got != tt.want {
			t.Errorf("%s: got %s, want %s", tt.name, got, tt.want)
		}
	}
}

// Any bytes are a program; the same give the same texts, and the trees stay.
func TestAnyProgram(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		program := rapid.SliceOfN(rapid.Byte(), 0, 60).Draw(t, "program")
		in := trees()
		first := mutation.Edited(in, program)
		for _, file := range slices.Sorted(maps.Keys(first)) {
			if !json.Valid(first[file]) {
				t.Fatalf("%s is no JSON: %s", file, first[file])
			}
		}
		if second := mutation.Edited(in, program); !maps.EqualFunc(first, second, slices.Equal[[]byte]) {
			t.Fatalf("a second time: %s, want %s", second, first)
		}
	})
}

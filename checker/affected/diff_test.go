package affected_test

import (
	"maps"
	"testing"

	"github.com/google/go-cmp/cmp"

	"kitgauge/checker/affected"
)

// The examples follow "Raw output format" of git-diff(1), with -z.
func TestParseDiff(t *testing.T) {
	const a, b = "8f3b1c0d6c1f2e5d9a7b4c3e2f1a0b9c8d7e6f5a", "0000000000000000000000000000000000000000"
	tests := []struct {
		name, out string
		want      map[string]byte
	}{
		{"nothing", "", map[string]byte{}},
		{"modified", ":100644 100644 " + a + " " + b + " M\x00a\nb\x00", map[string]byte{"a\nb": 'M'}},
		{"renamed and deleted", ":100644 100644 " + a + " " + a + " R086\x00a\x00b\x00:100644 000000 " + a + " " + b + " D\x00c\x00", map[string]byte{"a": 'D', "b": 'A', "c": 'D'}},
		{"copied", ":100644 100644 " + a + " " + a + " C068\x00a\x00b\x00", map[string]byte{"b": 'A'}},
		{"not merged", ":000000 000000 " + b + " " + b + " U\x00a\x00", map[string]byte{"a": 'M'}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got, err := affected.ParseDiff([]byte(tt.out))
			if err != nil {
				t.Fatal(err)
			}
			if diff := cmp.Diff(tt.want, got); diff != "" {
				t.Errorf("-want +got:\n%s", diff)
			}
		})
	}
	for _, out := range []string{"x\x00", ":1 2 3 4\x00a\x00", ":1 2 3 4 M\x00\x00", "1 2 3 4 M\x00a\x00", ":1 2 3 4 R100\x00a\x00"} {
		if got, err := affected.ParseDiff([]byte(out)); err == nil {
			t.Errorf("%q: got %v, want an error", out, got)
		}
	}
}

func FuzzParseDiff(f *testing.F) {
	f.Add([]byte(":100644 100644 8f3b 0000 R086\x00a\x00b\x00:100644 000000 8f3b 0000 D\x00c\x00"))
	f.Fuzz(func(t *testing.T, out []byte) {
		got, err := affected.ParseDiff(out)
		if again, _ := affected.ParseDiff(out); !maps.Equal(again, got) || len(got) > len(out) {
			t.Errorf("%q: got %v, and a second time %v", out, got, again)
		}
		if err != nil && len(err.Error()) > 200+4*len(out) {
			t.Errorf("%q: error %v", out, err)
		}
		for file, status := range got {
			if err == nil && (file == "" && status != 'A' || status == 0) {
				t.Errorf("%q: status %q of %q", out, status, file)
			}
		}
	})
}

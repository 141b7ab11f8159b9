package reporttest

import (
	"os"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// Golden holds what was written against the file that is kept of it, once it
// is written anew where update asks for that.
func Golden(t *testing.T, file string, got []byte, update bool) {
	t.Helper()
	if update {
		if err := os.WriteFile(file, got, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(string(want), string(got)); diff != "" {
		t.Errorf("-want +got:\n%s", diff)
	}
}

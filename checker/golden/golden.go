// Package golden holds the outputs that are kept in files. A test compares
// with them; go generate ./... runs the same tests once more with the word to
// write them anew. It is used by tests only.
package golden

import (
	"bytes"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// Variable is the environment variable by which go generate asks tests to
// write instead of to compare. No other package reads it.
const Variable = "KITGAUGE_GENERATE"

// Prefix begins the name of every test that keeps a file, and of no other: by
// it go generate finds them.
const Prefix = "TestGolden"

// Updating reports whether files are written and not compared with.
func Updating() bool { return os.Getenv(Variable) == "1" }

// Compare holds what was written against the file that is kept of it.
func Compare(t testing.TB, file string, got []byte) {
	t.Helper()
	if !strings.HasPrefix(t.Name(), Prefix) {
		t.Fatalf("%s keeps the file %s: a test that does has to be called %s...", t.Name(), file, Prefix)
	}
	want, err := os.ReadFile(file)
	switch {
	case Updating():
		Write(t, file, got)
	case err != nil:
		t.Fatalf("%v; go generate ./... writes it", err)
	case !bytes.Equal(want, got):
		t.Errorf("%s is otherwise; read the difference, and if it is right, go generate ./... (-want +got):\n%s", file, cmp.Diff(string(want), string(got)))
	}
}

// Write writes a file, where it says something else now, and its directory.
func Write(t testing.TB, file string, text []byte) {
	t.Helper()
	if was, err := os.ReadFile(file); err == nil && bytes.Equal(was, text) {
		return
	}
	if err := os.MkdirAll(filepath.Dir(file), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(file, text, 0o644); err != nil {
		t.Fatal(err)
	}
}

// passing are the values that every new rule changes, with what stands for
// them: how many rules and checks there are, and digests of the packs.
var passing = []struct {
	value *regexp.Regexp
	is    string
}{
	{regexp.MustCompile(`\b[1-9]\d* rules, [1-9]\d* checks\b`), "N rules, N checks"},
	{regexp.MustCompile(`\b[1-9]\d* rules made [1-9]\d* checks\b`), "N rules made N checks"},
	{regexp.MustCompile(`\b\d+ rules (in|of) \d+ packs\b`), "N rules $1 N packs"},
	{regexp.MustCompile(`("(?:rules|checks)": ?)\d+\b`), "${1}0"},
	{regexp.MustCompile(`\b[0-9a-f]{64}\b`), "SHA-256"},
	{regexp.MustCompile(`\d+(</td><td class="hash">)[0-9a-f]{16}(<wbr>[0-9a-f]{16}){3}`), "N${1}SHA-256"}, // the dossier's, with the bytes of the file
}

// Steady puts a word in the place of what every new rule changes, for outputs
// of whole checks with the built-in packs.
func Steady(text []byte) []byte {
	for _, p := range passing {
		text = p.value.ReplaceAll(text, []byte(p.is))
	}
	return text
}

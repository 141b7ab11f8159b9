package checker_test

import (
	"testing"

	"kitgauge/checker/source"
)

// parse reads the only document of a file that has no problems.
func parse(t *testing.T, file string, text []byte) *source.Document {
	t.Helper()
	docs, problems := source.Parse(file, text)
	for _, p := range problems {
		t.Fatal(p)
	}
	if len(docs) != 1 {
		t.Fatalf("%s: %d documents, want 1", file, len(docs))
	}
	return docs[0]
}

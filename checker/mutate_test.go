package checker_test

import (
	"testing"

	"kitgauge/checker/internal/mutation"
	"kitgauge/checker/source"
	"kitgauge/examples"
)

// clean are the kits that edits are made in.
func clean(t testing.TB) []any {
	var kits []any
	for _, name := range []string{"trailer", "loader", "gritter"} {
		_, text, _ := examples.Kit(name)
		kits = append(kits, plain(t, text))
	}
	for _, seed := range []uint64{3, 8} {
		kits = append(kits, plain(t, generated(t, seed, 6)))
	}
	return kits
}

func plain(t testing.TB, text []byte) any {
	docs, problems := source.Parse("kit.yaml", text)
	if len(problems) > 0 {
		t.Fatal(problems[0])
	}
	return docs[0].Root.Plain()
}

// mutated is a kit and its catalogue after the edits: the first byte of the
// program says which kit.
func mutated(kits []any, parts any, program []byte) map[string][]byte {
	if len(program) == 0 {
		program = []byte{0}
	}
	return mutation.Edited(map[string]any{mutatedKit: kits[int(program[0])%len(kits)], "parts/winter.parts.yaml": parts}, program[1:])
}

const mutatedKit = "trailer/trailer.kit.json"

// FuzzMutate changes values of whole kits and their catalogue, and checks
// what comes of it.
func FuzzMutate(f *testing.F) {
	kits := clean(f)
	catalogue, err := examples.ReadFile("", "parts/winter.parts.yaml")
	if err != nil {
		f.Fatal(err)
	}
	parts := plain(f, catalogue)
	for i := range kits {
		f.Add([]byte{byte(i)})
	}
	f.Add([]byte("\x00\x00\x01\x00\x00\x00"))
	f.Add([]byte("\x01\x03\x01\x20\x00\x05\x08\x00\x80\x00\x00"))
	f.Add([]byte("\x03\x07\x00\x10\x02\x00\x00\x00\x20\x04\x00\x02\x01\x10\x0b\x00\x06\x02\x00\x00\x00"))
	f.Fuzz(func(t *testing.T, program []byte) {
		checked(t, mutatedKit, mutated(kits, parts, program), "2026-11-25")
	})
}

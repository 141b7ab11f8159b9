package checker_test

import (
	"bytes"
	"os"
	"testing"

	"kitgauge/checker"
	"kitgauge/checker/engine"
	"kitgauge/rules"
)

// TestCompiled holds the compiled form of the built-in packs to their text:
// after a change of a pack, of a field or of the library it is written anew.
func TestCompiled(t *testing.T) {
	var packs []*engine.Pack
	for _, name := range rules.Names() {
		file, text, _ := rules.Pack(name)
		pack, problems := checker.ReadPack(file, text)
		for _, p := range problems {
			t.Fatal(p)
		}
		packs = append(packs, pack)
		same(t, "../rules/packed/"+name, parse(t, file, text).Pack())
	}
	want, err := engine.Compile(packs)
	if err != nil {
		t.Fatal(err)
	}
	same(t, "../rules/compiled.bin", want)
}

// same holds a written file to what it should be, or writes it.
func same(t *testing.T, file string, want []byte) {
	t.Helper()
	got, _ := os.ReadFile(file)
	switch {
	case bytes.Equal(want, got):
	case !*update:
		t.Errorf("%s is not what the packs say: go test ./checker -run Compiled -update", file)
	default:
		if err := os.WriteFile(file, want, 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

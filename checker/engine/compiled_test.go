package engine_test

import (
	"bytes"
	"os"
	"strings"
	"testing"

	"kitgauge/checker/engine"
)

// compiledText is the pack whose compiled form the fuzzer damages.
var compiledText = choiceText("{A: 10 mm, B: least}", "given: rod.sound", "with: {most: 'larger(limit.least, limit.room[rod.name])'}",
	"compare: {value: rod.length, at_least: most}", "says: '{rod.length}'")

// FuzzReadCompiled reads damaged compiled rules: an error, or rules that can
// be run and say what those of the text say. Records whose sum is made to fit
// are read one by one: rules that can be run, whatever they say.
func FuzzReadCompiled(f *testing.F) {
	p := pack(f, compiledText)
	whole, err := engine.Compile([]*engine.Pack{p})
	if err != nil {
		f.Fatal(err)
	}
	records, err := p.Records()
	if err != nil {
		f.Fatal(err)
	}
	for _, data := range [][]byte{whole, records} {
		f.Add(data)
		f.Add(data[:len(data)-1])
		f.Add(bytes.ReplaceAll(data, []byte("length"), []byte("lenght")))
		f.Add(bytes.ReplaceAll(data, []byte("limit"), []byte("kit\x00\x00")))
	}
	f.Add([]byte("\xff\xff\xff\xff\xff\xff\xff\xff\xff\x01"))
	f.Add([]byte{})
	run := func(t testing.TB, compiled *engine.Compiled) (said string) {
		p := pack(t, compiledText)
		p.Use(compiled)
		out, problems := p.Evaluate(rods(t, 0.01, 0.2), engine.Options{Margins: true})
		for _, problem := range problems {
			said += problem.Error() + "\n"
		}
		for _, f := range out.Findings {
			said += f.Message + "\n"
		}
		return said
	}
	want := run(f, nil)
	f.Fuzz(func(t *testing.T, data []byte) {
		compiled, err := engine.ReadCompiled(data)
		if err != nil && (compiled != nil || !strings.Contains(err.Error(), "damaged")) {
			t.Errorf("%q: got %v, %v", data, compiled, err)
		}
		if got := run(t, compiled); got != want {
			t.Errorf("%q: got %q, want %q", data, got, want)
		}
		fitting, err := engine.ReadCompiled(p.Seal(data))
		if err != nil {
			t.Fatalf("%q: with its sum: %v", data, err)
		}
		if first, second := run(t, fitting), run(t, fitting); first != second {
			t.Errorf("%q: a second time %q, want %q", data, second, first)
		}
	})
}

// The version of the library in the digest is the one that is built in.
func TestCompiledLibrary(t *testing.T) {
	text, err := os.ReadFile("../../go.mod")
	if err != nil {
		t.Fatal(err)
	}
	if want := "github.com/google/cel-go " + engine.CELVersion + "\n"; !strings.Contains(string(text), want) {
		t.Errorf("go.mod does not ask for %s: name its version in compiled.go", want)
	}
}

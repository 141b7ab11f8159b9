package engine_test

import (
	"bytes"
	"strings"
	"testing"

	"kitgauge/checker/engine"
)

// compiledText is the pack whose compiled form the fuzzer damages.
var compiledText = ruleText("rod", "given: rod.sound", "compare: {value: rod.length, at_least: limit.least}", "says: '{rod.length}'")

// FuzzReadCompiled reads damaged compiled rules: an error, or rules that can
// be run, whatever they say.
func FuzzReadCompiled(f *testing.F) {
	whole, err := engine.Compile([]*engine.Pack{pack(f, compiledText)})
	if err != nil {
		f.Fatal(err)
	}
	f.Add(whole)
	f.Add(whole[:len(whole)-1])
	f.Add(bytes.Replace(whole, []byte("length"), []byte("lenght"), -1))
	f.Add(bytes.Replace(whole, []byte("limit"), []byte("kit\x00\x00"), -1))
	f.Add([]byte("\xff\xff\xff\xff\xff\xff\xff\xff\xff\x01"))
	f.Add([]byte{})
	f.Fuzz(func(t *testing.T, data []byte) {
		compiled, err := engine.ReadCompiled(data)
		if err != nil {
			if compiled != nil || !strings.Contains(err.Error(), "damaged") {
				t.Errorf("%q: got %v, %v", data, compiled, err)
			}
			return
		}
		run := func() (said string) {
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
		if first, second := run(), run(); first != second {
			t.Errorf("%q: a second time %q, want %q", data, second, first)
		}
	})
}

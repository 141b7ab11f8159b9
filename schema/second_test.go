package schema_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"path/filepath"
	"slices"
	"testing"

	"kitgauge/checker/npmtest"
	"kitgauge/schema"
)

// TestSecondValidator has a second, independent implementation of JSON Schema
// give its verdict on every sample and every mutant: npm package ajv, 2020-12
// build, in strict mode, which also checks the schemas themselves.
func TestSecondValidator(t *testing.T) {
	if testing.Short() {
		t.Skip("needs node and a package from the registry")
	}
	t.Parallel()
	dir := npmtest.Install(t, filepath.Join(samplesDir, "second"))
	var input bytes.Buffer
	verdicts := make([]map[string]bool, len(schema.Names()))
	for i, name := range schema.Names() {
		text, _ := schema.Text(name)
		values := map[string]any{}
		verdicts[i] = map[string]bool{}
		add := func(sample string, file any) {
			values[sample], verdicts[i][sample] = file, schema.Fits(name, file)
		}
		for _, other := range written { // a file of one kind given for another is a sample too
			for _, s := range samples(t, other) {
				add(other+"/"+s.name, s.root.Plain())
			}
		}
		if examples := schema.Tree(name).Get("examples"); examples != nil {
			for j, example := range examples.Items {
				add(fmt.Sprintf("example %d", j), example.Plain())
			}
		}
		if slices.Contains(written, name) {
			for _, m := range mutants(everyMember(t, name)) {
				add(m.name, m.value)
			}
		}
		if err := json.NewEncoder(&input).Encode(map[string]any{"schema": json.RawMessage(text), "samples": values}); err != nil {
			t.Fatal(err)
		}
	}
	out := npmtest.Run(t, dir, &input, "node", "verdicts.cjs")
	answers := json.NewDecoder(bytes.NewReader(out))
	for i, name := range schema.Names() {
		var second map[string]bool
		if err := answers.Decode(&second); err != nil {
			t.Fatal(err)
		}
		compare(t, name, verdicts[i], second)
	}
}

func compare(t *testing.T, name string, first, second map[string]bool) {
	t.Helper()
	fit := 0
	for sample, fits := range first {
		if fits {
			fit++
		}
		if got, ok := second[sample]; !ok || got != fits {
			t.Errorf("%s: %s fits: %t; the second validator says %t (asked: %t)", name, sample, fits, got, ok)
		}
	}
	if fit == 0 || fit == len(first) {
		t.Errorf("%s: %d of %d samples fit; want some and not all", name, fit, len(first))
	}
	t.Logf("%s: %d verdicts, %d of them fit", name, len(first), fit)
}

package schema_test

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

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
	dir := secondValidator(t)
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
		for j, example := range schema.Tree(name).Get("examples").Items {
			add(fmt.Sprintf("example %d", j), example.Plain())
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
	out := run(t, dir, &input, "node", "verdicts.cjs")
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

// secondValidator returns a folder in which the validator is installed. It is
// kept in the user's cache, by what is to be installed.
func secondValidator(t *testing.T) string {
	t.Helper()
	for _, program := range []string{"node", "npm"} {
		if _, err := exec.LookPath(program); err != nil {
			unavailable(t, err)
		}
	}
	hash := sha256.New()
	files := map[string][]byte{}
	for _, name := range []string{"package.json", "package-lock.json", "verdicts.cjs"} {
		text, err := os.ReadFile(filepath.Join(samplesDir, "second", name))
		if err != nil {
			t.Fatal(err)
		}
		files[name] = text
		hash.Write(text)
	}
	cache, err := os.UserCacheDir()
	if err != nil {
		cache = t.TempDir()
	}
	dir := filepath.Join(cache, "kitgauge-tests", fmt.Sprintf("second-%x", hash.Sum(nil)[:8]))
	if _, err := os.Stat(dir); err == nil {
		return dir
	}
	install(t, dir, files)
	return dir
}

// install fills a folder beside dir and renames it, so that an installation
// that was broken off is never used.
func install(t *testing.T, dir string, files map[string][]byte) {
	t.Helper()
	if err := os.MkdirAll(filepath.Dir(dir), 0o755); err != nil {
		unavailable(t, err)
	}
	temp, err := os.MkdirTemp(filepath.Dir(dir), "install-")
	if err != nil {
		unavailable(t, err)
	}
	defer os.RemoveAll(temp)
	for name, text := range files {
		if err := os.WriteFile(filepath.Join(temp, name), text, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	run(t, temp, nil, "npm", "ci", "--ignore-scripts", "--no-audit", "--no-fund")
	if err := os.Rename(temp, dir); err != nil {
		if _, other := os.Stat(dir); other != nil { // nobody else was faster
			t.Fatal(err)
		}
	}
}

// run runs a program; npm may fail for want of a network.
func run(t *testing.T, dir string, input *bytes.Buffer, program string, arguments ...string) []byte {
	t.Helper()
	ctx, cancel := context.WithTimeout(t.Context(), 3*time.Minute)
	defer cancel()
	c := exec.CommandContext(ctx, program, arguments...)
	c.Dir = dir
	if input != nil {
		c.Stdin = input
	}
	var stderr strings.Builder
	c.Stderr = &stderr
	out, err := c.Output()
	if err != nil && program == "npm" {
		unavailable(t, err)
	}
	if err != nil {
		t.Fatalf("%s: %v\n%s", program, err, stderr.String())
	}
	return out
}

// unavailable skips the test, but on a build server, where it has to run.
func unavailable(t *testing.T, why error) {
	t.Helper()
	if os.Getenv("CI") != "" {
		t.Fatalf("the second validator cannot be installed: %v", why)
	}
	t.Skipf("the second validator cannot be installed: %v", why)
}

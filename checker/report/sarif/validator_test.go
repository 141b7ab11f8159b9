package sarif_test

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path"
	"path/filepath"
	"runtime"
	"slices"
	"testing"
	"time"

	"github.com/santhosh-tekuri/jsonschema/v5"

	"kitgauge/checker/npmtest"
	"kitgauge/checker/report/sarif"
)

// installed is where the npm package of the SARIF validator stands: it brings
// the OASIS schema of SARIF 2.1.0 and a program for the specification's rules.
func installed(t *testing.T) string {
	t.Helper()
	if testing.Short() {
		t.Skip("needs npm and a package from the registry")
	}
	return npmtest.Install(t, filepath.Join("..", "..", "..", "testdata", "sarif"))
}

// faults are changes of a log that a validator has to notice, so that its
// silence says something.
var faults = []struct {
	name    string
	schema  bool   // the schema refuses it
	program string // the validator's rule that refuses it
	change  func(log map[string]any)
}{
	{"a member that there is not", true, "", func(log map[string]any) { log["surplus"] = 1 }},
	{"a result without a message", true, "", func(log map[string]any) { delete(first(log), "message") }},
	{"a line 0", true, "", func(log map[string]any) { regionOf(log)["startLine"] = 0 }},
	{"a level that there is not", true, "", func(log map[string]any) { first(log)["level"] = "major" }},
	{"no tool", true, "", func(log map[string]any) { delete(at(log, "runs", 0).(map[string]any), "tool") }},
	{"a rule index beyond the end", false, "SARIF1009", func(log map[string]any) { first(log)["ruleIndex"] = 999 }},
	{"a region that ends before it begins", false, "SARIF1007", func(log map[string]any) { regionOf(log)["endColumn"] = 1 }},
	{"a space in a URI", false, "SARIF1002", func(log map[string]any) {
		at(first(log), "locations", 0, "physicalLocation", "artifactLocation").(map[string]any)["uri"] = "a b:c|"
	}},
}

func first(log map[string]any) map[string]any {
	return at(log, "runs", 0, "results", 0).(map[string]any)
}

func regionOf(log map[string]any) map[string]any {
	return at(first(log), "locations", 0, "physicalLocation", "region").(map[string]any)
}

// TestOASISSchema holds every log to the schema.
func TestOASISSchema(t *testing.T) {
	t.Parallel()
	text, err := os.ReadFile(npmtest.Find(t, installed(t), "sarif-2.1.0.json"))
	if err != nil {
		t.Fatal(err)
	}
	c := jsonschema.NewCompiler()
	c.AssertFormat = true
	if err := c.AddResource("sarif-2.1.0.json", bytes.NewReader(text)); err != nil {
		t.Fatal(err)
	}
	schema, err := c.Compile("sarif-2.1.0.json")
	if err != nil {
		t.Fatal(err)
	}
	for _, tt := range runs {
		if err := schema.Validate(decode(t, write(t, tt.run, sarif.Options{}))); err != nil {
			t.Errorf("%s: %#v", tt.name, err)
		}
	}
	for _, tt := range faults {
		log := decode(t, write(t, runs[0].run, sarif.Options{}))
		tt.change(log)
		if err := schema.Validate(any(decode(t, encode(t, log)))); tt.schema && err == nil {
			t.Errorf("%s: got no error", tt.name)
		}
	}
}

// TestSecondValidator has another program hold every log to the rules of the
// specification that its schema cannot express.
func TestSecondValidator(t *testing.T) {
	t.Parallel()
	if runtime.GOARCH != "amd64" {
		t.Skip("the program is built for one kind of processor")
	}
	dir := installed(t)
	name := "Sarif.Multitool"
	if runtime.GOOS == "windows" {
		name += ".exe"
	}
	program := npmtest.Find(t, dir, name)
	if err := os.Chmod(program, 0o755); err != nil {
		npmtest.Unavailable(t, err)
	}
	work := t.TempDir()
	arguments := []string{"validate"}
	save := func(name string, text []byte) {
		if err := os.WriteFile(filepath.Join(work, name+".sarif"), text, 0o644); err != nil {
			t.Fatal(err)
		}
		arguments = append(arguments, name+".sarif")
	}
	for _, tt := range runs {
		save(tt.name, write(t, tt.run, sarif.Options{}))
	}
	for i, tt := range faults {
		if tt.program != "" {
			log := decode(t, write(t, runs[0].run, sarif.Options{}))
			tt.change(log)
			save(fmt.Sprintf("fault%d", i), encode(t, log))
		}
	}
	got := violations(t, work, program, arguments)
	for _, tt := range runs {
		if rules := got[tt.name+".sarif"]; len(rules) > 0 {
			t.Errorf("%s: the validator says %q", tt.name, rules)
		}
	}
	for i, tt := range faults {
		if rules := got[fmt.Sprintf("fault%d.sarif", i)]; tt.program != "" && !slices.Equal(rules, []string{tt.program}) {
			t.Errorf("%s: the validator says %q, want %s", tt.name, rules, tt.program)
		}
	}
}

// violations runs the program and returns the rules that each file breaks.
func violations(t *testing.T, work, program string, arguments []string) map[string][]string {
	t.Helper()
	ctx, cancel := context.WithTimeout(t.Context(), 2*time.Minute)
	defer cancel()
	c := exec.CommandContext(ctx, program, append(arguments, "--rule-kind", "Sarif", "--level", "Error", "--output", "verdict.out")...)
	c.Dir = work
	// Without a locale, and without a look at the network for the schema.
	c.Env = append(os.Environ(), "DOTNET_SYSTEM_GLOBALIZATION_INVARIANT=1", "HTTPS_PROXY=http://127.0.0.1:9", "HTTP_PROXY=http://127.0.0.1:9")
	said, err := c.CombinedOutput()
	text, missing := os.ReadFile(filepath.Join(work, "verdict.out"))
	if missing != nil {
		t.Fatalf("%v: %v\n%s", missing, err, said)
	}
	run := at(decode(t, text), "runs", 0)
	if call, ok := at(run, "invocations", 0).(map[string]any); !ok || call["executionSuccessful"] != true {
		t.Fatalf("the validator did not run to its end: %s", said)
	}
	got := map[string][]string{}
	results, _ := at(run, "results").([]any)
	for _, r := range results {
		uri := at(r, "locations", 0, "physicalLocation", "artifactLocation", "uri").(string)
		got[path.Base(uri)] = append(got[path.Base(uri)], at(r, "ruleId").(string))
	}
	return got
}

func encode(t *testing.T, v any) []byte {
	t.Helper()
	text, err := json.Marshal(v)
	if err != nil {
		t.Fatal(err)
	}
	return text
}

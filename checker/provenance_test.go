package checker_test

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"kitgauge/checker"
)

// TestInputs holds that a result lists all that went into the check, under
// names that do not depend on where the program runs.
func TestInputs(t *testing.T) {
	top := t.TempDir()
	for name, text := range map[string]string{
		".git/HEAD":                 "",
		"kitgauge.settings.yaml":    "packs: {leave_out: [flow], add: [packs/own.pack.yaml]}\n",
		"packs/own.pack.yaml":       "pack: own\ntitle: Own\nrules: [{id: one, title: One, of: pump, must: pump.marks_in_order, severity: minor, says: it is not, remedy: put it right, basis: house rule, why: a test}]\n",
		"kits/t.concessions.yaml":   "concessions: []\n",
		"parts/all.parts.yaml":      "title: All\nrevision: \"1\"\ninclude: [winter.parts.yaml]\nparts: []\n",
		"kits/t.kit.yaml":           strings.Replace(readFile(t, "../examples/trailer/trailer.kit.yaml"), "../parts/winter.parts.yaml", "../parts/all.parts.yaml", 1),
		"parts/winter.parts.yaml":   readFile(t, "../examples/parts/winter.parts.yaml"),
		"parts/elsewhere/.keep":     "",
		"parts/not-named.parts.yml": "",
	} {
		file := filepath.Join(top, name)
		if err := os.MkdirAll(filepath.Dir(file), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(file, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want := []string{
		"kit t.kit.yaml", "catalogue ../parts/all.parts.yaml", "catalogue ../parts/winter.parts.yaml", "concessions t.concessions.yaml",
		"settings ../kitgauge.settings.yaml", "rule pack ../packs/own.pack.yaml",
	}
	for _, from := range []string{"kits", "parts", ".", "parts/elsewhere"} {
		t.Chdir(filepath.Join(top, from))
		dir, err := filepath.Rel(filepath.Join(top, from), filepath.Join(top, "kits"))
		if err != nil {
			t.Fatal(err)
		}
		c := checker.New(checker.Options{Dir: dir, On: "2026-11-25"})
		results, err := c.Check("t.kit.yaml", []byte(readFile(t, filepath.Join(top, "kits/t.kit.yaml"))))
		if err != nil {
			t.Fatal(err)
		}
		var got []string
		built := 0
		for _, in := range results[0].Inputs {
			if in.BuiltIn {
				built++
				continue
			}
			got = append(got, string(in.Role)+" "+in.Name)
			if in.Role != checker.RoleKit && string(in.Text) != readFile(t, filepath.Join(top, "kits", in.Name)) {
				t.Errorf("from %s: the text of %s is not that of the file", from, in.Name)
			}
		}
		if !slices.Equal(got, want) {
			t.Errorf("from %s:\ngot  %q\nwant %q", from, got, want)
		}
		packs, _ := c.Packs()
		if built != len(packs)-1 { // flow is left out
			t.Errorf("from %s: got %d built-in packs, want %d", from, built, len(packs)-1)
		}
		for _, f := range results[0].Findings {
			if strings.HasPrefix(f.Rule, "file/") {
				t.Errorf("from %s: %s: %s", from, f.Pos, f.Message)
			}
		}
	}
}

func readFile(t *testing.T, name string) string {
	t.Helper()
	text, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

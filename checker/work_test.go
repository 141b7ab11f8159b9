package checker_test

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"kitgauge/checker"
	"kitgauge/checker/internal/heavy"
	"kitgauge/checker/source"
)

// own checks a small kit with packs that settings beside it add.
func own(t *testing.T, packs map[string][]byte) (*checker.Result, error) {
	t.Helper()
	dir := t.TempDir()
	var names []string
	for i := range len(packs) {
		names = append(names, fmt.Sprintf("p%d", i))
	}
	put := func(name string, text []byte) {
		if err := os.WriteFile(filepath.Join(dir, name), text, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	for name, text := range packs {
		put(name+".pack.yaml", text)
	}
	put("kitgauge.settings.yaml", heavy.Settings(names...))
	put("a.kit.yaml", lines(300))
	results, err := checker.New(checker.Options{}).CheckFile(filepath.Join(dir, "a.kit.yaml"))
	if err != nil {
		return nil, err
	}
	return results[0], nil
}

// The packs that settings add share their steps, and the order in which they
// stand says which of them come first, however many run at once.
func TestOwnPacksShareSteps(t *testing.T) {
	const dear = "kit.lines.all(a, kit.lines.all(b, b.number > 0))" // at each of 300 lines some 600,000 steps
	packs := map[string][]byte{}
	for i := range 3 {
		packs[fmt.Sprintf("p%d", i)] = heavy.Pack(fmt.Sprintf("p%d", i), 1, dear, "s")
	}
	var told [3]int
	r, err := own(t, packs)
	if err != nil {
		t.Fatal(err)
	}
	for i := range told {
		for _, f := range rule(r, fmt.Sprintf("p%d/r0", i)) {
			if !strings.HasPrefix(f.Message, "not evaluated: the rule packs that the settings add need more than the 10000000 steps") {
				t.Fatalf("got %q", f.Message)
			}
			told[i]++
		}
	}
	if told != [3]int{1, 1, 1} || r.NotEvaluated < 850 || r.Steps > 11_000_000 {
		t.Errorf("told %v times, %d not evaluated after %d steps", told, r.NotEvaluated, r.Steps)
	}
}

// What packs may have together, at and above.
func TestOwnPackBytes(t *testing.T) {
	half := func(name string, bytes int) []byte {
		text := heavy.Pack(name, 1, "true", "s")
		return append(text, []byte(strings.Repeat("# x\n", (bytes-len(text))/4))...)
	}
	if _, err := own(t, map[string][]byte{"p0": half("p0", 1<<20), "p1": half("p1", 1<<20)}); err != nil {
		t.Errorf("two of 1 MiB: %v", err)
	}
	_, err := own(t, map[string][]byte{"p0": half("p0", 1<<20), "p1": half("p1", 1<<20+100)})
	if err == nil || !strings.Contains(err.Error(), "p1.pack.yaml the rule packs that are added have more than 2 MiB; leave out what is not needed") {
		t.Errorf("a little more: %v", err)
	}
}

// Catalogues share the budget of one file.
func TestCataloguesTogether(t *testing.T) {
	big := "parts: {}\n" + strings.Repeat("# x\n", source.MaxBytes/8)
	read := func(_, file string) ([]byte, error) { return []byte(big), nil }
	check := func(names string) string {
		r := checkOne(t, checker.Options{ReadFile: read, Packs: []string{}}, "a.kit.yaml", append(lines(1), []byte("catalogues: ["+names+"]\n")...))
		var told []string
		for _, f := range r.Findings {
			if strings.Contains(f.Message, "together") {
				told = append(told, f.Message)
			}
		}
		return strings.Join(told, "; ")
	}
	if got := check("a.parts.yaml"); got != "" {
		t.Errorf("one: %s", got)
	}
	if got, want := check("a.parts.yaml, b.parts.yaml"), "with this one the catalogues of the kit hold more than 16 MiB or 500000 values together"; got != want {
		t.Errorf("two: got %q, want %q", got, want)
	}
}

package checker_test

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"strings"
	"testing"

	"kitgauge/checker"
	"kitgauge/checker/finding"
	"kitgauge/checker/report"
)

// A catalogue that cannot be read is the cause of all that is not known then,
// and of no finding that is not one with it: what is found without it is found
// with it too. Of what no rule says anything with it, none does without it.
func TestUnreadCatalogue(t *testing.T) {
	text, err := os.ReadFile("../examples/parts/winter.parts.yaml")
	if err != nil {
		t.Fatal(err)
	}
	good := string(text)
	broken := map[string]string{
		"missing":        "",
		"empty":          "# nothing\n",
		"a lost bracket": strings.Replace(good, "element_series: [E]", "element_series: [E", 1),
		"cut off":        good[:len(good)/3] + "\n  x: [",
		"no list":        "title: Winter parts\nrevision: A\n",
		"a faulty kind":  strings.ReplaceAll(good, "kind: tube", "kind: tub"),
		"no number":      strings.Replace(good, "- number: FG-T4\n", "- number: [FG-T4]\n", 1),
	}
	for _, name := range []string{"trailer", "gritter-faulty"} {
		with := unreadOf(t, name, &good)
		for what, parts := range broken {
			if name != "trailer" && what != "missing" {
				continue // a large kit takes its time
			}
			t.Run(name+"/"+what, func(t *testing.T) {
				if parts == good {
					t.Fatal("the catalogue is whole")
				}
				read := &parts
				if what == "missing" {
					read = nil
				}
				judgeUnread(t, unreadOf(t, name, read), with)
			})
		}
	}
}

// unreadOf checks an example with a text for its catalogue; nil is no file.
func unreadOf(t *testing.T, name string, parts *string) *checker.Result {
	t.Helper()
	file := fmt.Sprintf("../examples/%s/%[1]s.kit.yaml", name)
	c := checker.New(checker.Options{NoSettings: true, ReadFile: func(_, file string) ([]byte, error) {
		switch {
		case !strings.HasSuffix(file, "winter.parts.yaml"):
			return os.ReadFile(file)
		case parts == nil:
			return nil, fs.ErrNotExist
		}
		return []byte(*parts), nil
	}})
	text, err := os.ReadFile(file)
	results, more := c.Check(file, text)
	if err := errors.Join(err, more); err != nil {
		t.Fatal(err)
	}
	return results[0]
}

func judgeUnread(t *testing.T, without, with *checker.Result) {
	t.Helper()
	if without.Shaped {
		t.Error("the kit is told to be checked in full")
	}
	found := finding.Count(with.Findings, finding.Violated)
	for _, f := range without.Findings {
		key := f.Key()
		if f.Status == finding.Violated && !strings.HasPrefix(f.Rule, "file/catalogue") {
			if found[key]--; found[key] < 0 {
				t.Errorf("%s at %s is not so: %s", f.Rule, f.Place, f.Message)
			}
		}
	}
	shown := report.Standing(without.Findings, finding.Violated)
	if len(shown) == 0 || shown[0].Rule != "file/catalogue" {
		t.Fatalf("%s is shown first, want the catalogue", shown[0].Rule)
	}
	for _, f := range report.Standing(without.Findings, finding.NotEvaluated) {
		if f.Follows == "" && strings.Contains(f.Message, "catalogue") {
			t.Errorf("%s at %s follows from nothing: %s", f.Rule, f.Place, f.Message)
		}
	}
	told := false
	for _, f := range without.Findings {
		told = told || f.Rule == "file/catalogue" && f.Pos.File == without.File && strings.HasPrefix(f.Pointer, "/catalogues/")
	}
	if !told {
		t.Error("nothing is told where the kit names the catalogue")
	}
}

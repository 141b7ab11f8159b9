package checker_test

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"kitgauge/checker"
)

// coincidences are the numbers in Go that happen to be a limit of a pack too,
// by file or folder, each with what it is there.
var coincidences = []struct {
	where, numbers, what string
}{
	{"../cmd/kitgauge/command/check.go", "20", "the shift of a size in bytes"},
	{"../cmd/kitgauge/command/command.go", "100", "columns of a page"},
	{"../cmd/kitgauge/command/rule.go", "84", "columns of a page"},
	{"facts/bundling.go", "0.1", "the middle of the vehicle, for which the packs have no limit"},
	{"facts/clearance.go", "0.2 0.5", "halves, and how far a zone is looked at at least"},
	{"facts/flow.go", "1.0", "a ratio of equals"},
	{"facts/mounting.go", "0.5 100", "halves, and the most bolts that are judged"},
	{"facts/ports.go", "20", "names in a list"},
	{"kit/budget.go", "50 100 200 500", "the longest lists of a kit"},
	{"kit/decode.go", "100", "problems that are told"},
	{"kit/route.go", "20", "a bit that no stop has"},
	{"quantities/bundling/", "1e-2 0.05 0.2 0.3 0.5 0.6 1.0 20 30 60 100 100.0 300.0", "the search for the least circle"},
	{"quantities/dosing/", "0.01 0.1 2.0 4.0 5.0 20 60 100 200 700", "ranges of inputs, units, and factors of the handbook"},
	{"quantities/environment/", "20 30 60 100 200", "temperatures of ISO 6743-9 and DIN 51502"},
	{"quantities/fittings/", "0.5 0.6 0.7 0.75 0.8 1.0 1.050 20 25 30 60", "sizes, pitches and flanks of threads"},
	{"quantities/flow/", "0.1 0.7 20 30 100 150 400 700.0", "grades, their chart, and the start of a search"},
	{"quantities/motion/", "0.5 1.0 2.0 50 60 100", "steps of a search, and terms of a series"},
	{"quantities/mounting/", "0.02 0.3 0.4 0.5 0.6 0.7 0.8 1.6 20 30 100.0", "pitches of bolts, and the range of loads"},
	{"quantities/power/", "0.01 0.1 0.5 20 25 30 60 200 500", "ranges of inputs, and the ratings of ISO 8820-3"},
	{"report/dossier/", "0.5 6.0 20 50.0 100 150.0 200", "bars and lengths of text, in units of the page"},
	{"report/drawing/", "0.01 0.05 0.2 0.3 0.4 0.5 0.6 0.7 0.75 0.8 1.0 1.05 1.6 2.0 4.0 5.0 6.0 10.0 20 20.0 30 45 50 60 75 84 100", "millimetres on the paper, and angles of hatching"},
	{"report/markdown/", "20 30", "the shift of a size in bytes"},
	{"report/sheet/", "0.01 0.1 75 200", "steps to which amounts are rounded, and characters of a line"},
	{"report/terminal/", "20", "columns of a page"},
}

// TestLimitsInPacksAlone fails where Go code holds a number that a rule pack
// names as a limit, in SI or as it is written: a limit that stands in two
// places is changed in one. Whole numbers below twenty are left out, for they
// are counts and places in lists more often than not.
func TestLimitsInPacksAlone(t *testing.T) {
	limits := map[float64][]string{}
	packs, _ := checker.New(checker.Options{}).Packs()
	for _, p := range packs {
		for _, l := range p.Limits {
			id := p.Name + "/" + l.Name
			limits[l.SI] = append(limits[l.SI], id)
			written, _, _ := strings.Cut(l.Text, " ")
			if v, err := strconv.ParseFloat(written, 64); err == nil && v != l.SI {
				limits[v] = append(limits[v], id)
			}
		}
	}
	if len(limits) < 30 {
		t.Fatalf("only %d limits were found", len(limits))
	}
	used := map[string]bool{}
	for _, top := range []string{"facts", "kit", "report", "quantities", "../cmd"} {
		eachNumber(t, top, func(at token.Position, text string, v float64) {
			if v == math.Trunc(v) && v < 20 && !strings.ContainsAny(text, ".e") {
				return
			}
			for _, ids := range near(limits, v) {
				if !coincides(at.Filename, text, used) {
					t.Errorf("%s: %s is the limit %s; facts get limits handed in (facts.Options), and a coincidence is told in this test", at, text, strings.Join(ids, ", "))
				}
			}
		})
	}
	for _, c := range coincidences {
		for _, n := range strings.Fields(c.numbers) {
			if !used[c.where+" "+n] {
				t.Errorf("coincidences: %s holds no %s any more", c.where, n)
			}
		}
	}
}

// near are the limits of just that value, but for rounding.
func near(limits map[float64][]string, v float64) [][]string {
	var found [][]string
	for limit, ids := range limits {
		if math.Abs(limit-v) <= 1e-9*math.Abs(v) {
			found = append(found, ids)
		}
	}
	return found
}

func coincides(file, text string, used map[string]bool) bool {
	file = filepath.ToSlash(file)
	for _, c := range coincidences {
		if strings.HasPrefix(file, c.where) && slices.Contains(strings.Fields(c.numbers), text) {
			used[c.where+" "+text] = true
			return true
		}
	}
	return false
}

// eachNumber calls f with every number in the Go code below a folder.
func eachNumber(t *testing.T, top string, f func(at token.Position, text string, v float64)) {
	t.Helper()
	err := filepath.WalkDir(top, func(file string, d fs.DirEntry, err error) error {
		if err != nil || !strings.HasSuffix(file, ".go") || strings.HasSuffix(file, "_test.go") {
			return err
		}
		text, err := os.ReadFile(file)
		if err != nil {
			return err
		}
		files := token.NewFileSet()
		syntax, err := parser.ParseFile(files, file, text, parser.SkipObjectResolution)
		if err != nil {
			return err
		}
		ast.Inspect(syntax, func(n ast.Node) bool {
			if l, is := n.(*ast.BasicLit); is && (l.Kind == token.INT || l.Kind == token.FLOAT) {
				if v, err := strconv.ParseFloat(l.Value, 64); err == nil && v != 0 {
					f(files.Position(l.Pos()), l.Value, v)
				}
			}
			return true
		})
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
}

package checker_test

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"math"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"unicode"

	"kitgauge/checker"
)

// coincidences are the numbers in Go that happen to be a limit of a pack too,
// each with what it is there: "file name" or "file number".
var coincidences = map[string]string{
	"facts/dosing.go 1.5":                            "whether one stroke is already too much",
	"facts/dosing.go day":                            "seconds of an hour",
	"facts/survey_lines.go crossed":                  "the share of its way that a line has to come nearer to the twin",
	"facts/flow.go 1.0":                              "a ratio of equals",
	"facts/clearance.go 0.2":                         "how far a zone is looked at at least",
	"facts/clearance.go 0.5":                         "a half",
	"facts/ground.go 0.5":                            "a half",
	"facts/catalogue.go usualDensity":                "kilograms a cubic metre",
	"facts/catalogue.go hair":                        "a tolerance of computation",
	"facts/descent.go 0.5":                           "a half",
	"facts/endheat.go viewOfFitting":                 "how far a zone is looked at",
	"facts/loopbeside.go 0.5":                        "a half",
	"facts/loopbeside.go bundleView":                 "how far another bundle is looked at at least",
	"facts/loopbeside.go leavingClip":                "what lies beside another at a clip of both",
	"facts/descent.go another":                       "by how much a curve in full is another than the rough one",
	"facts/loopsearch.go 0.5":                        "a half",
	"facts/loopsweep.go 0.5":                         "a half",
	"facts/loopsweep.go modes":                       "how far two curves are apart that are not the same",
	"facts/loopclear.go between":                     "from where on a search goes on",
	"facts/mounting.go 0.5":                          "a half",
	"facts/bundling.go 0.1":                          "the middle of the vehicle",
	"facts/clearance.go 0.05":                        "the least step of a search",
	"quantities/flow/grades.go viscosityGrades":      "the grades of ISO 3448",
	"quantities/flow/herschelbulkley.go lowestIndex": "where the formula ends",
	"facts/survey_joints.go 0.5":                     "a half",
	"facts/clearance.go 1.5":                         "how far a zone is looked at, over its clearance",
	"facts/coldgrease.go at100":                      "the second temperature of a viscosity",
	"facts/survey_zones.go 0.5":                      "a half",
	"report/terminal/terminal.go usualWidth":         "columns",
	"quantities/fittings/parse.go longest":           "characters",
	"facts/loop.go 1.0":                              "less than any sag, from which the deepest is sought",
	"facts/loop.go 0.01":                             "how near its end a place of the curve is that end, but for rounding",
	"facts/loopclear.go pumpView":                    "how far from the pump a loop is still worked out",
	"facts/loopclear.go 0.5":                         "a half",
	"facts/survey_dosing.go usualHours":              "hours of a day that need no second look",
	"facts/fittings.go sameTube":                     "two ways to write one size of tube",
	"facts/survey_counts.go 1.0":                     "a direction",
	"facts/survey_ends.go leastWheelbase":            "axles so near that front and rear are not told apart",
	"facts/survey_points.go 1.0":                     "from where on a least is sought",
	"facts/survey_dosing.go 0.01":                    "what two needs that are the same differ by in rounding",
}

// TestLimitsInPacksAlone fails where Go code holds a number that a rule pack
// names as a limit, in SI or as it is written: a limit that stands in two
// places is changed in one. Of the facts every fraction counts; elsewhere what
// is declared under a name that shares a word with the limit's. The bounds of
// the catalogue pack are many and round: of them the name counts everywhere.
func TestLimitsInPacksAlone(t *testing.T) {
	limits := limitsByValue(t)
	for _, top := range []string{"facts", "kit", "report", "quantities", "../cmd"} {
		eachNumber(t, top, func(file, name, text string, v float64) {
			for _, id := range near(limits, v) {
				named := name != "" && shareWord(name, id)
				fraction := top == "facts" && !strings.HasPrefix(id, "catalogue/") && strings.ContainsAny(text, ".e")
				if !named && !fraction || coincidences[file+" "+text] != "" || coincidences[file+" "+name] != "" {
					continue
				}
				t.Errorf("%s: %s %s is the limit %s; facts get limits handed in (facts.Options), and a coincidence is told in this test", file, name, text, id)
			}
		})
	}
}

// The test would see the two limits that once stood in Go.
func TestLimitsWouldBeSeen(t *testing.T) {
	limits := limitsByValue(t)
	for _, tt := range []struct {
		name string
		v    float64
	}{{"fuseShare", 0.75}, {"dropAllowed", 0.03}} {
		if !slices.ContainsFunc(near(limits, tt.v), func(id string) bool { return shareWord(tt.name, id) }) {
			t.Errorf("a constant %s = %g would not be seen", tt.name, tt.v)
		}
	}
}

func limitsByValue(t *testing.T) map[float64][]string {
	t.Helper()
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
	return limits
}

// near are the limits of just that value, but for rounding.
func near(limits map[float64][]string, v float64) []string {
	var found []string
	for limit, ids := range limits {
		if math.Abs(limit-v) <= 1e-9*math.Abs(v) {
			found = append(found, ids...)
		}
	}
	slices.Sort(found)
	return found
}

// shareWord reports whether a name of Go and the name of a limit have a word
// of four letters or more in common that says something of the thing.
func shareWord(name, id string) bool {
	_, limit, _ := strings.Cut(id, "/")
	words := strings.FieldsFunc(limit, func(r rune) bool { return r == '_' || r == '.' })
	var word strings.Builder
	var own []string
	for _, r := range name + "A" {
		if unicode.IsUpper(r) && word.Len() > 0 {
			own = append(own, strings.ToLower(word.String()))
			word.Reset()
		}
		word.WriteRune(r)
	}
	return slices.ContainsFunc(own, func(w string) bool { return len(w) >= 4 && w != "most" && w != "least" && slices.Contains(words, w) })
}

// eachNumber calls f with every number in the Go code below a folder, and with
// the name under which it is declared, "" where it has none.
func eachNumber(t *testing.T, top string, f func(file, name, text string, v float64)) {
	t.Helper()
	err := filepath.WalkDir(top, func(file string, d fs.DirEntry, err error) error {
		if err != nil || !strings.HasSuffix(file, ".go") || strings.HasSuffix(file, "_test.go") {
			return err
		}
		syntax, err := parser.ParseFile(token.NewFileSet(), file, nil, parser.SkipObjectResolution)
		if err != nil {
			return err
		}
		number := func(name string) func(ast.Node) bool {
			return func(n ast.Node) bool {
				if l, is := n.(*ast.BasicLit); is && (l.Kind == token.INT || l.Kind == token.FLOAT) {
					if v, err := strconv.ParseFloat(l.Value, 64); err == nil && v != 0 {
						f(filepath.ToSlash(file), name, l.Value, v)
					}
				}
				return true
			}
		}
		ast.Inspect(syntax, func(n ast.Node) bool {
			spec, is := n.(*ast.ValueSpec)
			if !is {
				return number("")(n)
			}
			for i, v := range spec.Values {
				ast.Inspect(v, number(spec.Names[min(i, len(spec.Names)-1)].Name))
			}
			return false
		})
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
}

package checker_test

import (
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// imports is the picture of the packages: what each may import of the others.
// Arrows run one way; nothing points back. A package that is not in it fails
// the test, so that its place is thought about.
var imports = map[string][]string{
	"cmd/kitgauge":                {"cmd/kitgauge/command"},
	"cmd/kitgauge/languageserver": {"checker", "checker/edit", "checker/editor", "checker/engine", "checker/facts", "checker/files", "checker/finding", "checker/report", "checker/settings", "checker/slip", "checker/source", "checker/spelling"},
	"cmd/kitgauge/command":        {"checker", "checker/affected", "checker/compare", "checker/edit", "checker/engine", "checker/files", "checker/fill", "checker/finding", "checker/propose", "checker/release", "checker/report", "checker/report/annotations", "checker/report/booklet", "checker/report/circuit", "checker/report/dossier", "checker/report/drawing", "checker/report/junit", "checker/report/markdown", "checker/report/preview", "checker/report/record", "checker/report/sarif", "checker/report/sheet", "checker/report/terminal", "checker/slip", "checker/source", "checker/spelling", "checker/stream", "checker/survey", "checker/units", "checker/visible", "checker/workbook", "cmd/kitgauge/languageserver", "rules", "schema"},

	"checker":                   {"checker/compare", "checker/edit", "checker/engine", "checker/facts", "checker/faultcard", "checker/files", "checker/finding", "checker/internal/once", "checker/kit", "checker/person", "checker/report", "checker/settings", "checker/slip", "checker/source", "checker/spelling", "checker/units", "checker/value", "examples", "rules", "schema"},
	"checker/document":          {},
	"checker/decode":            {"checker/source", "checker/units", "checker/value"},
	"checker/faultcard":         {"checker/decode", "checker/finding", "checker/source", "checker/value"},
	"checker/files":             {"checker/source"},
	"checker/edit":              {"checker/source"},
	"checker/editor":            {"checker/edit", "checker/engine", "checker/facts", "checker/files", "checker/finding", "checker/kit", "checker/settings", "checker/source", "checker/units", "checker/value", "schema"},
	"checker/engine":            {"checker/decode", "checker/edit", "checker/finding", "checker/source", "checker/spelling", "checker/units", "checker/value"},
	"checker/compare":           {"checker/facts", "checker/finding", "checker/kit", "checker/source", "checker/units", "checker/value"},
	"checker/fill":              {"checker", "checker/edit", "checker/facts", "checker/finding", "checker/kit", "checker/source", "checker/units", "checker/value"},
	"checker/finding":           {"checker/edit", "checker/source", "checker/spelling", "checker/units", "checker/visible"},
	"checker/affected":          {"checker", "checker/files", "checker/internal/once", "checker/kit", "checker/report", "checker/settings", "checker/source", "checker/spelling", "schema"},
	"checker/internal/ample":    {},
	"checker/internal/fleet":    {"checker/document", "checker/quantities/bundling", "checker/quantities/dosing", "checker/quantities/environment", "checker/quantities/motion", "checker/quantities/power", "checker/source", "checker/units", "examples"},
	"checker/internal/heavy":    {},
	"checker/internal/generate": {"checker", "checker/engine", "checker/golden", "checker/internal/fleet", "checker/units", "rules", "schema"},
	"checker/browsertest":       {"checker/npmtest"},
	"checker/internal/mutation": {},
	"checker/kit":               {"checker/decode", "checker/quantities/motion", "checker/source", "checker/spelling", "checker/units", "checker/value"},
	"checker/person":            {"checker/visible"},
	"checker/propose":           {"checker", "checker/document", "checker/facts", "checker/finding", "checker/kit", "checker/quantities/bundling", "checker/quantities/dosing", "checker/quantities/environment", "checker/quantities/motion", "checker/quantities/routing", "checker/source", "checker/survey", "checker/units", "checker/value"},
	"checker/release":           {"checker", "checker/files", "checker/finding", "checker/internal/once", "checker/person", "checker/report", "checker/report/record", "checker/source"},
	"checker/settings":          {"checker/decode", "checker/finding", "checker/source", "checker/spelling", "checker/units", "checker/value"},
	"checker/golden":            {},
	"checker/internal/once":     {},
	"checker/npmtest":           {},
	"checker/source":            {},
	"checker/spelling":          {"checker/visible"},
	"checker/stream":            {"checker", "checker/finding", "checker/report", "checker/report/record", "checker/source"},
	"checker/survey":            {"checker/document", "checker/files", "checker/kit", "checker/source", "checker/spelling", "checker/units", "checker/value", "checker/visible", "checker/workbook", "schema"},
	"checker/workbook":          {"checker/units"},
	"checker/units":             {"checker/spelling"},
	"checker/value":             {"checker/source", "checker/units"},
	"checker/visible":           {},

	"checker/facts": {"checker/kit", "checker/person", "checker/quantities/bundling", "checker/quantities/catalogue", "checker/quantities/dosing", "checker/quantities/elastica", "checker/quantities/environment", "checker/quantities/fittings", "checker/quantities/flow", "checker/quantities/motion", "checker/quantities/mounting", "checker/quantities/power", "checker/quantities/procedure", "checker/quantities/routing", "checker/quantities/survey", "checker/source", "checker/units", "checker/value"},

	// the pure quantities know nothing of files, kits or rules
	"checker/quantities/bundling":    {},
	"checker/quantities/catalogue":   {"checker/quantities/mistyped"},
	"checker/quantities/dosing":      {"checker/quantities/ranges"},
	"checker/quantities/elastica":    {},
	"checker/quantities/environment": {},
	"checker/quantities/fittings":    {},
	"checker/quantities/flow":        {"checker/quantities/ranges"},
	"checker/quantities/mistyped":    {},
	"checker/quantities/motion":      {},
	"checker/quantities/mounting":    {},
	"checker/quantities/power":       {"checker/quantities/ranges"},
	"checker/quantities/procedure":   {"checker/spelling"},
	"checker/quantities/ranges":      {},
	"checker/quantities/routing":     {"checker/quantities/motion"},
	"checker/quantities/survey":      {"checker/quantities/mistyped"},

	"checker/report":              {"checker/edit", "checker/engine", "checker/files", "checker/finding", "checker/slip", "checker/source", "checker/visible"},
	"checker/report/annotations":  {"checker/finding", "checker/report", "checker/source"},
	"checker/report/junit":        {"checker/finding", "checker/report"},
	"checker/report/markdown":     {"checker/finding", "checker/report"},
	"checker/report/sarif":        {"checker/finding", "checker/report", "checker/source"},
	"checker/report/dossier":      {"checker", "checker/compare", "checker/engine", "checker/facts", "checker/finding", "checker/report", "checker/report/circuit", "checker/report/drawing", "checker/report/sheet", "checker/report/webpage", "checker/source", "checker/units", "checker/value", "checker/visible", "rules"},
	"checker/report/preview":      {"checker/facts", "checker/finding", "checker/kit", "checker/report", "checker/report/drawing", "checker/units", "checker/value", "checker/visible"},
	"checker/report/circuit":      {"checker/facts", "checker/finding", "checker/kit", "checker/report", "checker/report/drawing", "checker/source", "checker/units", "checker/value"},
	"checker/report/booklet":      {"checker/facts", "checker/finding", "checker/kit", "checker/quantities/procedure", "checker/report", "checker/report/sheet", "checker/report/webpage", "checker/source", "checker/spelling", "checker/units", "checker/value", "checker/visible"},
	"checker/report/webpage":      {"checker/report"},
	"checker/report/drawing":      {"checker/facts", "checker/finding", "checker/kit", "checker/quantities/elastica", "checker/quantities/motion", "checker/report", "checker/source", "checker/spelling", "checker/units", "checker/value"},
	"checker/report/record":       {"checker/compare", "checker/edit", "checker/engine", "checker/finding", "checker/report", "checker/slip", "checker/source"},
	"checker/internal/faultsheet": {"checker", "checker/faultcard", "checker/finding", "checker/report", "checker/source", "examples"},
	"checker/internal/reporttest": {"checker/compare", "checker/engine", "checker/finding", "checker/report", "checker/source"},
	"checker/report/sheet":        {"checker/facts", "checker/finding", "checker/kit", "checker/report", "checker/units", "checker/value", "checker/visible", "checker/workbook"},
	"checker/report/terminal":     {"checker/compare", "checker/engine", "checker/finding", "checker/report", "checker/source", "checker/visible"},

	"examples":     {},
	"rules":        {},
	"schema":       {"checker/source", "checker/spelling"},
	"checker/slip": {"checker/finding", "checker/kit", "checker/quantities/mistyped", "checker/quantities/survey", "checker/source", "checker/spelling", "checker/units"},
}

// only names the one package that may import a library, so that a change of
// the library stays in one place; of workbooks, the one that writes reports and
// the one that reads what people filled in.
var only = map[string]string{
	"go.yaml.in/yaml/v4":                         "checker/source",
	"github.com/google/cel-go":                   "checker/engine",
	"github.com/santhosh-tekuri/jsonschema/v5":   "schema",
	"github.com/evanphx/json-patch/v5":           "checker/faultcard",
	"github.com/fatih/color":                     "checker/report/terminal",
	"github.com/gowebpki/jcs":                    "checker/release",
	"golang.org/x/crypto/ssh":                    "checker/release",
	"github.com/notaryproject/tspclient-go":      "checker/release",
	"golang.org/x/text":                          "checker/person checker/visible",
	"golang.org/x/sync/semaphore":                "checker/stream",
	"golang.org/x/sync/errgroup":                 "checker",
	"github.com/xuri/excelize/v2":                "checker/report/sheet checker/survey checker/workbook",
	"github.com/sourcegraph/jsonrpc2":            "cmd/kitgauge/languageserver",
	"github.com/fsnotify/fsnotify":               "cmd/kitgauge/command",
	"github.com/chromedp":                        "checker/browsertest",
	"github.com/spf13/cobra":                     "cmd/kitgauge/command",
	"github.com/rogpeppe/go-internal/diff":       "cmd/kitgauge/command cmd/kitgauge/languageserver",
	"github.com/rogpeppe/go-internal/testscript": "",
}

func TestImports(t *testing.T) {
	top := os.DirFS("..")
	err := fs.WalkDir(top, ".", func(file string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if d.IsDir() && file != "." && (strings.HasPrefix(d.Name(), ".") || d.Name() == "testdata") {
			return fs.SkipDir
		}
		if !strings.HasSuffix(file, ".go") || strings.HasSuffix(file, "_test.go") {
			return nil
		}
		checkImports(t, file)
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
}

func checkImports(t *testing.T, file string) {
	pkg := path.Dir(file)
	allowed, known := imports[pkg]
	if !known {
		t.Errorf("%s: package %s is not in the picture of imports", file, pkg)
		return
	}
	syntax, err := parser.ParseFile(token.NewFileSet(), filepath.Join("..", filepath.FromSlash(file)), nil, parser.ImportsOnly)
	if err != nil {
		t.Error(err)
		return
	}
	for _, spec := range syntax.Imports {
		name, _ := strconv.Unquote(spec.Path.Value)
		if own, inside := strings.CutPrefix(name, "kitgauge/"); inside && !slices.Contains(allowed, own) {
			t.Errorf("%s imports %s, which is not in the picture of imports", file, own)
		}
		for library, importer := range only {
			if (name == library || strings.HasPrefix(name, library+"/")) && !slices.Contains(strings.Fields(importer), pkg) {
				t.Errorf("%s imports %s, which only %s may", file, name, importer)
			}
		}
	}
}

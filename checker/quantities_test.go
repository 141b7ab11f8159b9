package checker_test

import (
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// sourced is how a test says what it checks a formula against: a standard, a
// handbook, a printed value, or that there is none.
var sourced = regexp.MustCompile(`\b(ISO|DIN|IEC|EN|ASTM|NFPA|SAE|NLGI|ANSI|ASME|BIPM|OSHA|CFR|AWG|NIST)\b[ -]?[\d(]|[Hh]andbook|[Pp]rinted|published|Machinery|[Tt]extbook|[Ii]dentity|[Ii]dentities|common practice, no source|from memory`)

// TestFormulasHaveSources fails where an exported function or method that
// returns a number has no test in its package that names the source of what it
// is checked against.
func TestFormulasHaveSources(t *testing.T) {
	dirs, err := filepath.Glob("quantities/*")
	if err != nil || len(dirs) < 8 {
		t.Fatalf("%d packages of formulas, %v", len(dirs), err)
	}
	for _, dir := range dirs {
		formulas, tests := readFormulas(t, dir)
		for name, at := range formulas {
			if !checkedAgainst(name, tests) {
				t.Errorf("%s: no test of %s names its source: a standard, a handbook, a printed value, identity, %q or %q", at, name, "common practice, no source", "from memory")
			}
		}
	}
}

// checkedAgainst reports whether a test mentions the formula and a source.
func checkedAgainst(name string, tests map[string]string) bool {
	mention := regexp.MustCompile(`\b` + name + `\b`)
	for _, text := range tests {
		if mention.MatchString(text) && sourced.MatchString(text) {
			return true
		}
	}
	return false
}

// readFormulas reads a package: the places of its formulas by name, and the
// texts of its tests, each with those of the variables and helpers that it
// names.
func readFormulas(t *testing.T, dir string) (formulas map[string]string, tests map[string]string) {
	t.Helper()
	formulas, tests = map[string]string{}, map[string]string{}
	files := token.NewFileSet()
	names, err := filepath.Glob(dir + "/*.go")
	if err != nil {
		t.Fatal(err)
	}
	helpers := map[string]string{}
	for _, file := range names {
		text, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		syntax, err := parser.ParseFile(files, file, text, parser.ParseComments|parser.SkipObjectResolution)
		if err != nil {
			t.Fatal(err)
		}
		inTest := strings.HasSuffix(file, "_test.go")
		for _, d := range syntax.Decls {
			source := declText(files, text, d)
			switch d := d.(type) {
			case *ast.FuncDecl:
				switch {
				case !inTest && d.Name.IsExported() && returnsNumber(d):
					formulas[d.Name.Name] = files.Position(d.Pos()).String()
				case inTest && strings.HasPrefix(d.Name.Name, "Test"):
					tests[file+" "+d.Name.Name] = source
				case inTest:
					helpers[d.Name.Name] = source
				}
			case *ast.GenDecl:
				for _, s := range d.Specs {
					if v, is := s.(*ast.ValueSpec); is && inTest {
						helpers[v.Names[0].Name] = source
					}
				}
			}
		}
	}
	for name, text := range tests {
		for helper, more := range helpers {
			if regexp.MustCompile(`\b` + helper + `\b`).MatchString(text) {
				tests[name] += more
			}
		}
	}
	return formulas, tests
}

// declText is a declaration with the comment before it.
func declText(files *token.FileSet, text []byte, d ast.Decl) string {
	from := d.Pos()
	switch d := d.(type) {
	case *ast.FuncDecl:
		if d.Doc != nil {
			from = d.Doc.Pos()
		}
	case *ast.GenDecl:
		if d.Doc != nil {
			from = d.Doc.Pos()
		}
	}
	whole := string(text[files.Position(from).Offset:files.Position(d.End()).Offset])
	return strings.Join(strings.Fields(strings.ReplaceAll(whole, "//", " ")), " ") // what a line breaks
}

// returnsNumber reports whether a function's result is a number, or several.
func returnsNumber(d *ast.FuncDecl) bool {
	if d.Type.Results == nil {
		return false
	}
	for _, r := range d.Type.Results.List {
		of := r.Type
		if list, is := of.(*ast.ArrayType); is {
			of = list.Elt
		}
		if id, is := of.(*ast.Ident); is && (id.Name == "float64" || id.Name == "int") {
			return true
		}
	}
	return false
}

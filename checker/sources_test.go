package checker_test

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"kitgauge/checker"
)

// marks are the words with which a test says where the value comes from that it
// checks against, and a limit where its number comes from: the first that fits.
var marks = []struct {
	kind string
	says *regexp.Regexp
}{
	{"seen", regexp.MustCompile(`(?i)\b(printed|seen)\b.*?[:,]`)},
	{"from memory", regexp.MustCompile(`(?i)\bfrom memory\b`)},
	{"common practice", regexp.MustCompile(`(?i)\bcommon practice, no source\b`)},
	{"recomputed", regexp.MustCompile(`(?i)\b(re)?computed\b.*?[:,]`)},
	{"identity", regexp.MustCompile(`(?i)\b(identit(y|ies)|limit)\b ?[:(]`)},
}

func markOf(text string) string {
	for _, m := range marks {
		if m.says.MatchString(text) {
			return m.kind
		}
	}
	return ""
}

// TestSources counts what the formulas are checked against and what the limits
// rest on, and shows it:
//
//	go test ./checker -run TestSources -v
//
// It fails where less is seen in a source than was once, which is what becomes
// of a check that is thrown out or of a basis that is overwritten.
func TestSources(t *testing.T) {
	checks := map[string]int{}
	countChecks(t, "quantities", checks)
	countChecks(t, "published_test.go", checks)
	t.Logf("checks of formulas: %s", counts(checks))
	if checks["seen"] < 440 {
		t.Errorf("%d checks against a printed value; there were 440", checks["seen"])
	}
	limits := countLimits(t)
	t.Logf("limits: %s", counts(limits))
	if limits["published"] < 125 {
		t.Errorf("%d limits with a published basis; there were 125", limits["published"])
	}
}

func counts(by map[string]int) string {
	var parts []string
	for kind, n := range by {
		parts = append(parts, strconv.Itoa(n)+" "+kind)
	}
	slices.Sort(parts)
	return strings.Join(parts, ", ")
}

// countLimits counts the limits of the packs by their basis.
func countLimits(t *testing.T) map[string]int {
	t.Helper()
	packs, problems := checker.OnExamples().Packs()
	for _, p := range problems {
		t.Fatal(p)
	}
	by := map[string]int{}
	for _, p := range packs {
		for _, l := range p.Limits {
			switch basis := l.Basis; {
			case strings.HasPrefix(basis, "common practice, no source"):
				by["common practice"]++
			case strings.Contains(basis, "no source"):
				by["published in part"]++
			default:
				by["published"]++
			}
		}
	}
	return by
}

// countChecks counts the checks in the tests of a tree by where their values
// come from. A mark in a row of a table stands for the row, one above a table or
// a test for its rows.
func countChecks(t *testing.T, top string, by map[string]int) {
	t.Helper()
	err := filepath.WalkDir(top, func(path string, d fs.DirEntry, err error) error {
		if err != nil || !strings.HasSuffix(path, "_test.go") {
			return err
		}
		files := token.NewFileSet()
		file, err := parser.ParseFile(files, path, nil, parser.ParseComments)
		if err != nil {
			return err
		}
		for _, decl := range file.Decls {
			countDecl(file, decl, by)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
}

// countDecl counts the rows of one declaration: each by its own mark, else by
// that of the comment above, in or before the declaration.
func countDecl(file *ast.File, decl ast.Decl, by map[string]int) {
	above := ""
	for _, c := range file.Comments {
		if c.Pos() >= decl.Pos()-1 && c.End() <= decl.End() || c == docOf(decl) {
			above = firstOf(above, markOf(c.Text()))
		}
	}
	rows, marked := 0, 0
	ast.Inspect(decl, func(n ast.Node) bool {
		switch n := n.(type) {
		case *ast.CompositeLit:
			if rows == 0 && len(n.Elts) > 1 {
				rows = len(n.Elts)
			}
		case *ast.BasicLit:
			if kind := markOf(n.Value); n.Kind == token.STRING && kind != "" {
				by[kind]++
				marked++
			}
		}
		return true
	})
	if above != "" {
		rows = max(1, rows)
		by[above] += rows - min(marked, rows)
	}
}

func firstOf(a, b string) string {
	if a != "" {
		return a
	}
	return b
}

func docOf(decl ast.Decl) *ast.CommentGroup {
	switch d := decl.(type) {
	case *ast.FuncDecl:
		return d.Doc
	case *ast.GenDecl:
		return d.Doc
	}
	return nil
}

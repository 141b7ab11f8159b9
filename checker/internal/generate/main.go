// Generate writes every file of the repository that is made of others, in an
// order in which nothing is read before it is written. A second run changes
// nothing. It is run by
//
//	go generate ./...
//
// Tests only compare: those of this package the files that it makes itself,
// and every test that is called TestGolden... the outputs that it keeps.
package main

import (
	"bytes"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"kitgauge/checker"
	"kitgauge/checker/golden"
	"kitgauge/checker/internal/fleet"
)

// derived are the files that are made here, by their place in the repository,
// in the order in which they are made.
var derived = []made{
	{"schema/kit.schema.json", patterned("kit")},
	{"schema/parts.schema.json", patterned("parts")},
	{"schema/concessions.schema.json", patterned("concessions")},
	{"schema/settings.schema.json", patterned("settings")},
	{"rules/compiled.bin", checker.CompileRules},
	{"rules/README.md", rulesPage},
	{"testdata/kits/large.kit.yaml", func() ([]byte, error) { return fleet.Large(), nil }},
}

// made is a file with what it says.
type made struct {
	file string
	text func() ([]byte, error)
}

func main() {
	if err := run(); err != nil {
		fmt.Fprintln(os.Stderr, "generate:", err)
		os.Exit(1)
	}
}

func run() error {
	top, err := repository()
	if err != nil {
		return err
	}
	for _, d := range derived {
		text, err := d.text()
		if err != nil {
			return fmt.Errorf("%s: %w", d.file, err)
		}
		if err := write(filepath.Join(top, filepath.FromSlash(d.file)), text); err != nil {
			return err
		}
	}
	return refresh(top, "the outputs that tests keep", golden.Prefix)
}

// repository is the directory of the module.
func repository() (string, error) {
	out, err := exec.Command("go", "list", "-m", "-f", "{{.Dir}}").Output()
	return strings.TrimSpace(string(out)), err
}

// write writes a file where it says something else now, and tells of it.
func write(file string, text []byte) error {
	if was, err := os.ReadFile(file); err == nil && bytes.Equal(was, text) {
		return nil
	}
	fmt.Println("written:", filepath.ToSlash(file))
	return os.WriteFile(file, text, 0o644)
}

// refresh runs the tests of that name with the word to write.
func refresh(top, what, tests string) error {
	packages, err := keepers(top, tests)
	if err != nil || len(packages) == 0 {
		return err
	}
	begun := time.Now()
	c := exec.Command("go", append([]string{"test", "-count=1", "-run", "^" + tests}, packages...)...)
	c.Dir, c.Env = top, append(os.Environ(), golden.Variable+"=1")
	out, err := c.CombinedOutput()
	if err != nil {
		return fmt.Errorf("%s: %w\n%s", what, err, out)
	}
	fmt.Printf("%s: %d packages, %.0f s\n", what, len(packages), time.Since(begun).Seconds())
	return nil
}

// keepers are the packages that have tests of that name.
func keepers(top, tests string) ([]string, error) {
	var packages []string
	err := filepath.WalkDir(top, func(file string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if d.IsDir() && file != top && (strings.HasPrefix(d.Name(), ".") || d.Name() == "testdata") {
			return fs.SkipDir
		}
		if !strings.HasSuffix(file, "_test.go") {
			return nil
		}
		text, err := os.ReadFile(file)
		if err != nil || !bytes.Contains(text, []byte("\nfunc "+tests)) {
			return err
		}
		dir, err := filepath.Rel(top, filepath.Dir(file))
		if name := "./" + filepath.ToSlash(dir); !slices.Contains(packages, name) {
			packages = append(packages, name)
		}
		return err
	})
	return packages, err
}

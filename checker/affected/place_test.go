package affected_test

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"kitgauge/checker/affected"
	"kitgauge/checker/files"
)

// The reference is git itself: every test makes a repository with the git
// program and asks which kits its changes concern.

// place is a repository, in which the test runs.
type place struct {
	t   *testing.T
	dir string
}

func repository(t *testing.T) *place {
	t.Helper()
	if _, err := exec.LookPath("git"); err != nil {
		t.Skip("git is not installed")
	}
	p := &place{t, t.TempDir()}
	t.Chdir(p.dir)
	// The settings of the machine and of an enclosing git stay outside.
	for name, value := range map[string]string{
		"GIT_CONFIG_GLOBAL": os.DevNull, "GIT_CONFIG_SYSTEM": os.DevNull,
		"GIT_AUTHOR_NAME": "I. Sandvik", "GIT_AUTHOR_EMAIL": "sandvik@nordhang.example",
		"GIT_COMMITTER_NAME": "I. Sandvik", "GIT_COMMITTER_EMAIL": "sandvik@nordhang.example",
	} {
		t.Setenv(name, value)
	}
	for _, name := range []string{"GIT_DIR", "GIT_WORK_TREE", "GIT_INDEX_FILE"} {
		t.Setenv(name, "")
		os.Unsetenv(name)
	}
	p.git("init", "-q", "-b", "main")
	return p
}

func (p *place) git(args ...string) string {
	p.t.Helper()
	out, err := exec.Command("git", args...).CombinedOutput()
	if err != nil {
		p.t.Fatalf("git %s: %v\n%s", strings.Join(args, " "), err, out)
	}
	return strings.TrimSpace(string(out))
}

func (p *place) write(file, text string) {
	p.t.Helper()
	if err := os.MkdirAll(filepath.Dir(file), 0o777); err != nil {
		p.t.Fatal(err)
	}
	if err := os.WriteFile(file, []byte(text), 0o666); err != nil {
		p.t.Fatal(err)
	}
}

func (p *place) replace(file, old, new string) {
	p.t.Helper()
	text, err := os.ReadFile(file)
	if err != nil {
		p.t.Fatal(err)
	}
	if !strings.Contains(string(text), old) {
		p.t.Fatalf("%s does not hold %q", file, old)
	}
	p.write(file, strings.ReplaceAll(string(text), old, new))
}

func (p *place) commit() string {
	p.t.Helper()
	p.git("add", "-A")
	p.git("commit", "-q", "--allow-empty", "-m", "A change")
	return p.git("rev-parse", "HEAD")
}

// kit is a kit as far as this package reads one: what it names, and parts.
func kit(number, catalogue string, parts ...string) string {
	return fmt.Sprintf("header: {number: %s}\ncatalogues: [%s]\nparts_list:\n%s", number, catalogue, listed(parts))
}

func listed(parts []string) string {
	var b strings.Builder
	for _, p := range parts {
		fmt.Fprintf(&b, "  - {part: %s, quantity: 1}\n", p)
	}
	return b.String()
}

const winter = `title: Winter-service parts
revision: "4"
parts:
  - {number: FG-T4, kind: tube, outer: 4 mm, inner: 2.5 mm}
  - {number: FG-T6, kind: tube, outer: 6 mm, inner: 4 mm}
  - {number: FG-C14, kind: conduit, inner: 14 mm, outer: 18 mm}
`

// fleet is three kits: two use the tube FG-T4, one the tube FG-T6.
func fleet(t *testing.T) (p *place, base string) {
	p = repository(t)
	p.write("parts/winter.parts.yaml", winter)
	p.write("kits/gritter.kit.yaml", kit("WS-1", "../parts/winter.parts.yaml", "FG-T4", "FG-C14"))
	p.write("kits/loader.kit.yaml", kit("WS-2", "../parts/winter.parts.yaml", "FG-T6"))
	p.write("kits/trailer.kit.yaml", kit("WS-3", "../parts/winter.parts.yaml", "FG-T4"))
	return p, p.commit()
}

func find(t *testing.T, revision string, names ...string) *affected.Result {
	t.Helper()
	files, faults := files.Find(names)
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	r, err := affected.Find(t.Context(), affected.Query{Files: files, Below: names, Revision: revision})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// said is a result as lines, for comparison.
func said(r *affected.Result) []string {
	var lines []string
	for _, k := range r.Kits {
		for _, reason := range k.Reasons {
			lines = append(lines, k.File+": "+reason)
		}
	}
	for _, g := range r.Gone {
		lines = append(lines, g+": gone")
	}
	for _, o := range r.Otherwise {
		lines = append(lines, o+": otherwise")
	}
	return lines
}

func expect(t *testing.T, r *affected.Result, want ...string) {
	t.Helper()
	if diff := cmp.Diff(want, said(r)); diff != "" {
		t.Errorf("-want +got:\n%s", diff)
	}
}

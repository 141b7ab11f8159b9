package affected_test

import (
	"os"
	"strings"
	"testing"
	"time"

	"kitgauge/checker/affected"
)

// TestMarked: what git is told to take for unchanged is looked at, and no
// replacement of an object counts.
func TestMarked(t *testing.T) {
	p, base := fleet(t)
	p.git("update-index", "--skip-worktree", "kits/gritter.kit.yaml", "kits/loader.kit.yaml", "parts/winter.parts.yaml")
	p.git("update-index", "--assume-unchanged", "kits/trailer.kit.yaml")
	expect(t, find(t, base, "kits"))
	p.replace("kits/loader.kit.yaml", "quantity: 1", "quantity: 2")
	p.replace("kits/trailer.kit.yaml", "quantity: 1", "quantity: 2")
	expect(t, find(t, base, "kits"), loader+"it changed", trailer+"it changed")
	expect(t, find(t, "HEAD..HEAD", "kits"))
	p.replace("parts/winter.parts.yaml", "inner: 2.5 mm", "inner: 2.4 mm")
	expect(t, find(t, base, "kits"), gritter+"its catalogue parts/winter.parts.yaml changed part FG-T4", loader+"it changed", trailer+"it changed")

	p.git("update-index", "--no-skip-worktree", "kits/gritter.kit.yaml", "kits/loader.kit.yaml", "parts/winter.parts.yaml")
	p.git("update-index", "--no-assume-unchanged", "kits/trailer.kit.yaml")
	p.git("checkout", "-q", ".")
	p.replace("kits/loader.kit.yaml", "quantity: 1", "quantity: 2")
	p.git("add", "-A")
	p.git("replace", p.git("rev-parse", ":kits/loader.kit.yaml"), p.git("rev-parse", "HEAD:kits/loader.kit.yaml"))
	x, err := affected.Staged(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	if text, err := x.Read("kits/loader.kit.yaml", "kits/loader.kit.yaml"); err != nil || string(text) == kit("WS-2", "../parts/winter.parts.yaml", "FG-T6") {
		t.Errorf("got %q, %v", text, err)
	}
}

// TestTimesDoNotHide: a change of the same length, with the time put back, under
// settings that make git look at little else.
func TestTimesDoNotHide(t *testing.T) {
	p, base := fleet(t)
	const file = "kits/loader.kit.yaml"
	p.git("config", "core.checkStat", "minimal")
	p.git("config", "core.trustctime", "false")
	past := time.Now().Add(-time.Hour).Truncate(time.Second)
	os.Chtimes(file, past, past)
	p.git("update-index", "--refresh")
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	p.write("new", strings.ReplaceAll(string(text), "quantity: 1", "quantity: 2")) // a file of its own, with an inode of its own
	os.Rename("new", file)
	os.Chtimes(file, past, past)
	expect(t, find(t, base, "kits"), loader+"it changed")
}

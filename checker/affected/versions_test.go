package affected_test

import (
	"bytes"
	"context"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"kitgauge/checker/affected"
)

// TestVersions: what a file held up to the commit that is checked out, and no
// more.
func TestVersions(t *testing.T) {
	p := repository(t)
	file := filepath.Join(p.dir, "kits", "g.release.json")
	p.write("kits/g.release.json", "one")
	p.commit()
	p.write("kits/g.release.json", "two")
	p.commit()
	p.git("rm", "-q", "kits/g.release.json")
	p.commit()
	p.write("kits/g.release.json", "one") // put back
	p.commit()
	p.git("checkout", "-q", "-b", "elsewhere")
	p.write("kits/g.release.json", "three")
	p.commit()
	p.git("checkout", "-q", "-")
	said := func(list [][]byte) string {
		var words []string
		for _, text := range list {
			words = append(words, string(text))
		}
		return strings.Join(words, " ")
	}
	if got := said(affected.NewHistories(context.Background(), ".release.json").Versions(file)); got != "one two" {
		t.Errorf("got %q, want one two", got)
	}
	for _, other := range []string{filepath.Join(p.dir, "none"), filepath.Join(p.dir, "no", "such"), filepath.Join(t.TempDir(), "x")} {
		if got := affected.NewHistories(context.Background(), ".release.json").Versions(other); len(got) > 0 {
			t.Errorf("%s: got %q", other, got)
		}
	}
}

// TestVersionsPassedOver: a merge that keeps the older side does not hide what
// the other one held, nor does what a clone puts in the place of a commit.
func TestVersionsPassedOver(t *testing.T) {
	p := repository(t)
	const name = "kits/g.release.json"
	p.write(name, "one")
	p.commit()
	p.git("branch", "pr")
	p.write(name, "two")
	two := p.commit()
	p.git("checkout", "-q", "pr")
	p.git("merge", "-q", "-s", "ours", "-m", "Main", "main")
	p.write(name, "three") // which the merge itself makes
	p.git("commit", "-q", "-a", "--amend", "-m", "Main")
	p.write(name, "one")
	p.commit()
	p.git("checkout", "-q", "main")
	p.git("merge", "-q", "--no-ff", "-m", "The change", "pr")
	p.git("replace", two, two+"^")
	p.git("config", "log.diffMerges", "off")
	var got []string
	for _, text := range affected.NewHistories(t.Context(), ".release.json").Versions(filepath.Join(p.dir, name)) {
		got = append(got, string(text))
	}
	slices.Sort(got)
	if want := []string{"one", "three", "two"}; !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
}

// TestVersionsMoved: a file that was moved has what the one of its name held
// elsewhere, behind its own.
func TestVersionsMoved(t *testing.T) {
	p := repository(t)
	for i, name := range []string{"kits/g.release.json", "kits/g.release.json", "fleet/g.release.json", "fleet/other.release.json", "g.release.json"} {
		p.write(name, strconv.Itoa(i))
		p.commit()
	}
	h := affected.NewHistories(t.Context(), ".release.json", ".sig")
	for name, want := range map[string]string{"fleet/g.release.json": "2410", "g.release.json": "4210", "fleet/other.release.json": "3"} {
		if got := string(bytes.Join(h.Versions(filepath.Join(p.dir, name)), nil)); got != want {
			t.Errorf("%s: got %q, want %q", name, got, want)
		}
	}
}

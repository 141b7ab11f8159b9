package affected_test

import (
	"context"
	"path/filepath"
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
	if got := said(affected.Versions(context.Background(), file)); got != "one two" {
		t.Errorf("got %q, want one two", got)
	}
	for _, other := range []string{filepath.Join(p.dir, "none"), filepath.Join(p.dir, "no", "such"), filepath.Join(t.TempDir(), "x")} {
		if got := affected.Versions(context.Background(), other); len(got) > 0 {
			t.Errorf("%s: got %q", other, got)
		}
	}
}

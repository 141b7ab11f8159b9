package affected_test

import (
	"os"
	"slices"
	"strings"
	"testing"

	"kitgauge/checker/affected"
	"kitgauge/checker/files"
)

// TestAmbiguousNames: gitrevisions(7) takes a tag before a branch, and a branch
// before the beginning of a commit's name; nobody who brings one of these may
// have another commit taken for the one that is meant.
func TestAmbiguousNames(t *testing.T) {
	p, base := fleet(t)
	short := base[:9]
	p.replace("kits/loader.kit.yaml", "quantity: 1", "quantity: 2")
	change := p.commit()
	p.git("update-ref", "refs/remotes/origin/main", base)
	expect(t, find(t, "origin/main", "kits"), loader+"it changed")
	for _, ref := range []string{"refs/tags/origin/main", "refs/tags/main", "refs/heads/" + short, "refs/tags/v1-1-g" + short, "refs/tags/refs/heads/gone", "refs/tags/up/main", "refs/heads/beef/x", "refs/tags/release"} {
		p.git("update-ref", ref, change)
	}
	p.git("config", "remote.up.url", "nowhere")
	for _, tt := range []struct{ name, want string }{
		{"origin/main", "as in refs/remotes/origin/main"}, {"main", "as in refs/heads/main"},
		{short, "as in refs/heads/" + short}, {"v1-1-g" + short, "as in refs/tags/"},
		{"refs/heads/gone", "there is no refs/heads/gone"}, {"up/main", "refs/tags/up/main here"},
	} {
		for _, revision := range []string{"%", "%~1", "%^", "%^{commit}", "%..HEAD", "HEAD..%", "%...HEAD", "HEAD...%^"} {
			revision = strings.ReplaceAll(revision, "%", tt.name)
			_, err := affected.Find(t.Context(), affected.Query{Files: []string{"kits/loader.kit.yaml"}, Revision: revision})
			if err == nil || !strings.Contains(err.Error(), tt.want) {
				t.Errorf("--since %s: got %v, want %q", revision, err, tt.want)
			}
		}
		if _, err := affected.Policy(t.Context(), tt.name); err == nil || !strings.Contains(err.Error(), tt.want) {
			t.Errorf("--policy %s: got %v, want %q", tt.name, err, tt.want)
		}
		if _, err := affected.At(t.Context(), tt.name); err == nil || !strings.Contains(err.Error(), tt.want) {
			t.Errorf("%s: got %v, want %q", tt.name, err, tt.want)
		}
	}
	for _, clear := range []string{"refs/remotes/origin/main", "remotes/origin/main", base, base[:12], "HEAD", "@", "heads/main", "release~0", "beef/x", "main@{0}"} {
		if clear == "main@{0}" {
			p.git("tag", "-d", "main")
		}
		if _, err := affected.At(t.Context(), clear); err != nil {
			t.Errorf("%s: %v", clear, err)
		}
	}
}

// TestStagedHidden: the index is searched as the working tree is.
func TestStagedHidden(t *testing.T) {
	p, _ := fleet(t)
	text := kit("WS-5", "")
	for _, name := range []string{"kits/.kit.yaml", "kits/.hid.kit.yaml", ".top.kit.yaml", "kits/.d/a.kit.yaml", ".e/f/a.kit.yaml", "kits/a.kit.YAML", "kits/b.kit.yaml ", "kits/c\uff0ekit.yaml", "away/z.kit.yml", "kits/x/.y/n.txt"} {
		p.write(name, text)
	}
	if err := os.Symlink("../away", "kits/linked"); err != nil {
		t.Skip(err)
	}
	p.git("add", "-A")
	for _, names := range [][]string{{"."}, {"kits"}, {"kits/.d", "away"}, {"kits/.kit.yaml", "kits/.hid.kit.yaml"}} {
		x, err := affected.Staged(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		want, _ := files.Find(names)
		got, _, faults := x.Find(names)
		slices.Sort(want)
		slices.Sort(got)
		if !slices.Equal(got, want) || len(faults) > 0 {
			t.Errorf("%q: got %q, want %q, %v", names, got, want, faults)
		}
		if got, want := x.PassedOver(names), files.PassedOver(names); !slices.Equal(got, want) {
			t.Errorf("%q: passed over are %q, want %q", names, got, want)
		}
	}
}

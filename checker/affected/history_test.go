package affected_test

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"kitgauge/checker/affected"
	"kitgauge/checker/files"
)

// TestRanges: a branch and what happened on main meanwhile.
func TestRanges(t *testing.T) {
	p, _ := fleet(t)
	p.git("checkout", "-q", "-b", "work")
	p.replace("kits/loader.kit.yaml", "quantity: 1", "quantity: 2")
	p.commit()
	p.git("checkout", "-q", "main")
	p.replace("kits/gritter.kit.yaml", "quantity: 1", "quantity: 3")
	p.commit()
	p.git("checkout", "-q", "work")

	expect(t, find(t, "main", "kits"), loader+"it changed")
	expect(t, find(t, "main...work", "kits"), loader+"it changed")
	expect(t, find(t, "main..work", "kits"), gritter+"it changed", loader+"it changed")
	expect(t, find(t, "..main", "kits"), gritter+"it changed", loader+"it changed",
		gritter[:len(gritter)-2]+": otherwise", loader[:len(loader)-2]+": otherwise")
	expect(t, find(t, "work...main", "kits"), gritter+"it changed", "kits/gritter.kit.yaml: otherwise")

	p.replace("kits/trailer.kit.yaml", "quantity: 1", "quantity: 4") // not committed
	p.write("kits/new.kit.yaml", kit("WS-4", "../parts/winter.parts.yaml"))
	expect(t, find(t, "main", "kits"), loader+"it changed", "kits/new.kit.yaml: it is new", trailer+"it changed")
	expect(t, find(t, "main...work", "kits"), loader+"it changed")

	// The catalogue of the end of the range counts, not that of the tree.
	p.replace("parts/winter.parts.yaml", "inner: 4 mm", "inner: 4.1 mm")
	p.commit()
	p.replace("parts/winter.parts.yaml", "inner: 2.5 mm", "inner: 2.4 mm")
	p.replace("parts/winter.parts.yaml", "inner: 4.1 mm", "inner: 4 mm")
	expect(t, find(t, "HEAD^..HEAD", "kits"),
		loader+"its catalogue parts/winter.parts.yaml changed part FG-T6", "kits/new.kit.yaml: it is new", trailer+"it changed")
}

// TestFrom: names are those that were given, wherever the command runs.
func TestFrom(t *testing.T) {
	p, base := fleet(t)
	p.replace("parts/winter.parts.yaml", "inner: 4 mm", "inner: 4.1 mm")
	t.Chdir("kits")
	expect(t, find(t, base, "loader.kit.yaml"), "loader.kit.yaml: its catalogue ../parts/winter.parts.yaml changed part FG-T6")
	expect(t, find(t, base, "../kits"), "../kits/loader.kit.yaml: its catalogue ../parts/winter.parts.yaml changed part FG-T6")
	t.Chdir("../..")
	name := filepath.Base(p.dir)
	expect(t, find(t, base, name+"/kits/loader.kit.yaml", name+"/kits/gritter.kit.yaml"),
		name+"/kits/loader.kit.yaml: its catalogue "+name+"/parts/winter.parts.yaml changed part FG-T6")
	abs := filepath.ToSlash(filepath.Join(p.dir, "kits", "loader.kit.yaml"))
	expect(t, find(t, base, abs), abs+": its catalogue "+name+"/parts/winter.parts.yaml changed part FG-T6")
}

// TestOddNames: names that git would put in quotes, or take for options.
func TestOddNames(t *testing.T) {
	p := repository(t)
	names := []string{"-q.kit.yaml", "a b.kit.yaml", "grüße.kit.yaml", ":(glob)x.kit.yaml"}
	if filepath.Separator == '/' {
		names = append(names, "line\nend.kit.yaml", "tab\t\"quote\\.kit.yaml", "R100.kit.yaml")
	}
	for _, n := range names {
		p.write("kits/"+n, kit("WS-1", "-- parts.parts.yaml", "FG-T4"))
	}
	p.write("kits/-- parts.parts.yaml", winter)
	base := p.commit()
	expect(t, find(t, base, "kits"))

	p.replace("kits/-- parts.parts.yaml", "inner: 2.5 mm", "inner: 2.4 mm")
	var want []string
	for _, n := range names {
		want = append(want, "kits/"+n+": its catalogue kits/-- parts.parts.yaml changed part FG-T4")
	}
	slices.Sort(want)
	expect(t, find(t, base, "kits"), want...)

	p.git("checkout", "-q", ".")
	want = nil
	for _, n := range names {
		p.replace("kits/"+n, "quantity: 1", "quantity: 2")
		want = append(want, "kits/"+n+": it changed")
	}
	slices.Sort(want)
	expect(t, find(t, base, "kits"), want...)
}

func TestLinks(t *testing.T) {
	p := repository(t)
	p.write("shared/winter.parts.yaml", winter)
	p.write("shared/real.kit.yaml", kit("WS-1", "winter.parts.yaml", "FG-T4"))
	p.write("kits/own.kit.yaml", kit("WS-2", "linked.parts.yaml", "FG-T6"))
	for link, to := range map[string]string{"kits/linked.parts.yaml": "../shared/winter.parts.yaml", "kits/linked.kit.yaml": "../shared/real.kit.yaml"} {
		if err := os.Symlink(to, link); err != nil {
			t.Skip(err)
		}
	}
	base := p.commit()
	expect(t, find(t, base, "kits"))
	p.replace("shared/real.kit.yaml", "quantity: 1", "quantity: 2")
	expect(t, find(t, base, "kits"), "kits/linked.kit.yaml: it leads to shared/real.kit.yaml, which changed")
	p.git("checkout", "-q", ".")
	p.replace("shared/winter.parts.yaml", "inner: 2.5 mm", "inner: 2.4 mm")
	expect(t, find(t, base, "kits"), "kits/own.kit.yaml: its catalogue kits/linked.parts.yaml may have changed: it leads to shared/winter.parts.yaml, which changed")
}

func TestSubmodule(t *testing.T) {
	other := repository(t)
	other.write("blower.kit.yaml", kit("WS-8", "winter.parts.yaml", "FG-T4"))
	other.write("winter.parts.yaml", winter)
	other.commit()
	p, _ := fleet(t)
	p.git("-c", "protocol.file.allow=always", "submodule", "-q", "add", other.dir, "kits/other")
	p.write("kits/gritter.kit.yaml", kit("WS-1", "other/winter.parts.yaml", "FG-T4"))
	base := p.commit()
	expect(t, find(t, base, "kits"))
	p.write("kits/other/blower.kit.yaml", kit("WS-8", "winter.parts.yaml", "FG-T6")) // within, not committed
	expect(t, find(t, base, "kits"))
	p.git("-C", "kits/other", "commit", "-q", "-a", "-m", "A change")
	expect(t, find(t, base, "kits"),
		gritter+"its catalogue kits/other/winter.parts.yaml may have changed: it lies in another repository, kits/other, whose commit changed",
		"kits/other/blower.kit.yaml: it lies in another repository, kits/other, whose commit changed")
}

func TestNested(t *testing.T) {
	p, base := fleet(t)
	p.git("init", "-q", "kits/nested")
	p.write("kits/nested/blower.kit.yaml", kit("WS-8", "winter.parts.yaml"))
	expect(t, find(t, base, "kits"), "kits/nested/blower.kit.yaml: it lies in another repository, kits/nested")
}

// TestIgnored: a catalogue that git is told to ignore has no history.
func TestIgnored(t *testing.T) {
	p, _ := fleet(t)
	p.write(".gitignore", "made.parts.yaml\n")
	p.write("kits/loader.kit.yaml", kit("WS-2", "made.parts.yaml", "FG-T6"))
	base := p.commit()
	p.write("kits/made.parts.yaml", winter)
	expect(t, find(t, base, "kits"), loader+"its catalogue kits/made.parts.yaml is new")
}

// TestShallow: a clone of one commit cannot be compared with what it does not
// hold, and can with what was fetched.
func TestShallow(t *testing.T) {
	p, first := fleet(t)
	p.git("checkout", "-q", "-b", "work")
	p.replace("kits/loader.kit.yaml", "quantity: 1", "quantity: 2")
	p.commit()
	p.git("checkout", "-q", "main")
	p.write("README.md", "Read me.\n")
	p.commit()
	clone := filepath.Join(t.TempDir(), "clone")
	p.git("clone", "-q", "--depth", "1", "--branch", "work", "file://"+filepath.ToSlash(p.dir), clone)
	t.Chdir(clone)
	files, faults := files.Find([]string{"kits"})
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	fails := func(revision, want string) {
		t.Helper()
		_, err := affected.Find(t.Context(), affected.Query{Files: files, Revision: revision})
		if err == nil || err.Error() != want {
			t.Errorf("%s: got %v, want %s", revision, err, want)
		}
	}
	fails(first, fmt.Sprintf("there is no revision %q in this clone, which is shallow: its history ends before it; fetch more with git fetch --unshallow, or fetch that revision", first))
	p.git("fetch", "-q", "--depth", "1", "origin", "main:main")
	fails("main", "the history of this shallow clone ends before main and HEAD meet: fetch more with git fetch --unshallow, or compare the two as main..HEAD")
	expect(t, find(t, "main..HEAD", "kits"), loader+"it changed")
	p.git("fetch", "-q", "--unshallow", "origin", "main", "work")
	expect(t, find(t, "main", "kits"), loader+"it changed")
	expect(t, find(t, first, "kits"), loader+"it changed")
}

func TestErrors(t *testing.T) {
	p, base := fleet(t)
	p.git("checkout", "-q", "--orphan", "apart")
	p.write("README.md", "Read me.\n")
	p.commit()
	tests := []struct{ name, revision, want string }{
		{"unknown", "nowhere", `there is no revision "nowhere" in this repository`},
		{"like an option", "--output=x", `there is no revision "--output=x" in this repository`},
		{"no commit", "HEAD^{tree}", `there is no revision "HEAD^{tree}" in this repository`},
		{"unknown end", "HEAD..nowhere", `there is no revision "nowhere" in this repository`},
		{"nothing in common", base, base + " and HEAD have no commit in common: compare the two as " + base + "..HEAD"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			_, err := affected.Find(t.Context(), affected.Query{Files: []string{"kits/loader.kit.yaml"}, Revision: tt.revision})
			if err == nil || err.Error() != tt.want {
				t.Errorf("got %v, want %s", err, tt.want)
			}
		})
	}
	t.Run("no repository", func(t *testing.T) {
		dir := t.TempDir()
		t.Chdir(dir)
		t.Setenv("GIT_CEILING_DIRECTORIES", filepath.Dir(dir))
		_, err := affected.Find(t.Context(), affected.Query{Files: []string{"a.kit.yaml"}, Revision: "HEAD"})
		if err == nil || !strings.HasSuffix(err.Error(), " is not in a git repository, so there is no telling what changed") {
			t.Errorf("got %v", err)
		}
	})
	t.Run("no git", func(t *testing.T) {
		t.Setenv("PATH", t.TempDir())
		_, err := affected.Find(t.Context(), affected.Query{Files: []string{"kits/loader.kit.yaml"}, Revision: "HEAD"})
		if want := "the program git is needed to tell what changed, and is not installed here"; err == nil || err.Error() != want {
			t.Errorf("got %v, want %s", err, want)
		}
	})
	t.Run("cancelled", func(t *testing.T) {
		ctx, cancel := context.WithCancel(t.Context())
		cancel()
		if _, err := affected.Find(ctx, affected.Query{Files: []string{"kits/loader.kit.yaml"}, Revision: "HEAD"}); err != context.Canceled {
			t.Errorf("got %v, want that it was cancelled", err)
		}
	})
}

// TestEnvironment: variables that point git elsewhere, or run something, have
// no effect.
func TestEnvironment(t *testing.T) {
	p, base := fleet(t)
	p.replace("kits/loader.kit.yaml", "quantity: 1", "quantity: 2")
	p.git("config", "core.fsmonitor", "touch "+filepath.ToSlash(p.dir)+"/ran; false")
	p.git("config", "diff.external", "touch "+filepath.ToSlash(p.dir)+"/ran; false")
	p.git("config", "diff.relative", "true")
	p.git("config", "diff.noprefix", "true")
	p.git("config", "status.renames", "false")
	p.git("config", "color.ui", "always")
	os.Remove("ran") // git config asks nobody, but git add might have
	t.Setenv("GIT_DIR", "/nowhere")
	t.Setenv("GIT_EXTERNAL_DIFF", "touch ran")
	t.Setenv("GIT_PAGER", "touch ran")
	t.Chdir("kits")
	expect(t, find(t, base, "."), "loader.kit.yaml: it changed")
	for _, ran := range []string{"ran", "../ran"} {
		if _, err := os.Stat(ran); err == nil {
			t.Error("git ran a program of the configuration")
		}
	}
}

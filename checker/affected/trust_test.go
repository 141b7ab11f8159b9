package affected_test

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"kitgauge/checker/affected"
	"kitgauge/checker/files"
)

// marks has a command that leaves a mark of that name at the top.
func (p *place) marks(name string) string {
	return "touch '" + filepath.ToSlash(p.dir) + "/ran-" + name + "'; cat"
}

// untouched fails where a command left its mark.
func (p *place) untouched() {
	p.t.Helper()
	if ran, _ := filepath.Glob(filepath.Join(p.dir, "ran-*")); len(ran) > 0 {
		p.t.Errorf("git ran %s", ran)
	}
}

// TestNothingFetched: a clone without the blob of a catalogue, whose
// configuration says how to fetch it.
func TestNothingFetched(t *testing.T) {
	p, base := fleet(t)
	object := p.git("rev-parse", "HEAD:parts/winter.parts.yaml")
	for key, value := range map[string]string{
		"core.repositoryformatversion": "1", "extensions.partialClone": "ev", "remote.ev.promisor": "true",
		"remote.ev.url": filepath.ToSlash(p.dir), "remote.ev.uploadpack": p.marks("uploadpack"),
		"core.sshCommand": p.marks("ssh"), "core.askPass": p.marks("prompt"), "credential.helper": "!" + p.marks("helper"),
		"protocol.allow": "always", "protocol.file.allow": "always", "protocol.ext.allow": "always",
	} {
		p.git("config", key, value)
	}
	if err := os.Remove(filepath.Join(".git", "objects", object[:2], object[2:])); err != nil {
		t.Fatal(err)
	}
	p.replace("parts/winter.parts.yaml", "inner: 4 mm", "inner: 4.1 mm")
	ask := func() {
		t.Helper()
		const lacks = "lacks what has to be compared, and nothing is fetched here"
		_, err := affected.Find(t.Context(), affected.Query{Files: []string{"kits/loader.kit.yaml"}, Revision: base})
		if err == nil || !strings.Contains(err.Error(), lacks) {
			t.Errorf("got %v", err)
		}
		at, err := affected.At(t.Context(), "HEAD")
		if err != nil {
			t.Fatal(err)
		}
		if _, err := at.ReadFile(t.Context(), "parts/winter.parts.yaml"); err == nil || !strings.Contains(err.Error(), lacks) {
			t.Errorf("got %v", err)
		}
		p.untouched()
	}
	ask()
	for _, url := range []string{"ext::sh -c " + strings.ReplaceAll(p.marks("ext"), " ", "% "), "ssh://nowhere.invalid/x", "file://" + filepath.ToSlash(p.dir)} {
		p.git("config", "remote.ev.url", url)
		ask()
	}
	p.git("config", "remote.ev.vcs", "evil") // git remote-evil
	t.Setenv("PATH", p.dir+string(os.PathListSeparator)+os.Getenv("PATH"))
	p.write("git-remote-evil", "#!/bin/sh\n"+p.marks("remote")+"\n")
	if err := os.Chmod("git-remote-evil", 0o755); err != nil {
		t.Fatal(err)
	}
	ask()
}

// TestNothingRun: filters, hooks and what else a configuration can name.
func TestNothingRun(t *testing.T) {
	p, _ := fleet(t)
	p.write(".gitattributes", "*.kit.yaml filter=a.b diff=d\n*.parts.yaml filter=long diff=d\n")
	base := p.commit()
	for _, key := range []string{
		"filter.a.b.clean", "filter.a.b.smudge", "filter..clean", "filter.long.process", "diff.d.textconv", "diff.d.command",
		"diff.external", "core.fsmonitor", "core.pager", "core.editor", "pager.diff", "core.alternateRefsCommand",
	} {
		p.git("config", key, p.marks(strings.ReplaceAll(key, ".", "-")))
	}
	p.git("config", "filter.a.b.required", "true")
	p.git("config", "alias.diff", "!"+p.marks("alias"))
	for _, hook := range []string{"post-index-change", "reference-transaction", "post-checkout", "fsmonitor-watchman"} {
		p.write(".git/hooks/"+hook, "#!/bin/sh\n"+p.marks(hook)+"\n")
		if err := os.Chmod(".git/hooks/"+hook, 0o755); err != nil {
			t.Fatal(err)
		}
	}
	p.replace("kits/loader.kit.yaml", "quantity: 1", "quantity: 2")
	p.replace("parts/winter.parts.yaml", "inner: 2.5 mm", "inner: 2.4 mm")
	change := "its catalogue parts/winter.parts.yaml changed part FG-T4"
	expect(t, find(t, base, "kits"), gritter+change, loader+"it changed", trailer+change)
	x, err := affected.Staged(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	if text, err := x.Read("kits/loader.kit.yaml", "kits/loader.kit.yaml"); err != nil || !strings.Contains(string(text), "quantity: 1") {
		t.Errorf("got %q, %v", text, err)
	}
	p.untouched()

	p.write(".gitattributes", "*.kit.yaml filter=a=b\n")
	p.write(".git/config", "[filter \"a=b\"]\n\tclean = \""+p.marks("equals")+"\"\n")
	_, err = affected.Find(t.Context(), affected.Query{Files: []string{"kits/loader.kit.yaml"}, Revision: base})
	if err == nil || !strings.Contains(err.Error(), `a filter with the name "a=b"`) {
		t.Errorf("got %v", err)
	}
	p.untouched()
}

// TestSuperproject: the revision is meant in the repository of the working
// directory, and a kit of another one counts as changed when its commit did.
func TestSuperproject(t *testing.T) {
	other := repository(t)
	other.write("kits/blower.kit.yaml", kit("WS-8", "", "FG-T4"))
	other.write("kits/plough.kit.yaml", kit("WS-9", "", "FG-T4"))
	other.commit()
	p := repository(t)
	p.git("-c", "protocol.file.allow=always", "submodule", "-q", "add", other.dir, "fleet")
	first := p.commit()
	expect(t, find(t, "HEAD", "fleet/kits"))
	p.replace("fleet/kits/blower.kit.yaml", "quantity: 1", "quantity: 3")
	p.git("-C", "fleet", "commit", "-q", "-a", "-m", "A bad kit")
	p.replace("fleet/kits/plough.kit.yaml", "quantity: 1", "quantity: 2")
	p.git("-C", "fleet", "commit", "-q", "-a", "-m", "A harmless one")
	p.commit()
	const moved = ": it lies in another repository, fleet, whose commit changed"
	for _, name := range []string{"fleet/kits", ".", "fleet"} {
		expect(t, find(t, "HEAD~1", name), "fleet/kits/blower.kit.yaml"+moved, "fleet/kits/plough.kit.yaml"+moved)
	}
	expect(t, find(t, first+"..HEAD", "fleet"), "fleet/kits/blower.kit.yaml"+moved, "fleet/kits/plough.kit.yaml"+moved)
	expect(t, find(t, "HEAD", "fleet"))
	t.Chdir("fleet") // whose own revision it is here
	expect(t, find(t, "HEAD~1", "kits"), "kits/plough.kit.yaml: it changed")
	t.Chdir(p.dir)
	p.write("near.kit.yaml", kit("WS-1", ""))
	p.commit()
	expect(t, find(t, "HEAD~1", "near.kit.yaml", other.dir+"/kits/blower.kit.yaml"), "near.kit.yaml: it is new",
		filepath.ToSlash(other.dir)+"/kits/blower.kit.yaml: it lies in another repository, "+relative(t, p.dir, other.dir))

	x, err := affected.Staged(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	found, apart, faults := x.Find([]string{".", "fleet/kits"})
	if len(found) != 1 || len(apart) != 1 || apart[0] != "fleet" || len(faults) != 1 || !strings.Contains(faults[0].Error(), "it lies in another repository, fleet: run this there") {
		t.Errorf("got %v, %v, %v", found, apart, faults)
	}
}

func relative(t *testing.T, dir, file string) string {
	t.Helper()
	name, err := files.Relative(dir, file)
	if err != nil {
		t.Fatal(err)
	}
	return name
}

// TestUnborn: before the first commit every kit is new.
func TestUnborn(t *testing.T) {
	p := repository(t)
	p.write("a.kit.yaml", kit("WS-1", ""))
	expect(t, find(t, "HEAD", "."), "a.kit.yaml: nothing is committed yet")
	p.git("add", "-A")
	expect(t, find(t, "@", "a.kit.yaml"), "a.kit.yaml: nothing is committed yet")
	for _, revision := range []string{"main", "HEAD~1", "HEAD..HEAD"} {
		if _, err := affected.Find(t.Context(), affected.Query{Files: []string{"a.kit.yaml"}, Revision: revision}); err == nil || !strings.Contains(err.Error(), "there is no revision") {
			t.Errorf("%s: got %v", revision, err)
		}
	}
}

// TestIndexLinks: links of the index lead where it leads them, and a conflict is
// told.
func TestIndexLinks(t *testing.T) {
	p, _ := fleet(t)
	for link, to := range map[string]string{
		"kits/near.kit.yaml": "loader.kit.yaml", "way": "kits", "kits/far.kit.yaml": "../../x.kit.yaml", "kits/abs.kit.yaml": "/x.kit.yaml",
		"kits/circle.kit.yaml": "circle.kit.yaml", "kits/other.kit.yaml": "../parts/winter.parts.yaml", "kits/dir.kit.yaml": "../parts",
	} {
		if err := os.Symlink(to, link); err != nil {
			t.Skip(err)
		}
	}
	p.write("tree.kit.yaml", kit("WS-5", ""))
	p.commit()
	p.git("checkout", "-q", "-b", "side")
	p.write("tree.kit.yaml", kit("WS-6", ""))
	p.commit()
	p.git("checkout", "-q", "main")
	p.write("tree.kit.yaml", kit("WS-7", ""))
	p.commit()
	if exec.Command("git", "merge", "-q", "side").Run() == nil {
		t.Fatal("there is no conflict")
	}
	os.RemoveAll("kits") // the working tree has no say
	x, err := affected.Staged(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	for name, want := range map[string]string{
		"kits/near.kit.yaml": "", "way/loader.kit.yaml": "", "way/near.kit.yaml": "",
		"kits/far.kit.yaml": "leads out", "kits/abs.kit.yaml": "leads out", "kits/circle.kit.yaml": "lead in a circle",
		"kits/other.kit.yaml": "a link to winter.parts.yaml", "kits/dir.kit.yaml": "it is a directory", "kits/none.kit.yaml": "git's index does not hold it",
		"tree.kit.yaml": "several versions", "../x.parts.yaml": "outside",
	} {
		text, err := x.Read("kits/gritter.kit.yaml", name)
		said := ""
		if err != nil {
			said = files.PlainError(err)
		}
		if (want == "") != (err == nil) || !strings.Contains(said, want) || want == "" && !strings.Contains(string(text), "WS-2") {
			t.Errorf("%s: got %q, %q, want %q", name, text, said, want)
		}
	}
	if found, _, faults := x.Find([]string{"kits", "kits/loader.kit.yaml", "."}); len(found) != 10 || len(faults) != 0 {
		t.Errorf("got %q, %v", found, faults)
	}
}

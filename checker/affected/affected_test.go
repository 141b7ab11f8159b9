package affected_test

import (
	"os"
	"testing"

	"kitgauge/checker/affected"
	_ "kitgauge/checker/internal/ample"
)

const (
	gritter = "kits/gritter.kit.yaml: "
	loader  = "kits/loader.kit.yaml: "
	trailer = "kits/trailer.kit.yaml: "
)

// TestReasons: one change each to the fleet, committed or not, since main.
func TestReasons(t *testing.T) {
	cat := "its catalogue parts/winter.parts.yaml "
	tests := []struct {
		name   string
		before func(p *place) // also in the fleet at first
		change func(p *place)
		want   []string
	}{
		{"nothing", nil, func(p *place) {}, nil},
		{"a file that is no kit's", nil, func(p *place) { p.write("README.md", "Read me.\n") }, nil},
		{"a kit", nil, func(p *place) { p.replace("kits/loader.kit.yaml", "quantity: 1", "quantity: 2") },
			[]string{loader + "it changed"}},
		{"a new kit", nil, func(p *place) { p.write("kits/blower.kit.yaml", kit("WS-4", "../parts/winter.parts.yaml")) },
			[]string{"kits/blower.kit.yaml: it is new"}},
		{"a kit renamed", nil, func(p *place) { p.git("mv", "kits/loader.kit.yaml", "kits/yard.kit.yaml") },
			[]string{"kits/yard.kit.yaml: it was renamed from kits/loader.kit.yaml", "kits/loader.kit.yaml: gone"}},
		{"a kit deleted", nil, func(p *place) { os.Remove("kits/loader.kit.yaml") },
			[]string{"kits/loader.kit.yaml: gone"}},
		{"a part that two of three use", nil, func(p *place) { p.replace("parts/winter.parts.yaml", "inner: 2.5 mm", "inner: 2.4 mm") },
			[]string{gritter + cat + "changed part FG-T4", trailer + cat + "changed part FG-T4"}},
		{"two parts", nil, func(p *place) {
			p.replace("parts/winter.parts.yaml", "inner: 2.5 mm", "inner: 2.4 mm")
			p.replace("parts/winter.parts.yaml", "18 mm", "19 mm")
		}, []string{gritter + cat + "changed parts FG-C14, FG-T4", trailer + cat + "changed part FG-T4"}},
		{"a part that nobody uses", func(p *place) {
			p.replace("parts/winter.parts.yaml", "  - {number: FG-C14", "  - {number: FG-T8, kind: tube}\n  - {number: FG-C14")
		}, func(p *place) {
			p.replace("parts/winter.parts.yaml", "FG-T8, kind: tube", "FG-T8, kind: tube, outer: 8 mm")
		}, nil},
		{"title, revision, comments and order", nil, func(p *place) {
			p.write("parts/winter.parts.yaml", `# Next winter.
title: Next winter
revision: "5"
parts:
  - {number: FG-C14, kind: conduit, inner: 14 mm, outer: 18 mm}
  - number: FG-T6
    kind: tube
    outer: "6 mm"
    inner: 4 mm
  - {number: FG-T4, kind: tube, outer: 4 mm, inner: 2.5 mm}
`)
		}, nil},
		{"a part taken away", nil, func(p *place) {
			p.replace("parts/winter.parts.yaml", "  - {number: FG-T6, kind: tube, outer: 6 mm, inner: 4 mm}\n", "")
		}, []string{loader + cat + "no longer has part FG-T6"}},
		{"a part added that a kit names already", func(p *place) { p.write("kits/loader.kit.yaml", kit("WS-2", "../parts/winter.parts.yaml", "FG-T8")) },
			func(p *place) {
				p.replace("parts/winter.parts.yaml", "  - {number: FG-C14", "  - {number: FG-T8, kind: tube}\n  - {number: FG-C14")
			}, []string{loader + cat + "now has part FG-T8"}},
		{"a part that is there twice concerns all", nil, func(p *place) {
			p.replace("parts/winter.parts.yaml", "  - {number: FG-C14", "  - {number: FG-T6, kind: tube}\n  - {number: FG-C14")
		}, []string{gritter + cat + "repeats part FG-T6", loader + cat + "repeats part FG-T6", trailer + cat + "repeats part FG-T6"}},
		{"a faulty part that nobody uses concerns all", nil, func(p *place) {
			p.replace("parts/winter.parts.yaml", "  - {number: FG-C14", "  - {number: FG-T9, kind: tube, outer: wide}\n  - {number: FG-C14")
		}, []string{gritter + cat + "changed and is faulty", loader + cat + "changed and is faulty", trailer + cat + "changed and is faulty"}},
		{"a catalogue that cannot be read any more", nil, func(p *place) { p.write("parts/winter.parts.yaml", "parts: [") },
			[]string{gritter + cat + "changed and is faulty", loader + cat + "changed and is faulty", trailer + cat + "changed and is faulty"}},
		{"a catalogue that can be read again", func(p *place) { p.replace("parts/winter.parts.yaml", "parts:", "parst:") },
			func(p *place) { p.replace("parts/winter.parts.yaml", "parst:", "parts:") },
			[]string{gritter + cat + "changed and was faulty", loader + cat + "changed and was faulty", trailer + cat + "changed and was faulty"}},
		{"a catalogue deleted", nil, func(p *place) { os.Remove("parts/winter.parts.yaml") },
			[]string{gritter + cat + "is gone", loader + cat + "is gone", trailer + cat + "is gone"}},
		{"a catalogue that was missing", func(p *place) { p.write("kits/loader.kit.yaml", kit("WS-2", "own.parts.yaml", "FG-T6")) },
			func(p *place) { p.write("kits/own.parts.yaml", winter) },
			[]string{loader + "its catalogue kits/own.parts.yaml is new"}},
		{"concessions", nil, func(p *place) { p.write("kits/loader.concessions.yaml", "concessions: []\n") },
			[]string{loader + "its file of concessions kits/loader.concessions.yaml is new"}},
		{"settings", func(p *place) { p.write("kitgauge.settings.yaml", "gate: major\n") },
			func(p *place) { p.write("kitgauge.settings.yaml", "gate: minor\n") },
			[]string{gritter + "its settings kitgauge.settings.yaml changed", loader + "its settings kitgauge.settings.yaml changed", trailer + "its settings kitgauge.settings.yaml changed"}},
		{"settings above nearer ones", func(p *place) {
			p.write("kitgauge.settings.yaml", "gate: major\n")
			p.write("kits/kitgauge.settings.yaml", "gate: major\n")
		}, func(p *place) { p.write("kitgauge.settings.yaml", "gate: minor\n") },
			[]string{gritter + "its settings kitgauge.settings.yaml changed", loader + "its settings kitgauge.settings.yaml changed", trailer + "its settings kitgauge.settings.yaml changed"}},
		{"nearer settings", func(p *place) {
			p.write("kitgauge.settings.yaml", "gate: major\n")
			p.write("kits/old/plough.kit.yaml", kit("WS-9", "../../parts/winter.parts.yaml"))
		}, func(p *place) { p.write("kits/old/kitgauge.settings.yaml", "gate: none\n") },
			[]string{"kits/old/plough.kit.yaml: the settings kits/old/kitgauge.settings.yaml apply to it now"}},
		{"settings taken away", func(p *place) { p.write("kits/kitgauge.settings.yaml", "gate: major\n") },
			func(p *place) { os.Remove("kits/kitgauge.settings.yaml") },
			[]string{
				gritter + "the settings kits/kitgauge.settings.yaml apply to it no more",
				loader + "the settings kits/kitgauge.settings.yaml apply to it no more",
				trailer + "the settings kits/kitgauge.settings.yaml apply to it no more",
			}},
		{"a rule pack", func(p *place) {
			p.write("kits/kitgauge.settings.yaml", "packs: {add: [../rules/yard.pack.yaml]}\n")
			p.write("rules/yard.pack.yaml", "pack: yard\n")
		}, func(p *place) { p.write("rules/yard.pack.yaml", "pack: yard\ntitle: The yard\n") },
			[]string{gritter + "its rule pack rules/yard.pack.yaml changed", loader + "its rule pack rules/yard.pack.yaml changed", trailer + "its rule pack rules/yard.pack.yaml changed"}},
		{"a kit of several documents", func(p *place) {
			p.write("kits/loader.kit.yaml", kit("WS-2", "../parts/winter.parts.yaml", "FG-T6")+"---\n"+kit("WS-5", "../parts/winter.parts.yaml", "FG-T4"))
		}, func(p *place) { p.replace("parts/winter.parts.yaml", "inner: 2.5 mm", "inner: 2.4 mm") },
			[]string{gritter + cat + "changed part FG-T4", loader + cat + "changed part FG-T4", trailer + cat + "changed part FG-T4"}},
		{"a kit that cannot be read", func(p *place) { p.write("kits/loader.kit.yaml", "header: [") },
			func(p *place) { p.replace("parts/winter.parts.yaml", "inner: 4 mm", "inner: 4.1 mm") }, nil},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			p, base := fleet(t)
			if tt.before != nil {
				tt.before(p)
				base = p.commit()
			}
			tt.change(p)
			expect(t, find(t, base, "kits"), tt.want...)
			p.git("add", "-A")
			expect(t, find(t, base, "kits"), tt.want...)
			p.commit()
			expect(t, find(t, base, "kits"), tt.want...)
			expect(t, find(t, base+"..HEAD", "kits"), tt.want...)
			expect(t, find(t, base+"...", "kits"), tt.want...)
		})
	}
}

// TestIncludeChain: a change far down a chain of included catalogues is seen,
// under the name of the file in which it is.
func TestIncludeChain(t *testing.T) {
	p := repository(t)
	p.write("a.kit.yaml", kit("WS-1", "parts/top.parts.yaml", "FG-T4"))
	p.write("b.kit.yaml", kit("WS-2", "parts/top.parts.yaml", "FG-T6"))
	p.write("parts/top.parts.yaml", "include: [deep/tubes.parts.yaml]\nparts: []\n")
	p.write("parts/deep/tubes.parts.yaml", "include: [../more/small.parts.yaml]\nparts:\n  - {number: FG-T6, kind: tube, outer: 6 mm}\n")
	p.write("parts/more/small.parts.yaml", "parts:\n  - {number: FG-T4, kind: tube, outer: 4 mm}\n")
	base := p.commit()

	p.replace("parts/more/small.parts.yaml", "4 mm", "4.2 mm")
	expect(t, find(t, base, "."), "a.kit.yaml: its catalogue parts/more/small.parts.yaml changed part FG-T4")

	p.write("parts/more/small.parts.yaml", "parts: []\n")
	p.write("parts/deep/tubes.parts.yaml", "parts:\n  - {number: FG-T4, kind: tube, outer: 4 mm}\n  - {number: FG-T6, kind: tube, outer: 6 mm}\n")
	expect(t, find(t, base, ".")) // moved from one file to the other, as it was

	p.git("checkout", "-q", ".")
	p.replace("parts/deep/tubes.parts.yaml", "include: [../more/small.parts.yaml]\n", "")
	expect(t, find(t, base, "."), "a.kit.yaml: its catalogues no longer include parts/more/small.parts.yaml with part FG-T4")

	p.git("checkout", "-q", ".")
	os.Remove("parts/more/small.parts.yaml")
	expect(t, find(t, base, "."),
		"a.kit.yaml: its catalogue parts/more/small.parts.yaml is gone",
		"b.kit.yaml: its catalogue parts/more/small.parts.yaml is gone")

	p.git("checkout", "-q", ".")
	p.write("parts/more/small.parts.yaml", "include: [../top.parts.yaml]\nparts:\n  - {number: FG-T4, kind: tube, outer: 4 mm}\n")
	const circle = ": its catalogue parts/more/small.parts.yaml changed, and with it the files that are included"
	expect(t, find(t, base, "."), "a.kit.yaml"+circle, "b.kit.yaml"+circle)
}

// TestAlso: a settings file for all, and further files that concern all.
func TestAlso(t *testing.T) {
	p, _ := fleet(t)
	p.write("ci/strict.yaml", "gate: minor\n")
	p.write("known.txt", "\n")
	base := p.commit()
	query := affected.Query{Files: []string{"kits/loader.kit.yaml"}, Revision: base, Settings: "ci/strict.yaml", Also: []string{"known.txt"}}
	ask := func(want ...string) {
		t.Helper()
		r, err := affected.Find(t.Context(), query)
		if err != nil {
			t.Fatal(err)
		}
		expect(t, r, want...)
	}
	ask()
	p.write("kits/kitgauge.settings.yaml", "gate: none\n") // does not apply
	ask()
	p.write("ci/strict.yaml", "gate: major\n")
	ask(loader + "its settings ci/strict.yaml changed")
	p.write("known.txt", "# known\n")
	ask(loader+"known.txt changed", loader+"its settings ci/strict.yaml changed")
}

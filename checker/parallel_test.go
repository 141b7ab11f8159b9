package checker_test

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"kitgauge/checker"
	"kitgauge/checker/files"
	"kitgauge/checker/internal/fleet"
	"kitgauge/checker/report"
	"kitgauge/checker/report/record"
	"kitgauge/examples"
)

// mixedFleet writes kits of all kinds: generated and example ones, clean and
// faulty, under settings of their own and without, with concessions, with one
// catalogue that all of them use, and with what is no kit.
func mixedFleet(t *testing.T) (kits []string) {
	t.Helper()
	dir := t.TempDir()
	put := func(name string, text []byte) {
		t.Helper()
		file := filepath.Join(dir, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(file), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(file, text, 0o644); err != nil {
			t.Fatal(err)
		}
		if files.IsKitName(name) {
			kits = append(kits, file)
		}
	}
	parts, err := examples.ReadFile("", "parts/winter.parts.yaml")
	if err != nil {
		t.Fatal(err)
	}
	put(".git/HEAD", nil) // one tree
	put("parts/winter.parts.yaml", parts)
	put("wet/kitgauge.settings.yaml", []byte("packs: {leave_out: [flow], add: [house.pack.yaml]}\nlimits:\n  slack/steered_slack: {is: 400 mm, reason: deep ruts}\ngate: minor\n"))
	put("wet/house.pack.yaml", []byte(`pack: house
title: House rules
rules:
  - id: sorted
    title: Some kits are for the west
    of: kit
    must: kit.header.number.startsWith("W")
    severity: minor
    says: the number is {kit.header.number}
    basis: common practice, no source
    why: Theirs is another shelf.
`))
	for i := range 6 {
		kit, err := fleet.New(uint64(i), 4+4*i, fleet.Options{Catalogue: "../parts/winter.parts.yaml"})
		if err != nil {
			t.Fatal(err)
		}
		text := kit.YAML()
		if i%3 == 0 { // with a fault
			text = bytes.Replace(text, []byte("outlet: 1"), []byte("outlet: 2"), 1)
		}
		put(fmt.Sprintf("%s/%02d.kit.yaml", []string{"wet", "dry"}[i%2], i), text)
	}
	for _, name := range []string{"trailer", "gritter"} {
		_, text, _ := examples.Kit(name)
		put("dry/"+name+".kit.yaml", text)
		put("wet/"+name+".kit.yaml", text)
	}
	put("dry/trailer.concessions.yaml", []byte("concessions:\n  - {rule: slack/sprung, place: the kit, reason: none, granted_by: R. Okafor, until: 2030-01-01}\n"))
	put("dry/none.kit.yaml", []byte("milk\n"))
	put("dry/torn.kit.yaml", []byte("header: {number: WS-1\n"))
	put("wet/lost.kit.yaml", []byte("header: {number: WS-2}\ncatalogues: [nowhere.parts.yaml]\npump: {part: SG-P4}\n"))
	return kits
}

// recorded is the whole result of a kit as JSON.
func recorded(c *checker.Checker, file string) (string, error) {
	text, err := files.ReadFile(file)
	if err != nil {
		return "", err
	}
	results, err := c.Check(file, text)
	if err != nil {
		return "", err
	}
	var run report.Run
	for _, r := range results {
		run.Kits = append(run.Kits, r.Kit)
	}
	var b strings.Builder
	err = record.Write(&b, run)
	for _, in := range results[0].Inputs {
		fmt.Fprintln(&b, in.Role, in.Name, len(in.Text))
	}
	for _, k := range run.Kits {
		for i := range k.Findings {
			fmt.Fprintln(&b, k.Excerpt(k.Findings[i].Pos))
		}
	}
	return b.String(), err
}

// TestParallelUse has many goroutines use one Checker, and several Checkers at
// once, on kits that share catalogues, settings and packs. Every result is that
// of a Checker which does nothing else.
func TestParallelUse(t *testing.T) {
	kits := mixedFleet(t)
	options := checker.Options{On: "2026-11-25", Margins: true}
	want := make([]string, len(kits))
	lent := checker.New(options)
	for i, file := range kits {
		var err error
		if want[i], err = recorded(lent.With(options), file); err != nil {
			t.Fatal(err)
		}
	}
	for name, checkers := range map[string][]*checker.Checker{
		"one": {checker.New(options)}, "several": {checker.New(options), lent.With(options)},
	} {
		t.Run(name, func(t *testing.T) {
			var all sync.WaitGroup
			for n, c := range checkers {
				for g := range 4 / len(checkers) {
					all.Go(func() {
						for i := range kits {
							i = (i + 5*n + 3*g) % len(kits) // each begins with another
							got, err := recorded(c, kits[i])
							if err != nil || got != want[i] {
								t.Errorf("%s: another result than when alone (%v)", filepath.Base(kits[i]), err)
							}
						}
					})
				}
			}
			all.Wait()
		})
	}
}

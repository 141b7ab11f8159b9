package drawing_test

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"kitgauge/checker"
	"kitgauge/checker/internal/fleet"
	"kitgauge/checker/report/drawing"
)

var shots = flag.String("shots", "", "write the sheets of some kits to this directory")

func TestShots(t *testing.T) {
	if *shots == "" {
		t.Skip("asked for with -shots")
	}
	c := checker.New(checker.Options{ReadFile: fleet.ReadFile, NoSettings: true, Packs: []string{}})
	k, err := fleet.New(1, 200, fleet.Options{})
	if err != nil {
		t.Fatal(err)
	}
	ex := examples(t)
	for name, r := range map[string]*checker.Result{"gritter": ex["gritter.kit.yaml"], "large": ex["large.kit.yaml"], "faulty": ex["gritter-faulty.kit.yaml"], "trailer": ex["trailer.kit.yaml"], "loader": ex["loader.kit.yaml"], "two-hundred": check(t, c, "fleet.kit.yaml", k.YAML())} {
		for _, p := range drawing.Papers() {
			list := drawing.Sheets(drawing.Input{Kit: r.Facts, Findings: r.Findings, Paper: p})
			for _, s := range list {
				file := filepath.Join(*shots, fmt.Sprintf("%s-%s-%02d-%s.svg", name, p, s.Number, s.Name))
				if err := os.WriteFile(file, s.SVG, 0o666); err != nil {
					t.Fatal(err)
				}
				if err := read(t, s.SVG).legible(); err != nil {
					t.Errorf("%s %s %d: %v", name, p, s.Number, err)
				}
			}
			t.Logf("%s %s: %d sheets", name, p, len(list))
		}
	}
}

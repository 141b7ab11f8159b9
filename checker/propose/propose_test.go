package propose_test

import (
	"fmt"
	"testing"

	"kitgauge/checker/finding"
	"kitgauge/checker/internal/fleet"
	"kitgauge/checker/propose"
	"kitgauge/checker/source"
	"kitgauge/checker/survey"
	"kitgauge/examples"
)

func parse(t testing.TB, text []byte) *source.Node {
	t.Helper()
	docs, problems := source.Parse("test.kit.yaml", text)
	if len(problems) > 0 {
		t.Fatal(problems[0])
	}
	return docs[0].Root
}

// proposed makes a kit of the survey of another.
func proposed(t testing.TB, text []byte) *propose.Proposal {
	t.Helper()
	p, err := propose.New(survey.FromKit(parse(t, text)).Kit(), propose.Options{
		File: "proposed.kit.yaml", Catalogues: []string{"winter.parts.yaml"}, ReadFile: fleet.ReadFile,
	})
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// A kit that is proposed of the survey of an example is within the gate, but
// for what is marked open.
func TestExamples(t *testing.T) {
	for _, name := range []string{"trailer", "loader", "gritter"} {
		t.Run(name, func(t *testing.T) {
			_, text, _ := examples.Kit(name)
			p := proposed(t, text)
			for _, o := range p.Open {
				t.Logf("open %s: %s", o.Place, o.Says)
			}
			for _, f := range p.Result.Findings {
				if f.AtOrAbove(finding.Major) {
					t.Errorf("%s: %s: %s", f.Rule, f.Place, f.Message)
				}
			}
			if testing.Verbose() {
				fmt.Println(string(p.Text))
			}
		})
	}
}

// The same for generated kits of all sizes.
func TestFleet(t *testing.T) {
	within, kits := 0, 0
	for _, seed := range []uint64{4, 5, 15, 19, 23, 24} {
		k, err := fleet.New(seed, fleet.LeastPoints+int(seed*8/3), fleet.Options{})
		if err != nil {
			t.Fatal(err)
		}
		p := proposed(t, k.YAML())
		kits++
		bad := false
		for _, f := range p.Result.Findings {
			if f.AtOrAbove(finding.Major) {
				bad = true
				t.Logf("fleet %d: %s: %s: %s", seed, f.Rule, f.Place, f.Message)
			}
		}
		if !bad {
			within++
		}
	}
	t.Logf("%d of %d within the gate", within, kits)
}

// Stations on no way are joined by nearness.
func TestNearness(t *testing.T) {
	for _, name := range []string{"trailer", "loader", "gritter"} {
		_, text, _ := examples.Kit(name)
		part := survey.FromKit(parse(t, text)).Kit()
		for i := range part.Stations {
			part.Stations[i].Way = ""
		}
		p, err := propose.New(part, propose.Options{File: "proposed.kit.yaml", Catalogues: []string{"winter.parts.yaml"}, ReadFile: fleet.ReadFile})
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range p.Result.Findings {
			if f.AtOrAbove(finding.Minor) {
				t.Logf("%s %s: %s: %s: %s", name, f.Severity, f.Rule, f.Place, f.Message)
			}
		}
		t.Logf("%s: %d lines, %d bundles", name, p.Lines, p.Ways)
	}
}

package propose_test

import (
	"bytes"
	"flag"
	"fmt"
	"math/rand/v2"
	"reflect"
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

// outside are the findings that keep a kit outside the gate.
func outside(p *propose.Proposal) []string {
	var list []string
	for _, f := range p.Result.Findings {
		if f.AtOrAbove(finding.Major) {
			list = append(list, fmt.Sprintf("%s: %s: %s", f.Rule, f.Place, f.Message))
		}
	}
	return list
}

// A kit that is proposed of the survey of an example is within the gate, and
// nothing is left open; what was surveyed is in it as it was.
func TestExamples(t *testing.T) {
	for _, name := range []string{"trailer", "loader", "gritter"} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			_, text, _ := examples.Kit(name)
			p := proposed(t, text)
			for _, o := range p.Open {
				t.Errorf("open: %s: %s", o.Place, o.Says)
			}
			for _, found := range outside(p) {
				t.Error(found)
			}
			was, is := survey.FromKit(parse(t, text)), survey.FromKit(parse(t, p.Text))
			surveyed, here := places(parse(t, text)), places(parse(t, p.Text))
			for place := range here {
				if !surveyed[place] {
					t.Errorf("nobody surveyed a station at %s", place)
				}
			}
			if len(here) == 0 {
				t.Error("no station is used")
			}
			for i, sheet := range was.Sheets {
				if sheet.Name != "stations" && !reflect.DeepEqual(sheet.Rows, is.Sheets[i].Rows) {
					t.Errorf("%s: surveyed\n%v\nproposed\n%v", sheet.Name, sheet.Rows, is.Sheets[i].Rows)
				}
			}
		})
	}
}

// places are where a kit has stations.
func places(root *source.Node) map[string]bool {
	all := map[string]bool{}
	for _, list := range [][2]string{{"bundles", "route"}, {"lines", "tail"}} {
		for _, thing := range root.Get(list[0]).Items {
			if route := thing.Get(list[1]); route != nil {
				for _, s := range route.Items {
					all[fmt.Sprint(s.Get("body").Scalar, s.Get("position").Plain())] = true
				}
			}
		}
	}
	return all
}

// The same survey gives the same bytes.
func TestSameBytes(t *testing.T) {
	_, text, _ := examples.Kit("trailer")
	if a, b := proposed(t, text), proposed(t, text); !bytes.Equal(a.Text, b.Text) || !reflect.DeepEqual(a.Open, b.Open) {
		t.Error("two proposals differ")
	}
}

var kits = flag.Int("kits", 2, "how many generated kits TestFleet proposes anew")

// Generated kits of all sizes, proposed anew from their surveys. One that is
// outside the gate says so at the place: testdata/measured/proposals.md tells
// of how many that is.
func TestFleet(t *testing.T) {
	within := 0
	for i := range *kits {
		points := fleet.LeastPoints + i*(84-fleet.LeastPoints)/max(*kits, 5)
		k, err := fleet.New(uint64(i), points, fleet.Options{})
		if err != nil {
			t.Fatal(err)
		}
		s := survey.FromKit(parse(t, k.YAML()))
		p := proposed(t, k.YAML())
		found := outside(p)
		for _, f := range found {
			t.Logf("fleet %d, %d points: %s", i, points, f)
		}
		if len(found) == 0 {
			within++
		}
		if len(found) > len(p.Open) {
			t.Errorf("fleet %d: %d findings, of which %d are told", i, len(found), len(p.Open))
		}
		t.Logf("fleet %d, %d points: %d values surveyed, %d open", i, points, s.Count(), len(p.Open))
	}
	t.Logf("%d of %d within the gate", within, *kits)
	if *kits <= 2 && within < *kits {
		t.Error("a small kit is outside the gate")
	}
}

// Stations on no way are joined by nearness.
func TestNearness(t *testing.T) {
	_, text, _ := examples.Kit("trailer")
	part := survey.FromKit(parse(t, text)).Kit()
	for i := range part.Stations {
		part.Stations[i].Way = ""
	}
	p, err := propose.New(part, propose.Options{File: "proposed.kit.yaml", Catalogues: []string{"winter.parts.yaml"}, ReadFile: fleet.ReadFile})
	if err != nil {
		t.Fatal(err)
	}
	for _, found := range outside(p) {
		t.Error(found)
	}
	if p.Lines != len(part.Points) || p.Ways == 0 {
		t.Errorf("%d lines in %d bundles", p.Lines, p.Ways)
	}
}

// A survey of which a quarter of the cells is missing still becomes a kit, and
// all that lacks is told.
func TestSparse(t *testing.T) {
	_, text, _ := examples.Kit("trailer")
	for seed := range *kits {
		s := survey.FromKit(parse(t, text))
		r := rand.New(rand.NewPCG(uint64(seed), 0))
		for _, sheet := range s.Sheets {
			for _, row := range sheet.Rows {
				for i := range row {
					if r.IntN(4) == 0 {
						row[i].Text = ""
					}
				}
			}
		}
		p, err := propose.New(s.Kit(), propose.Options{File: "proposed.kit.yaml", Catalogues: []string{"winter.parts.yaml"}, ReadFile: fleet.ReadFile})
		if err != nil {
			t.Fatalf("%d: %v", seed, err)
		}
		if len(outside(p)) > 0 && len(p.Open) == 0 {
			t.Errorf("%d: nothing is told", seed)
		}
		parse(t, p.Text)
	}
}

package propose_test

import (
	"bytes"
	"flag"
	"fmt"
	"math/rand/v2"
	"reflect"
	"strings"
	"testing"

	"kitgauge/checker/files"
	"kitgauge/checker/finding"
	_ "kitgauge/checker/internal/ample"
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

var (
	kits    = flag.Int("kits", 2, "how many generated kits TestFleet proposes anew")
	measure = flag.Bool("measure", false, "write testdata/measured/proposals.md: some minutes with -kits 40")
)

// Generated kits of all sizes, proposed anew from their surveys. One that is
// outside the gate says so at the place: testdata/measured/proposals.md tells
// of how many that is.
func TestFleet(t *testing.T) {
	page := "# Kits proposed of surveys\n\n" +
		"The examples, and generated kits of all sizes (checker/internal/fleet), each turned into a survey and\n" +
		"proposed anew. values: what stands in the cells of the survey, and in the kit that is proposed. open: what\n" +
		"is told as left to a person. Written by \"go test ./checker/propose -run Fleet -kits 40 -measure -timeout 60m\".\n\n" +
		"| kit | points | values surveyed | values of the kit | bundles | open | outside the gate |\n| --- | ---: | ---: | ---: | ---: | ---: | --- |\n"
	within := 0
	tell := func(name string, s *survey.Survey, p *propose.Proposal) []string {
		found := outside(p)
		if len(found) == 0 {
			within++
		}
		if len(found) > len(p.Open) {
			t.Errorf("%s: %d findings, of which %d are told", name, len(found), len(p.Open))
		}
		page += fmt.Sprintf("| %s | %d | %d | %d | %d | %d | %s |\n", name, p.Lines, s.Count(), leaves(parse(t, p.Text)), p.Ways, len(p.Open), strings.Join(found, "; "))
		return found
	}
	add := func(name string, text []byte) []string {
		return tell(name, survey.FromKit(parse(t, text)), proposed(t, text))
	}
	for i := range *kits {
		k, err := fleet.New(uint64(i), fleet.LeastPoints+2*i, fleet.Options{})
		if err != nil {
			t.Fatal(err)
		}
		for _, found := range add(fmt.Sprintf("fleet %d", i), k.YAML()) {
			t.Logf("fleet %d: %s", i, found)
		}
	}
	if *kits <= 2 && within < *kits {
		t.Error("a small kit is outside the gate")
	}
	if !*measure {
		return
	}
	for _, name := range []string{"trailer", "loader", "gritter"} {
		_, text, _ := examples.Kit(name)
		add(name, text)
	}
	tell("tipping trailer, surveyed by hand", tippingTrailer(t), byHand(t))
	page += fmt.Sprintf("\n%d of %d are within the gate.\n", within, *kits+4)
	var set files.Set
	if err := set.Write("../../testdata/measured/proposals.md", []byte(page)); err != nil {
		t.Fatal(err)
	}
}

// leaves counts the values of a kit.
func leaves(n *source.Node) int {
	if n.Kind != source.Map && n.Kind != source.List {
		return 1
	}
	sum := 0
	for _, item := range n.Items {
		sum += leaves(item)
	}
	return sum
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
	for seed := range max(1, *kits/2) {
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
		for _, o := range p.Open {
			if says := strings.Join(strings.Fields(o.Says), " "); !strings.Contains(strings.Join(strings.Fields(string(p.Text)), " "), says) {
				t.Errorf("%d: %s: %q is not marked in the kit", seed, o.Place, o.Says)
			}
		}
	}
}

// tippingTrailer is a survey that somebody wrote by hand, of an invented trailer
// that is no example: twelve points, and stations on ways.
func tippingTrailer(t testing.TB) *survey.Survey {
	t.Helper()
	s, problems, err := survey.Read("testdata/tipping-trailer")
	if err != nil || len(problems) > 0 {
		t.Fatal(err, problems)
	}
	return s
}

func byHand(t testing.TB) *propose.Proposal {
	t.Helper()
	p, err := propose.New(tippingTrailer(t).Kit(), propose.Options{File: "proposed.kit.yaml", Catalogues: []string{"winter.parts.yaml"}, ReadFile: fleet.ReadFile})
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func TestByHand(t *testing.T) {
	p := byHand(t)
	for _, o := range p.Open {
		t.Errorf("open: %s: %s", o.Place, o.Says)
	}
	if typed, made := tippingTrailer(t).Count(), leaves(parse(t, p.Text)); p.Lines != 12 || typed > made*2/3 {
		t.Errorf("%d lines of %d values, which is more than two thirds of %d", p.Lines, typed, made)
	}
}

// A part that not every rule could judge is not proposed: what is missing is
// said, and the member is not there.
func TestUnjudged(t *testing.T) {
	t.Parallel()
	s := tippingTrailer(t)
	cut := 0
	for _, sheet := range s.Sheets {
		for i, c := range sheet.Columns {
			if len(sheet.Rows) == 1 && (c.Key == "feed.length" || c.Key == "vehicle.ambient.from") {
				sheet.Rows[0][i].Text = ""
				cut++
			}
		}
	}
	p, err := propose.New(s.Kit(), propose.Options{File: "proposed.kit.yaml", Catalogues: []string{"winter.parts.yaml"}, ReadFile: fleet.ReadFile})
	if err != nil {
		t.Fatal(err)
	}
	for _, says := range []string{"the length of the feed is not stated", "the lowest ambient temperature (ambient) of the vehicle is not stated"} {
		if !strings.Contains(fmt.Sprint(p.Open), "is chosen, as not every rule could judge it: "+says) {
			t.Errorf("%d cells are empty, open: %v, want %s", cut, p.Open, says)
		}
	}
	root := parse(t, p.Text)
	if root.Get("feed").Get("cable") != nil || root.Get("lines").Items[0].Get("tube") != nil || bytes.Contains(p.Text, []byte("length: 0 m")) {
		t.Error("a cable or a tube is proposed, or none of one listed")
	}
}

// What is raised is propped before its pressure goes, and off its props before
// the slack is looked at through the whole range: common practice, no source.
func TestRaised(t *testing.T) {
	t.Parallel()
	text := string(byHand(t).Text)
	_, text, _ = strings.Cut(text, "procedure:")
	from := 0
	for _, says := range []string{"raise the body beneath", "step: lock-out", "step: prop", "step: relieve-pressure", "step: mount-pump", "step: reconnect-battery", "take the props out", "step: slack-check"} {
		at := strings.Index(strings.Join(strings.Fields(text), " ")[from:], says)
		if at < 0 {
			t.Fatalf("%q does not come after what is before it", says)
		}
		from += at
	}
}

// What will not do is told by name, with the figure that stands against it.
func TestTold(t *testing.T) {
	t.Parallel()
	s := tippingTrailer(t)
	for _, sheet := range s.Sheets {
		for i, c := range sheet.Columns {
			for n, row := range sheet.Rows {
				switch {
				case c.Key == "vehicle.wash_down":
					row[i].Text = "pressure"
				case c.Key == "vehicle.supply":
					row[i].Text = "12"
				case c.Key == "pump.bolts.acceleration":
					row[i].Text = ""
				case c.Key == "thread" && sheet.Name == "points" && n == 0:
					row[i].Text = "M10"
				case c.Key == "way" && sheet.Name == "stations" && n == 0:
					row[i].Text = "a"
				}
			}
		}
	}
	p, err := propose.New(s.Kit(), propose.Options{File: "proposed.kit.yaml", Catalogues: []string{"winter.parts.yaml"}, ReadFile: fleet.ReadFile})
	if err != nil {
		t.Fatal(err)
	}
	all := fmt.Sprint(p.Open)
	for _, says := range []string{
		"no pump of the catalogue will do for 12 lines: ", "is for 24 V and the vehicle has 12 V", "and the wash-down (pressure) takes IP",
		"nobody measured or asked for it", "it is not the same as A: capitals count",
		"no fitting of the catalogue has the thread M10",
	} {
		if !strings.Contains(all, says) {
			t.Errorf("%q is not said of\n%s", says, all)
		}
	}
}

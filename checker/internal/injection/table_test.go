package injection_test

import (
	"fmt"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"

	"kitgauge/checker"
	"kitgauge/checker/golden"
)

// The pages of measurements. What is measured stands between two lines of the
// page, and is written there by these tests with -full or -speed where
// golden.Updating says so.
const (
	faultPage   = "../../../testdata/measured/injection.md"
	opinionPage = "../../../testdata/measured/second-opinion.md"
	speedPage   = "../../../testdata/measured/speed.md"

	measuredFrom, measuredTo = "<!-- measured -->", "<!-- end of what is measured -->"
)

// notSeeded are the rules that no mistake of the campaign causes, with the
// reason.
var notSeeded = reasons("the made kits are no mirror images and carry few zones; the fault cards of the pack hold it",
	"survey/axis-hinge-points",
	"survey/range-cab",
	"survey/lifts-upwards",
	"survey/one-parent",
	"survey/no-circle",
	"survey/body-hangs",
	"survey/joint-of-its-points",
	"survey/sprung-as-parent",
	"survey/axle-unsprung",
	"survey/pivot-hinge-points",
	"survey/twin-pivot",
	"survey/twin-axis",
	"survey/twin-range",
	"survey/twin-parent",
	"survey/springs-on-sprung",
	"survey/outline-plausible",
	"survey/point-inside",
	"survey/station-inside",
	"survey/pump-near-filler",
	"survey/point-same-place",
	"survey/point-twin",
	"survey/point-in-reach",
	"survey/sides-exchanged",
	"survey/point-words",
	"survey/point-body",
	"survey/station-body",
	"survey/station-in-line",
	"survey/station-order",
	"survey/station-bend",
	"survey/sag-room",
	"survey/free-length-plausible",
	"survey/zone-complete",
	"survey/zone-clearance-positive",
	"survey/zone-clearance",
	"survey/zone-hotter",
	"survey/zone-exhaust-hot",
	"survey/zone-not-too-hot",
	"survey/zone-thick",
	"survey/zone-not-too-thick",
	"survey/zone-exhaust-sprung",
	"survey/zone-body",
	"survey/zone-wheel-size",
	"survey/zone-size",
	"survey/zone-inside",
	"survey/zone-side",
	"survey/zone-near-knuckle",
	"survey/zone-twin-size",
	"survey/zone-twin-place",
	"survey/zone-caps",
	"survey/knuckle-has-wheel",
	"survey/zones-stated",
	"survey/heat-as-stated",
	"survey/ambient-possible",
	"survey/ambient-winter",
	"survey/point-twin-missing",
	"survey/bearing-size",
	"survey/bearing-twin",
	"survey/back-pressure-usual",
	"survey/raised-crossed",
	"survey/bolts-plausible",
	"survey/zone-beyond",
	"survey/wheel-across",
	"survey/date-not-ahead",
)

func reasons(why string, rules ...string) map[string]string {
	out := map[string]string{}
	for _, r := range rules {
		out[r] = why
	}
	return out
}

// ruleIDs are those of all built-in packs, in order.
func ruleIDs(t *testing.T) []string {
	packs, problems := checker.New(checker.Options{ReadFile: readFile, NoSettings: true}).Packs()
	for _, p := range problems {
		t.Fatal(p)
	}
	var ids []string
	for _, p := range packs {
		for _, r := range p.Rules {
			ids = append(ids, r.ID)
		}
	}
	return ids
}

// TestCatalogue sees to it that every class has a mistake and every mistake a
// class, and that each causes rules that there are. A rule needs none: its
// cards are played in disguise.
func TestCatalogue(t *testing.T) {
	classed, named := map[string]bool{}, map[string]bool{}
	ids := ruleIDs(t)
	for _, f := range catalogue() {
		if named[f.name] {
			t.Errorf("two mistakes are called %q", f.name)
		}
		named[f.name], classed[f.class] = true, true
		for _, r := range f.rules {
			if !slices.Contains(ids, r) {
				t.Errorf("%s: no rule is called %s", f.name, r)
			}
		}
	}
	for _, c := range classes {
		for i := range c.say {
			class := fmt.Sprintf("%s %d", c.pack, i+1)
			if !classed[class] {
				t.Errorf("no mistake of class %s: %s", class, c.say[i])
			}
			delete(classed, class)
		}
	}
	for class := range classed {
		t.Errorf("there is no class %q", class)
	}
}

// faultTable is what a campaign came to.
func (c *campaign) faultTable(ids []string) string {
	by, sum := c.scores()
	var b strings.Builder
	fmt.Fprintf(&b, "%d generated kits of %d to %d points, %d of them in inches, seed %d; without a mistake: %d kits in which anything is found.\n",
		c.kits, c.byPoints[0], c.byPoints[1], c.inch, seed, c.dirty)
	fmt.Fprintf(&b, "%d kinds of mistake, put in %d times, one at a time.\n\n", len(c.order), len(c.trials))
	b.WriteString("| rule | to be found | at its place | elsewhere | missed | false alarms | comes with others |\n| --- | ---: | ---: | ---: | ---: | ---: | ---: |\n")
	for _, id := range ids {
		s := by[id]
		if s == nil {
			continue // no hand-made mistake: its cards alone
		}
		fmt.Fprintf(&b, "| %s | %d | %d | %d | %d | %d | %d |\n", id, s.seeded, s.atPlace, s.elsewhere, s.missed, s.falseAlarms+c.clean[id], s.follow)
	}
	fmt.Fprintf(&b, "| all | %d | %d | %d | %d | %d | %d |\n", sum.seeded, sum.atPlace, sum.elsewhere, sum.missed, sum.falseAlarms+c.alarms(), sum.follow)
	return b.String()
}

// alarms counts what is found in kits without a mistake.
func (c *campaign) alarms() int {
	n := 0
	for _, k := range c.clean {
		n += k
	}
	return n
}

func (o *opinion) row(worst float64, inputs int) string {
	return fmt.Sprintf("| %s | %s | %d | %.2g %s | %g |\n", o.quantity, o.against, inputs, worst, o.measure, o.bound)
}

// section returns what is measured of a page, and the page around it.
func section(t *testing.T, page string) (before, body, after string) {
	t.Helper()
	text, err := os.ReadFile(page)
	if err != nil {
		t.Fatal(err)
	}
	before, rest, begun := strings.Cut(string(text), measuredFrom+"\n")
	body, after, ended := strings.Cut(rest, measuredTo+"\n")
	if !begun || !ended {
		t.Fatalf("%s has no part between %s and %s", page, measuredFrom, measuredTo)
	}
	return before, body, after
}

// write puts what was measured into its page, where that is asked for.
func write(t *testing.T, page, body string) {
	t.Helper()
	fmt.Print(body)
	if golden.Updating() && !t.Failed() {
		before, _, after := section(t, page)
		golden.Write(t, page, []byte(before+measuredFrom+"\n"+body+measuredTo+"\n"+after))
	}
}

// TestOpinionTable holds the page against the opinions.
func TestOpinionTable(t *testing.T) {
	if *full {
		t.Skip("the table is written by TestSecondOpinion")
	}
	_, body, _ := section(t, opinionPage)
	for _, o := range opinions() {
		row := regexp.MustCompile(regexp.QuoteMeta("| "+o.quantity+" | "+o.against+" | ") + fmt.Sprintf(`%d \| \S+ %s \| %s \|`, o.inputs[1], regexp.QuoteMeta(o.measure), regexp.QuoteMeta(fmt.Sprintf("%g", o.bound))))
		if !row.MatchString(body) {
			t.Errorf("the table has no row %q, held against %q; see the page for how it is written", o.quantity, o.against)
		}
	}
	if got, want := strings.Count(body, "\n| "), len(opinions())+2; got != want { // a head and its rule
		t.Errorf("the table has %d lines, want %d", got, want)
	}
}

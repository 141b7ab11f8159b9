package injection_test

import (
	"fmt"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"

	"kitgauge/checker"
)

// document is where the tables stand, between two lines each.
const document = "../../../DEVELOPERS.md"

const (
	faultsFrom, faultsTo     = "<!-- campaign: faults -->", "<!-- end of faults -->"
	opinionsFrom, opinionsTo = "<!-- campaign: second opinion -->", "<!-- end of second opinion -->"
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
	"survey/papers-number",
	"survey/bearing-size",
	"survey/bearing-twin",
	"survey/back-pressure-usual",
	"survey/raised-crossed",
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

// TestCatalogue sees to it that every rule has a mistake that causes it or a
// reason, every class a mistake, and every mistake a class.
func TestCatalogue(t *testing.T) {
	caused, classed, named := map[string]bool{}, map[string]bool{}, map[string]bool{}
	for _, f := range catalogue() {
		if named[f.name] {
			t.Errorf("two mistakes are called %q", f.name)
		}
		named[f.name], classed[f.class] = true, true
		for _, r := range f.rules {
			caused[r] = true
		}
	}
	ids := ruleIDs(t)
	for _, id := range ids {
		if caused[id] == (notSeeded[id] != "") {
			t.Errorf("%s: got caused %t and the reason %q, want one of the two", id, caused[id], notSeeded[id])
		}
	}
	for id := range caused {
		if !slices.Contains(ids, id) {
			t.Errorf("no rule is called %s", id)
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
			s = &score{}
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

// beginning tells what the first kits came to; the tests run them anew and
// hold the line in the document against it.
func (c *campaign) beginning() string {
	_, sum := c.scores()
	return fmt.Sprintf("The first %d kits, which run with all tests: %d mistakes, %d to be found, %d at their place, %d elsewhere, %d missed, %d false alarms.",
		c.kits, len(c.trials), sum.seeded, sum.atPlace, sum.elsewhere, sum.missed, sum.falseAlarms+c.alarms())
}

func (o *opinion) row(worst float64, inputs int) string {
	return fmt.Sprintf("| %s | %s | %d | %.2g %s | %g |\n", o.quantity, o.against, inputs, worst, o.measure, o.bound)
}

// section returns what stands between two lines of the document.
func section(t *testing.T, text, from, to string) string {
	t.Helper()
	_, rest, begun := strings.Cut(text, from+"\n")
	body, _, ended := strings.Cut(rest, to+"\n")
	if !begun || !ended {
		t.Fatalf("%s has no part between %s and %s", document, from, to)
	}
	return body
}

func read(t *testing.T) string {
	t.Helper()
	text, err := os.ReadFile(document)
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// write puts a part of the document in the place of the one before.
func write(t *testing.T, from, to, body string) {
	t.Helper()
	text := read(t)
	text = strings.Replace(text, from+"\n"+section(t, text, from, to)+to, from+"\n"+body+to, 1)
	if err := os.WriteFile(document, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
}

// TestFaultTable holds the document's table against the rules, and the line
// about the first kits against those kits.
func TestFaultTable(t *testing.T) {
	if *full {
		t.Skip("the table is written by TestCampaign")
	}
	body := section(t, read(t), faultsFrom, faultsTo)
	rows := regexp.MustCompile(`(?m)^\| (\S+/\S+) \| (\d+) `).FindAllStringSubmatch(body, -1)
	var got []string
	for _, r := range rows {
		got = append(got, r[1])
		if (r[2] == "0") != (notSeeded[r[1]] != "") {
			t.Errorf("%s: the table says that it was to be found %s times", r[1], r[2])
		}
	}
	if want := ruleIDs(t); !slices.Equal(got, want) {
		t.Errorf("the table has %d rules, the packs have %d; write it anew with -full -update", len(got), len(want))
	}
}

// TestOpinionTable holds the document's table against the opinions.
func TestOpinionTable(t *testing.T) {
	if *full {
		t.Skip("the table is written by TestSecondOpinion")
	}
	body := section(t, read(t), opinionsFrom, opinionsTo)
	for _, o := range opinions() {
		row := regexp.MustCompile(regexp.QuoteMeta("| "+o.quantity+" | "+o.against+" | ") + fmt.Sprintf(`%d \| \S+ %s \| %s \|`, o.inputs[1], regexp.QuoteMeta(o.measure), regexp.QuoteMeta(fmt.Sprintf("%g", o.bound))))
		if !row.MatchString(body) {
			t.Errorf("the table has no row %q, held against %q; write it anew with -full -update", o.quantity, o.against)
		}
	}
	if got, want := strings.Count(body, "\n| "), len(opinions())+2; got != want { // a head and its rule
		t.Errorf("the table has %d lines, want %d", got, want)
	}
}

package checker_test

import (
	"encoding/json"
	"flag"
	"fmt"
	"regexp"
	"slices"
	"strings"
	"testing"

	"kitgauge/checker"
	"kitgauge/checker/faultcard"
	"kitgauge/checker/finding"
	"kitgauge/checker/internal/faultsheet"
	"kitgauge/checker/source"
	"kitgauge/checker/units"
	"kitgauge/examples"
)

// inInches has the kits converted before the remedies are obeyed.
var inInches = flag.Bool("inches", false, "obey the remedies of the fault cards in kits that are written in inches, to four figures")

// leastObeyed is how many remedies of the cards are obeyed at least.
const leastObeyed = 330

// definite is a remedy with something in it to write: a figure, or a name.
var definite = regexp.MustCompile(`[0-9]|"|: (?:true|false)|[A-Z]{2,}`)

// TestRemediesObeyed does to the letter what the remedies of the fault cards
// say: the finding is gone then, no other of its rule comes, and a kit whose
// fault is another is not clean.
func TestRemediesObeyed(t *testing.T) {
	c := checker.OnExamples()
	packs, _ := c.Packs()
	tally := map[string]int{}
	for _, pack := range packs {
		cards, _ := checker.Cards(pack.Name)
		for i := range cards {
			obeyCard(t, c, &cards[i], tally)
		}
	}
	for what, n := range tally {
		t.Logf("%d %s", n, what)
	}
	if tally[obeyed] < leastObeyed {
		t.Errorf("%d remedies were obeyed, want %d at least", tally[obeyed], leastObeyed)
	}
}

const obeyed = "obeyed"

// obeyCard obeys the remedies of the findings of the card's own rule, one at a
// time.
func obeyCard(t *testing.T, c *checker.Checker, card *faultcard.Card, tally map[string]int) {
	t.Helper()
	clean, err := checker.Clean(card.Kit)
	if err != nil {
		t.Fatal(err)
	}
	text, err := card.Apply(clean)
	if err != nil {
		t.Fatal(err)
	}
	findings, err := findingsOf(c, card)
	if *inInches {
		var kit any
		_ = json.Unmarshal(text, &kit)
		text, _ = json.Marshal(faultsheet.Inches(kit))
		var result *checker.Result
		if result, err = c.PlayText(card, clean.File, text); err == nil {
			findings = result.Findings
		}
	}
	if err != nil {
		t.Fatalf("%s: %v", card.Node.Pos(), err)
	}
	var before []finding.Finding
	for _, f := range findings {
		checkWords(t, card, f)
		if f.Rule == card.Rule && f.Status == finding.Violated {
			before = append(before, f)
		}
	}
	for _, f := range before {
		o := orderOf(t, card, clean.File, text, f)
		ops, why := o.obey()
		if why != "" {
			if tally[why]++; why == unread {
				t.Errorf("%s: %s: nobody can obey: %s", card.Node.Pos(), f.Place, f.Remedy)
			}
			continue
		}
		tally[obeyed]++
		o.judge(t, c, card, text, before, ops)
		if len(f.Edits) > 0 && !o.inCatalogue() {
			tally[o.agrees(t, c, card, text, ops)]++
		}
	}
}

// Why a remedy is not obeyed by a program.
const unread = "cannot be read, although there is something in them to write"

// others are the kinds of remedy that a program cannot obey, with the reason.
var others = []struct {
	says *regexp.Regexp
	why  string
}{
	{regexp.MustCompile(`nothing in the catalogue is|no usual cable is|no tube is wide enough`), "say that nothing in the catalogue, or nothing usual, is as it should be"},
	{regexp.MustCompile(`as in |for example|M8 where M80`), "show the form by an example"},
	{regexp.MustCompile(`^(?:measure|look at|look up|look whether|ask|read|state the room that there is)|data sheet|look for a lost sign|look at the unit`), "ask to look, to measure or to ask first, and give nothing to write"},
	{regexp.MustCompile(`is possible|within -?[0-9.]+ deg|^list the temperatures|walls are`), "give the bounds of what is possible, and leave open which value is wrong"},
	{regexp.MustCompile(`lead the point out|^guide the loop, or lead|^(?:move one of the two|let it leave|lead the route another way|set the stations|correct the position of|place the two stations|move the stations|move the span or the pump)`), "ask for another place, which only the vehicle shows"},
	{regexp.MustCompile(`bring a bolt's load down`), "give a figure that follows from others"},
	{regexp.MustCompile(`^(?:list the [0-9]+ lines|take a pump that runs on|take a pump and an element for|state place \(as the finding names it\), reason|state severity, and value|write procedure:|take the line off)`), "ask for what only people can write or get"},
}

// obey turns the first sentence of the remedy that can be obeyed into
// operations; why says why there is none.
func (o *order) obey() (ops []op, why string) {
	for _, d := range deeds {
		if m := d.says.FindStringSubmatch(o.Remedy); m != nil {
			if ops := d.do(o, m); len(ops) > 0 {
				return ops, ""
			}
		}
	}
	for _, other := range others {
		if other.says.MatchString(o.Remedy) {
			return nil, other.why
		}
	}
	if !definite.MatchString(o.Remedy) {
		return nil, "say what to do, without a figure, a number or a name to write"
	}
	return nil, unread
}

// orderOf is a remedy with the files as the card makes them.
func orderOf(t *testing.T, card *faultcard.Card, file string, text []byte, f finding.Finding) *order {
	t.Helper()
	o := &order{Finding: f, root: parsed(t, file, text)}
	if f.Pos.File != file {
		catalogue, err := card.ApplyCatalogue(&source.Document{File: f.Pos.File, Root: partsOfExamples(t)})
		if err != nil {
			t.Fatal(err)
		}
		o.root = parsed(t, f.Pos.File, catalogue)
	}
	return o
}

func parsed(t *testing.T, file string, text []byte) *source.Node {
	t.Helper()
	docs, problems := source.Parse(file, text)
	if len(problems) > 0 {
		t.Fatal(problems[0])
	}
	return docs[0].Root
}

// judge checks the kit again, with the remedy obeyed.
func (o *order) judge(t *testing.T, c *checker.Checker, card *faultcard.Card, text []byte, before []finding.Finding, ops []op) {
	t.Helper()
	file, again := o.root.Document().File, *card
	if o.inCatalogue() {
		clean, _ := checker.Clean(card.Kit)
		file = clean.File
		again.Catalogue = append(slices.Clone(card.Catalogue), o.ofParts(ops)...)
	} else {
		patch, _ := json.Marshal(ops)
		var err error
		if text, err = faultcard.Apply(parsed(t, "patch", patch), o.root); err != nil {
			t.Errorf("%s: %s: %s: %v", card.Node.Pos(), o.Place, o.Remedy, err)
			return
		}
	}
	result, err := c.PlayText(&again, file, text)
	if err != nil {
		t.Errorf("%s: %s: %s: %v", card.Node.Pos(), o.Place, o.Remedy, err)
		return
	}
	said := fmt.Sprintf("%s: %s: %s: %s; %s", card.Node.Pos(), card.Rule, o.Place, o.Message, o.Remedy)
	open := 0
	for _, still := range result.Findings {
		open++
		if still.Rule != card.Rule || still.Status != finding.Violated {
			continue
		}
		if still.Place == o.Place && still.Pointer == o.Pointer {
			t.Errorf("%s\nobeyed to the letter it says: %s; %s", said, still.Message, still.Remedy)
			continue
		}
		if !slices.ContainsFunc(before, func(f finding.Finding) bool { return f.Place == still.Place }) {
			t.Errorf("%s\nobeyed to the letter it says at %s: %s", said, still.Place, still.Message)
		}
	}
	if why := asRight[card.Rule]; open == 0 && why == "" && !o.touches(card, ops) {
		t.Errorf("%s\nobeyed, the kit is clean, and its fault was another", said)
	}
}

// asRight are the rules whose remedy is as right as taking the fault of the card
// back, with the reason.
var asRight = map[string]string{
	"dosing/duty-cycle":   "a longer pause spares a small motor as well as a larger one would",
	"routing/cut-length":  "a tube is cut for the way that it goes now",
	"survey/zones-stated": "who states that nothing is hot has looked",
	"survey/title-count":  "the title may be what was wrong",
}

func (o *order) inCatalogue() bool {
	return strings.HasPrefix(o.Pointer, "/parts/") && o.root.Get("parts") != nil
}

// ofParts are operations on the catalogue as a card has them: a path begins
// with the number of the part.
func (o *order) ofParts(ops []op) []faultcard.Operation {
	var list []faultcard.Operation
	for _, p := range ops {
		steps := strings.SplitN(p.Path+"/", "/", 4)
		value, _ := json.Marshal(p.Value)
		number := o.at("/parts/" + steps[2] + "/number")
		list = append(list, faultcard.Operation{Op: p.Op, Path: strings.TrimSuffix("/"+number+"/"+steps[3], "/"), Value: string(value)})
	}
	return list
}

// touches reports whether a remedy changes what the card made wrong.
func (o *order) touches(card *faultcard.Card, ops []op) bool {
	if o.inCatalogue() {
		return len(card.Catalogue) > 0
	}
	for _, p := range ops {
		for _, f := range card.Patch {
			path := f.Path
			if list, last := strings.CutSuffix(path, "/-"); last { // what the card has put at the end
				path = fmt.Sprintf("%s/%d", list, len(o.root.Lookup(list).Items)-1)
			}
			if strings.HasPrefix(path, p.Path) || strings.HasPrefix(p.Path, path) || parent(path) == parent(p.Path) {
				return true
			}
		}
	}
	return false
}

// partsOfExamples is the catalogue of the examples.
func partsOfExamples(t *testing.T) *source.Node {
	t.Helper()
	text, err := examples.ReadFile("", "parts/winter.parts.yaml")
	if err != nil {
		t.Fatal(err)
	}
	return parsed(t, "parts/winter.parts.yaml", text)
}

// Numbers as nobody writes them.
var (
	decimal = regexp.MustCompile(`-?[0-9]+\.[0-9]+`)
	noise   = regexp.MustCompile(`[0-9]e[-+]?[0-9]|\brad\b|[1-9][0-9.]* m/s2|[0-9] Pa\b.*[0-9] m?bar|NaN|Inf`)
)

// checkWords checks that what is said is for people: no more digits than are
// measured, no exponents, no radians.
func checkWords(t *testing.T, card *faultcard.Card, f finding.Finding) {
	t.Helper()
	text := f.Message + "; " + f.Remedy
	if m := noise.FindString(text); m != "" {
		t.Errorf("%s: %s says %q: %s", card.Node.Pos(), f.Rule, m, text)
	}
	for _, n := range decimal.FindAllString(text, -1) {
		if digits := strings.TrimLeft(strings.NewReplacer("-", "", ".", "").Replace(n), "0"); len(digits) > 5 {
			t.Errorf("%s: %s says %s, with %d figures: %s", card.Node.Pos(), f.Rule, n, len(digits), text)
		}
	}
}

// alike reports whether two figures have units of one dimension.
func alike(a, b string) bool {
	_, unitA, _ := strings.Cut(a, " ")
	_, unitB, _ := strings.Cut(b, " ")
	of, isA := units.Lookup(unitA)
	with, isB := units.Lookup(unitB)
	return isA && isB && of.Dim == with.Dim
}

package checker_test

import (
	"flag"
	"fmt"
	"testing"

	"kitgauge/checker"
	"kitgauge/checker/faultcard"
	"kitgauge/checker/finding"
	_ "kitgauge/checker/internal/ample"
	"kitgauge/rules"
	"kitgauge/schema"
)

var showCards = flag.Bool("show", false, "print what every fault card finds")

// TestCleanKits holds the examples clean: no rule fires, and none is left
// unevaluated.
func TestCleanKits(t *testing.T) {
	c := checker.OnExamples()
	for _, name := range []string{"gritter", "loader", "trailer"} {
		doc, err := checker.Clean(name)
		if err != nil {
			t.Fatal(err)
		}
		results, err := c.Check(doc.File, doc.Text)
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range results[0].Findings {
			t.Errorf("%s: %s: %s at %s: %s", name, f.Pos, f.Rule, f.Place, f.Message)
		}
		if results[0].Checks == 0 {
			t.Errorf("%s: nothing was checked", name)
		}
	}
}

// TestCards plays every fault card: the findings are those of the card, no
// more and no fewer, and every rule has a card.
func TestCards(t *testing.T) {
	c := checker.OnExamples()
	packs, problems := c.Packs()
	for _, p := range problems {
		t.Error(p)
	}
	total := 0
	for _, pack := range packs {
		cards, problems := checker.Cards(pack.Name)
		for _, p := range problems {
			t.Error(p)
		}
		carded := map[string]bool{}
		for _, card := range cards {
			total++
			carded[card.Rule] = true
			t.Run(fmt.Sprintf("%s/%s", card.Rule, card.Fault), func(t *testing.T) {
				findings, err := findingsOf(c, &card)
				if err != nil {
					t.Fatalf("%s: %v", card.Node.Pos(), err)
				}
				for _, d := range card.Compare(findings) {
					t.Errorf("%s: %s", card.Node.Pos(), d)
				}
				for _, f := range findings {
					if *showCards || t.Failed() {
						t.Logf("%s %s at %s: %s; %s", f.Severity, f.Rule, f.Place, f.Message, f.Remedy)
					}
				}
			})
		}
		for _, r := range pack.Rules {
			if !carded[r.ID] {
				t.Errorf("rule %s has no fault card: add one to rules/cards/%s.yaml", r.ID, pack.Name)
			}
			delete(carded, r.ID)
		}
		for id := range carded {
			t.Errorf("rules/cards/%s.yaml has a card of %s, and there is no such rule", pack.Name, id)
		}
	}
	t.Logf("%d fault cards", total)
}

// plays are the findings of the cards that were played, by the place of the
// card: more than one test looks at them.
var plays = map[string][]finding.Finding{}

func findingsOf(c *checker.Checker, card *faultcard.Card) ([]finding.Finding, error) {
	at := card.Node.Pos().String()
	if found, done := plays[at]; done {
		return found, nil
	}
	clean, err := checker.Clean(card.Kit)
	if err != nil {
		return nil, err
	}
	result, err := c.Play(card, clean)
	if err != nil {
		return nil, err
	}
	plays[at] = result.Findings
	return result.Findings, nil
}

// TestPacksCompile type-checks every expression of the built-in packs, and
// holds packs and cards against their schemas: at run time only what is
// needed is compiled.
func TestPacksCompile(t *testing.T) {
	packs, problems := checker.OnExamples().Packs()
	for _, p := range problems {
		t.Error(p)
	}
	for _, pack := range packs {
		for _, p := range pack.Compile() {
			t.Error(p)
		}
	}
	for _, name := range rules.Names() {
		for _, of := range []struct {
			schema string
			text   func(string) (string, []byte, bool)
		}{{"pack", rules.Pack}, {"cards", rules.Cards}} {
			file, text, found := of.text(name)
			if !found {
				t.Errorf("%s: there is no file of its %s", name, of.schema)
				continue
			}
			doc := parse(t, file, text)
			for _, p := range schema.Validate(of.schema, doc.Root) {
				t.Error(p)
			}
		}
	}
}

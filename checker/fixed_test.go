package checker_test

import (
	"encoding/json"
	"flag"
	"slices"
	"testing"

	"kitgauge/checker"
	"kitgauge/checker/edit"
	"kitgauge/checker/engine"
	"kitgauge/checker/faultcard"
	"kitgauge/checker/finding"
)

var full = flag.Bool("full", false, "mend what every card makes wrong, by choices as well, and take the whole of what is else sampled")

// How the edits of a finding and the words of its remedy compare.
const (
	alikeInTree     = "say with their edit what they say in words"
	alikeInFindings = "have an edit that leaves the findings that obeying their words leaves"
)

// agrees holds that the edits of a finding and the words of its remedy come to
// the same: to one kit, or to kits in which the same is found.
func (o *order) agrees(t *testing.T, c *checker.Checker, card *faultcard.Card, text []byte, ops []op) string {
	t.Helper()
	file := o.root.Document().File
	patch, _ := json.Marshal(ops)
	words, err := faultcard.Apply(parsed(t, "patch", patch), o.root)
	if err != nil {
		t.Fatal(err)
	}
	edits, err := edit.Apply(text, 0, o.Edits...)
	if err != nil {
		t.Errorf("%s: %s: %+v: %v", card.Node.Pos(), o.Place, o.Edits, err)
		return alikeInTree
	}
	if edit.Equal(parsed(t, file, words), parsed(t, file, edits)) {
		return alikeInTree
	}
	of := func(text []byte) []finding.Key {
		result, err := c.PlayText(card, file, text)
		if err != nil {
			t.Fatal(err)
		}
		var keys []finding.Key
		for _, f := range result.Findings {
			keys = append(keys, finding.Key{Rule: f.Rule, Place: f.Place})
		}
		return keys
	}
	if said, made := of(words), of(edits); !slices.Equal(said, made) {
		t.Errorf("%s: %s: %s; %s\nobeyed %s leaves %v\nmade   %+v leaves %v", card.Node.Pos(), card.Rule, o.Place, o.Remedy, patch, said, o.Edits, made)
	}
	return alikeInFindings
}

// leastMended is how many findings of the cards have an edit that follows from
// the rest of the file, and are mended, leastMendedFull in full; mostLeft how many cards keep a finding
// because its edit would bring others, which is said: with what somebody decides
// on as well, mostLeftDecided.
const (
	leastMended     = 17
	leastMendedFull = 25
	mostLeft        = 1
	mostLeftDecided = 6
)

// TestCardsMended mends what the cards make wrong, as kitgauge fix does: what is
// found by the card's rule is gone, and nothing else has come. Of each rule one
// card with something to mend is enough but in full: the edits of all are held to
// the words of their remedies, and the words are obeyed.
func TestCardsMended(t *testing.T) {
	c := checker.OnExamples()
	packs, _ := c.Packs()
	mended, left := 0, 0
	for _, pack := range packs {
		cards, _ := checker.Cards(pack.Name)
		tried := map[string]bool{}
		for i := range cards {
			for _, rule := range pack.Rules {
				if rule.ID == cards[i].Rule && (*full || !tried[rule.ID]) {
					done, stays := mendCard(t, c, &cards[i], rule)
					tried[rule.ID] = done > 0
					mended += done
					left += stays
				}
			}
		}
	}
	t.Logf("mended %d, left %d", mended, left)
	least, most := leastMended, mostLeft
	if *full {
		least, most = leastMendedFull, mostLeftDecided
	}
	if mended < least {
		t.Errorf("%d findings were mended, want %d at least", mended, least)
	}
	if left > most {
		t.Errorf("%d findings were left, want %d at most", left, most)
	}
}

// mendCard mends the findings of a card's rule, as far as there are edits.
func mendCard(t *testing.T, c *checker.Checker, card *faultcard.Card, rule *engine.Rule) (mended, left int) {
	t.Helper()
	mend, decided := rule.Changes()
	choice := len(mend) == 0 // of a rule with both, what follows from the file is tried
	if len(mend)+len(decided) == 0 || choice && !*full {
		return 0, 0
	}
	clean, _ := checker.Clean(card.Kit)
	text, err := card.Apply(clean)
	if err != nil {
		t.Fatal(err)
	}
	var o checker.FixOptions
	if choice {
		o.Rules = []string{card.Rule}
	}
	fixed, err := c.FixText(card, clean.File, text, o)
	if err != nil {
		t.Fatal(err)
	}
	has := func(list []finding.Finding) (n int) {
		for _, f := range list {
			if f.Rule == card.Rule && f.Status == finding.Violated && len(f.Edits) > 0 && (choice || !f.Choice) {
				n++
			}
		}
		return n
	}
	before, after := has(fixed.Before[0].Findings), has(fixed.After[0].Findings)
	said, waits := 0, 0
	for _, u := range fixed.Left {
		if t.Logf("%s: %s, %s: %s", card.Node.Pos(), u.Rule, u.Place, u.Why); u.Rule == card.Rule {
			if said++; len(fixed.Slips) > 0 && u.Why == checker.SlipFirst {
				waits++ // the card is one slip, and somebody has to look at it first
			}
		}
	}
	if after > said {
		t.Errorf("%s: %s: of %d findings with an edit %d are left, and %d are said", card.Node.Pos(), card.Rule, before, after, said)
	}
	return before - after, after - waits
}

package checker_test

import (
	"fmt"
	"regexp"
	"strings"
	"testing"

	"kitgauge/checker"
	"kitgauge/checker/faultcard"
	"kitgauge/checker/finding"
	"kitgauge/checker/source"
	"kitgauge/checker/units"
)

// told is a figure that a remedy says to write.
var told = regexp.MustCompile(`\b(?:cut it to|raise it by .* to|lower it by .* to|fill to|bend it to|set the run to|list|state|lengthen the free length by .* to|shorten the line to|set a (?:run|pause) of|fit a fuse of) (-?[0-9.]+ [a-zA-Z][a-zA-Z0-9/]*)\b`)

// leastObeyed is how many remedies of the cards a program can obey at least.
const leastObeyed = 20

// TestRemediesObeyed does to the letter what the remedies of the fault cards
// say, where a program can: the finding is gone then.
func TestRemediesObeyed(t *testing.T) {
	c := checker.OnExamples()
	packs, _ := c.Packs()
	obeyed, skipped := 0, 0
	for _, pack := range packs {
		cards, _ := checker.Cards(pack.Name)
		for _, card := range cards {
			clean, err := checker.Clean(card.Kit)
			if err != nil {
				t.Fatal(err)
			}
			text, err := card.Apply(clean)
			if err != nil {
				t.Fatal(err)
			}
			for _, f := range found(t, c, &card, clean.File, text) {
				better := obey(clean.File, text, &f)
				if better == nil {
					skipped++
					continue
				}
				obeyed++
				for _, still := range found(t, c, &card, clean.File, better) {
					if still.Place == f.Place && still.Status == finding.Violated {
						t.Errorf("%s: %s: %s; %s\nobeyed to the letter it says: %s", card.Node.Pos(), f.Place, f.Message, f.Remedy, still.Message)
					}
				}
			}
		}
	}
	if t.Logf("%d remedies obeyed, %d cannot be by a program", obeyed, skipped); obeyed < leastObeyed {
		t.Errorf("%d remedies were obeyed, want %d at least", obeyed, leastObeyed)
	}
}

// found lists the findings of the card's own rule that compare two numbers.
func found(t *testing.T, c *checker.Checker, card *faultcard.Card, file string, text []byte) []finding.Finding {
	t.Helper()
	result, err := c.PlayText(card, file, text)
	if err != nil {
		t.Fatalf("%s: %v", card.Node.Pos(), err)
	}
	var list []finding.Finding
	for _, f := range result.Findings {
		if f.Rule == card.Rule && f.Status == finding.Violated && f.Value != nil {
			list = append(list, f)
		}
	}
	return list
}

// obey writes the one figure that a remedy says to write in the place of the
// one that it is about; nil where it says none or several.
func obey(file string, text []byte, f *finding.Finding) []byte {
	figures := told.FindAllStringSubmatch(f.Remedy, -1)
	docs, problems := source.Parse(file, text)
	if len(figures) != 1 || len(problems) > 0 {
		return nil
	}
	figure := figures[0][1]
	n := docs[0].Root.Lookup(f.Pointer)
	if n == nil || f.Pos.File != file || !alike(n.Scalar, figure) {
		return nil
	}
	patch, _ := source.Parse("patch", []byte(fmt.Sprintf("- {op: replace, path: %q, value: %q}", f.Pointer, figure)))
	out, err := faultcard.Apply(patch[0].Root, docs[0].Root)
	if err != nil {
		return nil
	}
	return out
}

// alike reports whether two figures have units of one dimension.
func alike(a, b string) bool {
	_, unitA, _ := strings.Cut(a, " ")
	_, unitB, _ := strings.Cut(b, " ")
	of, isA := units.Lookup(unitA)
	with, isB := units.Lookup(unitB)
	return isA && isB && of.Dim == with.Dim
}

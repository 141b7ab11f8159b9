package checker

import (
	"fmt"
	"path"
	"path/filepath"
	"strings"

	"kitgauge/checker/engine"
	"kitgauge/checker/faultcard"
	"kitgauge/checker/finding"
	"kitgauge/checker/source"
	"kitgauge/schema"
)

// PackReport is what the check of an organisation's own rule pack gave.
type PackReport struct {
	File     string
	Name     string
	Rules    int
	Problems []*source.Problem // faults of the pack: nothing was played
	Remarks  []*source.Problem // what can hardly be meant
	Cards    []CardReport
}

// CardReport is one fault card with what became of it.
type CardReport struct {
	Card        faultcard.Card
	Differences []string // "" where the card holds
}

// Passed reports whether pack and cards are in order.
func (r *PackReport) Passed() bool {
	if len(r.Problems) > 0 || len(r.Remarks) > 0 {
		return false
	}
	for _, c := range r.Cards {
		if len(c.Differences) > 0 {
			return false
		}
	}
	return true
}

// CardsBeside is the name of the fault cards that belong to a pack file.
func CardsBeside(pack string) string {
	return strings.TrimSuffix(strings.TrimSuffix(pack, ".pack.yaml"), ".pack.yml") + ".cards.yaml"
}

// CheckPack checks a rule pack, and plays its fault cards together with the
// built-in packs. The text of the cards is nil where there is no such file.
func CheckPack(file string, text []byte, cardsFile string, cardsText []byte) *PackReport {
	r := &PackReport{File: file}
	docs, problems := source.Parse(file, text)
	if len(docs) == 0 || len(problems) > 0 {
		r.Problems = problems
		return r
	}
	if r.Problems = schema.Validate("pack", docs[0].Root); len(r.Problems) > 0 {
		return r
	}
	pack, problems := engine.ReadPack(docs[0], vocabulary())
	r.Problems = append(problems, pack.Compile()...)
	r.Name, r.Rules = pack.Name, len(pack.Rules)
	if len(r.Problems) > 0 {
		return r
	}
	r.Remarks = pack.Remarks()
	cards := r.readCards(pack, cardsFile, cardsText)
	if len(r.Problems) > 0 {
		return r
	}
	onExamples := OnExamples(pack)
	onFiles := New(Options{NoSettings: true, added: []*engine.Pack{pack}})
	for _, c := range cards {
		r.Cards = append(r.Cards, play(c, cardsFile, onExamples, onFiles))
	}
	return r
}

// readCards reads the cards, and remarks on rules without one.
func (r *PackReport) readCards(pack *engine.Pack, file string, text []byte) []faultcard.Card {
	var cards []faultcard.Card
	if text != nil {
		docs, problems := source.Parse(file, text)
		r.Problems = append(r.Problems, problems...)
		if len(docs) > 0 {
			r.Problems = append(r.Problems, schema.Validate("cards", docs[0].Root)...)
			name, list, more := faultcard.Read(docs[0])
			if name != pack.Name {
				r.Problems = append(r.Problems, &source.Problem{Pos: docs[0].Root.Pos(), Node: docs[0].Root, Message: fmt.Sprintf("these are cards of the pack %q, beside the pack %q", name, pack.Name), Remedy: "name the same pack in both"})
			}
			cards, r.Problems = list, source.Unsaid(r.Problems, more)
		}
	}
	fires := map[string]bool{}
	for _, c := range cards {
		for _, e := range c.Finds {
			if e.Rule == c.Rule && e.Status == finding.Violated {
				fires[c.Rule] = true
			}
		}
	}
	for _, rule := range pack.Rules {
		if !fires[rule.ID] {
			r.Remarks = append(r.Remarks, &source.Problem{Pos: rule.Node.Pos(), Node: rule.Node, Message: fmt.Sprintf("no fault card shows that %s fires", rule.ID), Remedy: "add one to " + file})
		}
	}
	return cards
}

// play plays one card: on an example kit by its name, or on a kit file beside
// the cards.
func play(c faultcard.Card, cardsFile string, onExamples, onFiles *Checker) CardReport {
	out := CardReport{Card: c}
	on := onExamples
	clean, err := Clean(c.Kit)
	if IsKitName(c.Kit) {
		on = onFiles
		clean, err = cleanFile(path.Join(path.Dir(filepath.ToSlash(cardsFile)), filepath.ToSlash(c.Kit)))
	}
	if err != nil {
		out.Differences = []string{err.Error()}
		return out
	}
	result, err := on.Play(&c, clean)
	if err != nil {
		out.Differences = []string{err.Error()}
		return out
	}
	out.Differences = c.Compare(result.Findings)
	return out
}

func cleanFile(file string) (*source.Document, error) {
	text, err := ReadFile(file)
	if err != nil {
		return nil, fmt.Errorf("the kit %s cannot be read: %w", file, err)
	}
	docs, problems := source.Parse(file, text)
	if len(problems) > 0 {
		return nil, problems[0]
	}
	return docs[0], nil
}

package checker

import (
	"fmt"

	"kitgauge/checker/card"
	"kitgauge/checker/source"
	"kitgauge/examples"
	"kitgauge/rules"
)

// Cards returns the fault cards of a built-in pack.
func Cards(pack string) ([]card.Card, []*source.Problem) {
	file, text, found := rules.Cards(pack)
	if !found {
		return nil, nil
	}
	docs, problems := source.Parse(file, text)
	if len(docs) == 0 {
		return nil, problems
	}
	_, cards, more := card.Read(docs[0])
	return cards, append(problems, more...)
}

// Clean returns the clean example kit of that name.
func Clean(name string) (*source.Document, error) {
	file, text, found := examples.Kit(name)
	if !found {
		return nil, fmt.Errorf("there is no example kit %q", name)
	}
	docs, problems := source.Parse(file, text)
	if len(problems) > 0 {
		return nil, problems[0]
	}
	return docs[0], nil
}

// Play puts a card's fault into its clean kit and checks it. The Checker has
// to read catalogues with examples.ReadFile.
func (c *Checker) Play(fault *card.Card) (*Result, error) {
	clean, err := Clean(fault.Kit)
	if err != nil {
		return nil, err
	}
	text, err := fault.Apply(clean)
	if err != nil {
		return nil, err
	}
	results, err := c.Check(clean.File, text)
	if err != nil {
		return nil, err
	}
	return results[0], nil
}

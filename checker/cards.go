package checker

import (
	"fmt"
	"slices"
	"strings"

	"kitgauge/checker/engine"
	"kitgauge/checker/faultcard"
	"kitgauge/checker/source"
	"kitgauge/checker/units"
	"kitgauge/examples"
	"kitgauge/rules"
)

// Cards returns the fault cards of a built-in pack.
func Cards(pack string) ([]faultcard.Card, []*source.Problem) {
	file, text, found := rules.Cards(pack)
	if !found {
		return nil, nil
	}
	docs, problems := source.Parse(file, text)
	if len(docs) == 0 {
		return nil, problems
	}
	_, cards, more := faultcard.Read(docs[0])
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

// withLimits returns a Checker like c for which limits of the card's pack are
// what the card says.
func (c *Checker) withLimits(fault *faultcard.Card) (*Checker, error) {
	name, _, _ := strings.Cut(fault.Rule, "/")
	packs, _ := c.packs()
	i := slices.IndexFunc(packs, func(p *engine.Pack) bool { return p.Name == name })
	if i < 0 {
		return nil, fmt.Errorf("there is no rule pack %q", name)
	}
	options := c.options
	options.limits = map[string]float64{}
	for _, set := range fault.Limits {
		at := slices.IndexFunc(packs[i].Limits, func(l *engine.Limit) bool { return l.Name == set.Name })
		if at < 0 {
			return nil, fmt.Errorf("the pack %s has no limit %q", name, set.Name)
		}
		si, err := units.Parse(set.Is, packs[i].Limits[at].Dim)
		if err != nil {
			return nil, fmt.Errorf("the limit %q: %w", set.Name, err)
		}
		options.limits[name+"/"+set.Name] = si
	}
	return &Checker{options: options, packs: c.packs}, nil
}

// Play puts a card's fault into its clean kit and checks it.
func (c *Checker) Play(fault *faultcard.Card, clean *source.Document) (*Result, error) {
	text, err := fault.Apply(clean)
	if err != nil {
		return nil, err
	}
	if len(fault.Limits) > 0 {
		if c, err = c.withLimits(fault); err != nil {
			return nil, err
		}
	}
	if len(fault.Catalogue) > 0 {
		c = c.withParts(fault)
	}
	results, err := c.Check(clean.File, text)
	if err != nil {
		return nil, err
	}
	return results[0], nil
}

// withParts returns a Checker like c that reads catalogues with the fault of
// the card in them. One that does not take it cannot be read.
func (c *Checker) withParts(fault *faultcard.Card) *Checker {
	options, read := c.options, c.options.ReadFile
	options.ReadFile = func(from, file string) ([]byte, error) {
		text, err := read(from, file)
		if err != nil || !slices.ContainsFunc(catalogueEndings, func(e string) bool { return strings.HasSuffix(file, e) }) {
			return text, err
		}
		docs, problems := source.Parse(file, text)
		if len(docs) == 0 || len(problems) > 0 {
			return text, nil
		}
		return fault.ApplyCatalogue(docs[0])
	}
	return &Checker{options: options, packs: c.packs}
}

// OnExamples returns a Checker for the example kits, as they are embedded.
func OnExamples(packs ...*engine.Pack) *Checker {
	return New(Options{ReadFile: examples.ReadFile, NoSettings: true, added: packs})
}

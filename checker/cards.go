package checker

import (
	"errors"
	"fmt"
	"io/fs"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"kitgauge/checker/engine"
	"kitgauge/checker/faultcard"
	"kitgauge/checker/files"
	"kitgauge/checker/finding"
	"kitgauge/checker/source"
	"kitgauge/checker/spelling"
	"kitgauge/checker/units"
	"kitgauge/examples"
	"kitgauge/rules"
	"kitgauge/schema"
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
		return nil, fmt.Errorf("there is no example kit %q%s; they are %s, and a kit file ends in .kit.yaml", name, spelling.Hint(name, examples.Names()), strings.Join(examples.Names(), ", "))
	}
	return clean(file, text)
}

func clean(file string, text []byte) (*source.Document, error) {
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
	return c.PlayText(fault, clean.File, text)
}

// PlayText checks a kit that has a card's fault, with the limits of the card.
func (c *Checker) PlayText(fault *faultcard.Card, file string, text []byte) (*Result, error) {
	c, err := c.playing(fault)
	if err != nil {
		return nil, err
	}
	results, err := c.Check(file, text)
	if err != nil {
		return nil, err
	}
	return results[0], nil
}

// playing returns a Checker like c with the limits and the parts of a card.
func (c *Checker) playing(fault *faultcard.Card) (*Checker, error) {
	if len(fault.Limits) > 0 {
		var err error
		if c, err = c.withLimits(fault); err != nil {
			return nil, err
		}
	}
	if len(fault.Catalogue) > 0 {
		c = c.withParts(fault)
	}
	return c, nil
}

// withParts returns a Checker like c that reads catalogues with the fault of
// the card in them. One that does not take it cannot be read.
func (c *Checker) withParts(fault *faultcard.Card) *Checker {
	options, read := c.options, c.options.ReadFile
	options.ReadFile = func(from, file string) ([]byte, error) {
		text, err := read(from, file)
		if err != nil || !files.IsCatalogueName(file) {
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

// dayOfExamples is a day after the example kits were issued.
const dayOfExamples = "2026-11-25"

// OnExamples returns a Checker for the example kits, as they are embedded.
//
// They are looked at on the day of dayOfExamples.
func OnExamples(packs ...*engine.Pack) *Checker {
	return New(Options{ReadFile: examples.ReadFile, NoSettings: true, On: dayOfExamples, Remember: true, added: packs})
}

// PackReport is what the check of an organisation's own rule pack gave.
type PackReport struct {
	Text     *source.Document // without a Root where it could not be read
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

// CheckPack checks the rule pack of a file, and plays the fault cards beside
// it together with the built-in packs. The error is a *files.Error.
func CheckPack(file string) (*PackReport, error) {
	text, _, err := files.ReadNamed(file)
	if err != nil {
		return nil, &files.Error{File: file, Err: err}
	}
	cardsFile := files.CardsBeside(file)
	cardsText, err := files.ReadInTree(file, cardsFile)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return nil, &files.Error{File: cardsFile, Err: errors.New(files.PlainError(err))}
	}
	r := &PackReport{Text: &source.Document{File: file, Text: text}}
	pack := r.readPack()
	if pack == nil {
		return r, nil
	}
	cards := r.readCards(pack, cardsFile, cardsText)
	if len(r.Problems) > 0 {
		return r, nil
	}
	onExamples := OnExamples(pack)
	onFiles := New(Options{NoSettings: true, added: []*engine.Pack{pack}})
	for _, c := range cards {
		r.Cards = append(r.Cards, play(c, cardsFile, onExamples, onFiles))
	}
	return r, nil
}

// readPack reads the pack and remarks on it; nil where it is faulty.
func (r *PackReport) readPack() *engine.Pack {
	docs, faults := source.Parse(r.Text.File, r.Text.Text)
	if r.Problems = faults; len(docs) == 0 || len(faults) > 0 {
		return nil
	}
	if r.Problems = schema.Validate("pack", docs[0].Root); len(r.Problems) > 0 {
		return nil
	}
	pack, faults := engine.ReadPack(docs[0], vocabulary())
	r.Problems = append(faults, pack.Compile()...)
	r.Name, r.Rules = pack.Name, len(pack.Rules)
	if len(r.Problems) > 0 {
		return nil
	}
	r.Remarks = pack.Remarks()
	return pack
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
	kit, err := Clean(c.Kit)
	if files.IsKitName(c.Kit) {
		on = onFiles
		kit, err = cleanFile(cardsFile, path.Join(path.Dir(filepath.ToSlash(cardsFile)), filepath.ToSlash(c.Kit)))
	}
	if err != nil {
		out.Differences = []string{err.Error()}
		return out
	}
	result, err := on.Play(&c, kit)
	if err != nil {
		out.Differences = []string{err.Error()}
		return out
	}
	out.Differences = c.Compare(result.Findings)
	return out
}

// cleanFile reads the kit file that fault cards name.
func cleanFile(cards, file string) (*source.Document, error) {
	text, err := files.ReadInTree(cards, file)
	if err != nil {
		return nil, fmt.Errorf("the kit %s cannot be read: %s; it is named relative to the cards", file, files.PlainError(err))
	}
	return clean(file, text)
}

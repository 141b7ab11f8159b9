// Package faultcard holds fault cards: a fault put into a clean kit as a JSON
// Patch (RFC 6902), with the findings that have to come of it, no more and no
// fewer. A card is the proof that a rule catches what it is for, and the
// example by which the rule is explained.
package faultcard

import (
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strings"

	jsonpatch "github.com/evanphx/json-patch/v5"

	"kitgauge/checker/decode"
	"kitgauge/checker/finding"
	"kitgauge/checker/source"
	"kitgauge/checker/value"
)

// Card is one fault.
type Card struct {
	Rule  string `key:"rule"`  // the rule that it is a card of: "slack/steered"
	Fault string `key:"fault"` // what is wrong, in the trade's words
	Kit   string `key:"kit"`   // the clean kit that it is put into
	// Limits are set otherwise while the card is played, for a fault that
	// would take a very large kit.
	Limits []Limit `key:"limits"`
	Patch  []Operation
	// Catalogue is put into the catalogues of the kit. A path begins with the
	// number of a part: /FG-T4/inner.
	Catalogue []Operation `key:"catalogue"`
	Finds     []Expected  `key:"finds"`
	Node      *source.Node
	patch     jsonpatch.Patch
	unread    bool // the patch is none
}

// Limit is a limit of the pack with the value that it has for one card.
type Limit struct {
	Name string `key:"*"`
	Is   string `key:"."`
}

// Operation is one operation of the patch.
type Operation struct {
	Op    string `key:"op"`
	Path  string `key:"path"`
	From  string `key:"from"`
	Value string // as JSON; "" where there is none
}

// Finish keeps the value as it stands.
func (o *Operation) Finish(_ *decode.Decoder, n *source.Node) {
	if v := n.Get("value"); v != nil {
		o.Value = string(v.JSON())
	}
}

// Expected is a finding that the fault causes.
type Expected struct {
	Rule   string `key:"rule"`
	Place  string `key:"place"`
	Status finding.Status
}

// Finish reads the status, which is violated where none is stated.
func (e *Expected) Finish(_ *decode.Decoder, n *source.Node) {
	e.Status = finding.Violated
	if s := n.Get("status"); s != nil && s.Scalar == finding.NotEvaluated.String() {
		e.Status = finding.NotEvaluated
	}
}

// String is the rule and the place.
func (e Expected) String() string {
	s := e.Rule + " at " + e.Place
	if e.Status == finding.NotEvaluated {
		s += " (not evaluated)"
	}
	return s
}

// Finish reads the patch, by the library and for people.
func (c *Card) Finish(d *decode.Decoder, n *source.Node) {
	patch := n.Get("patch")
	if patch == nil {
		return
	}
	var err error
	if c.patch, err = jsonpatch.DecodePatch(patch.JSON()); err != nil {
		d.Fail(patch, "this is no JSON Patch", "write a list of operations, each with op (add, remove, replace, move, copy or test), path, and value or from (RFC 6902)")
		c.unread = true
		return
	}
	d.Value(patch, &c.Patch, value.Member{Key: "patch"})
}

// Read reads a file of cards. The JSON Schema says which members it lacks;
// they are left empty here.
func Read(doc *source.Document) (pack string, cards []Card, problems []*source.Problem) {
	var file struct {
		Pack  string `key:"pack"`
		Cards []Card `key:"cards"`
	}
	problems = decode.Into(doc.Root, &file)
	for i := range file.Cards {
		file.Cards[i].Rule = file.Pack + "/" + file.Cards[i].Rule
	}
	return file.Pack, file.Cards, problems
}

// mostCopied bounds what the copies of a patch add up to: each that copies the
// whole kit into itself doubles it.
const mostCopied = 1 << 20

// Apply puts the fault into the clean kit and returns the text of the faulty
// one, as JSON.
func (c *Card) Apply(clean *source.Document) ([]byte, error) {
	if c.unread {
		return nil, fmt.Errorf("the patch does not fit the kit %q: it is no JSON Patch", c.Kit)
	}
	text, err := apply(c.patch, clean.Root)
	if err != nil {
		return nil, fmt.Errorf("the patch does not fit the kit %q: %w", c.Kit, err)
	}
	return text, nil
}

// ApplyCatalogue puts the fault into a clean catalogue, as far as it holds the
// parts, and returns the text of the faulty one, as JSON.
func (c *Card) ApplyCatalogue(clean *source.Document) ([]byte, error) {
	place := map[string]int{}
	if parts := clean.Root.Get("parts"); parts != nil {
		for i, p := range parts.Items {
			if n := p.Get("number"); n != nil {
				place[n.Scalar] = i
			}
		}
	}
	here := []map[string]any{}
	for _, o := range c.Catalogue {
		number, rest, _ := strings.Cut(strings.TrimPrefix(o.Path, "/"), "/")
		i, is := place[number]
		if !is {
			continue
		}
		m := map[string]any{"op": o.Op, "path": strings.TrimSuffix(fmt.Sprintf("/parts/%d/%s", i, rest), "/")}
		if o.Value != "" {
			m["value"] = json.RawMessage(o.Value)
		}
		here = append(here, m)
	}
	text, err := json.Marshal(here)
	if err == nil {
		var patch jsonpatch.Patch
		if patch, err = jsonpatch.DecodePatch(text); err == nil {
			text, err = apply(patch, clean.Root)
		}
	}
	if err != nil {
		return nil, fmt.Errorf("the patch does not fit the catalogue %s: %w", clean.File, err)
	}
	return text, nil
}

// Apply applies a JSON Patch to a document and returns the text of the result,
// as JSON.
func Apply(patch, to *source.Node) ([]byte, error) {
	decoded, err := jsonpatch.DecodePatch(patch.JSON())
	if err != nil {
		return nil, fmt.Errorf("%s: this is no JSON Patch", patch.Pos())
	}
	text, err := apply(decoded, to)
	if err != nil {
		return nil, fmt.Errorf("%s: the patch does not fit: %w", patch.Pos(), err)
	}
	return text, nil
}

func apply(patch jsonpatch.Patch, to *source.Node) ([]byte, error) {
	for _, o := range patch { // the library passes over one that it does not know
		if !slices.Contains(operations, o.Kind()) {
			return nil, fmt.Errorf("there is no operation %q", o.Kind())
		}
	}
	options := jsonpatch.NewApplyOptions()
	options.SupportNegativeIndices = false
	options.AccumulatedCopySizeLimit = mostCopied
	text, err := patch.ApplyWithOptions(to.JSON(), options)
	var tooMuch *jsonpatch.AccumulatedCopySizeError
	if errors.As(err, &tooMuch) {
		return nil, fmt.Errorf("it copies more than %d MiB", mostCopied>>20)
	}
	return source.EscapeJSON(text), err
}

var operations = []string{"add", "remove", "replace", "move", "copy", "test"}

// Compare holds what was found against what the card expects: a line for each
// finding that is missing or not expected.
func (c *Card) Compare(findings []finding.Finding) []string {
	var got, want []string
	for _, f := range findings {
		got = append(got, Expected{f.Rule, f.Place, f.Status}.String())
	}
	for _, e := range c.Finds {
		want = append(want, e.String())
	}
	var differences []string
	for _, w := range want {
		if i := slices.Index(got, w); i >= 0 {
			got = slices.Delete(got, i, i+1)
			continue
		}
		differences = append(differences, "missing: "+w)
	}
	for _, g := range got {
		differences = append(differences, "not expected: "+g)
	}
	slices.Sort(differences)
	return differences
}

// Describe tells what the patch changes, a line for each operation, with the
// value that stood there before.
func (c *Card) Describe(clean *source.Document) []string {
	var lines []string
	for _, o := range c.Catalogue {
		lines = append(lines, fmt.Sprintf("in the catalogue, %s: %s %s", strings.TrimPrefix(o.Path, "/"), o.Op, cut(o.Value)))
	}
	for _, o := range c.Patch {
		before := clean.Root.Lookup(o.Path)
		switch {
		case o.Op == "remove":
			lines = append(lines, fmt.Sprintf("%s: %s is taken out", o.Path, short(before)))
		case o.Op == "replace":
			lines = append(lines, fmt.Sprintf("%s: %s becomes %s", o.Path, short(before), cut(o.Value)))
		case o.Op == "add":
			lines = append(lines, fmt.Sprintf("%s: %s is added", o.Path, cut(o.Value)))
		case o.From != "":
			lines = append(lines, fmt.Sprintf("%s: %s from %s", o.Path, o.Op, o.From))
		}
	}
	return lines
}

func short(n *source.Node) string {
	if n == nil {
		return "nothing"
	}
	return cut(string(n.JSON()))
}

// cut keeps a value to a readable length.
func cut(text string) string {
	const most = 60
	if r := []rune(text); len(r) > most {
		return strings.TrimSpace(string(r[:most-3])) + "..."
	}
	return text
}

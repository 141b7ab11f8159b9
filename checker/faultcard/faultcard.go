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

	"kitgauge/checker/finding"
	"kitgauge/checker/source"
)

// Card is one fault.
type Card struct {
	Rule  string // the rule that it is a card of: "slack/steered"
	Fault string // what is wrong, in the trade's words
	Kit   string // the clean kit that it is put into
	// Limits are set otherwise while the card is played, for a fault that
	// would take a very large kit.
	Limits []Limit
	Patch  []Operation
	// Catalogue is put into the catalogues of the kit. A path begins with the
	// number of a part: /FG-T4/inner.
	Catalogue []Operation
	Finds     []Expected
	Node      *source.Node
	patch     jsonpatch.Patch
}

// Limit is a limit of the pack with the value that it has for one card.
type Limit struct{ Name, Is string }

// operations are those of RFC 6902.
var operations = []string{"add", "remove", "replace", "move", "copy", "test"}

// Operation is one operation of the patch.
type Operation struct {
	Op    string
	Path  string
	From  string
	Value string // as JSON; "" where there is none
}

// Expected is a finding that the fault causes.
type Expected struct {
	Rule   string
	Place  string
	Status finding.Status
}

// String is the rule and the place.
func (e Expected) String() string {
	s := e.Rule + " at " + e.Place
	if e.Status == finding.NotEvaluated {
		s += " (not evaluated)"
	}
	return s
}

// Read reads a file of cards. The JSON Schema has said what is wrong with its
// shape; what is missing here is left empty.
func Read(doc *source.Document) (pack string, cards []Card, problems []*source.Problem) {
	pack = scalar(doc.Root, "pack")
	list := doc.Root.Get("cards")
	if list == nil {
		return pack, nil, nil
	}
	for _, n := range list.Items {
		c := Card{Rule: pack + "/" + scalar(n, "rule"), Fault: scalar(n, "fault"), Kit: scalar(n, "kit"), Node: n}
		if m := n.Get("limits"); m != nil {
			for i, l := range m.Members {
				c.Limits = append(c.Limits, Limit{l.Key, m.Items[i].Scalar})
			}
		}
		if p := n.Get("patch"); p != nil {
			var err error
			if c.patch, err = jsonpatch.DecodePatch(p.JSON()); err != nil {
				problems = append(problems, &source.Problem{Pos: p.Pos(), Node: p, Message: "this is no JSON Patch", Remedy: "write a list of operations, each with op, path and value (RFC 6902)"})
			}
			for _, o := range p.Items {
				c.Patch = append(c.Patch, operation(o))
			}
		}
		if p := n.Get("catalogue"); p != nil {
			for _, o := range p.Items {
				c.Catalogue = append(c.Catalogue, operation(o))
			}
		}
		if finds := n.Get("finds"); finds != nil {
			for _, f := range finds.Items {
				e := Expected{Rule: scalar(f, "rule"), Place: scalar(f, "place"), Status: finding.Violated}
				if scalar(f, "status") == finding.NotEvaluated.String() {
					e.Status = finding.NotEvaluated
				}
				c.Finds = append(c.Finds, e)
			}
		}
		cards = append(cards, c)
	}
	return pack, cards, problems
}

func scalar(n *source.Node, key string) string {
	if m := n.Get(key); m != nil {
		return m.Scalar
	}
	return ""
}

func operation(n *source.Node) Operation {
	o := Operation{Op: scalar(n, "op"), Path: scalar(n, "path"), From: scalar(n, "from")}
	if v := n.Get("value"); v != nil {
		o.Value = string(v.JSON())
	}
	return o
}

// mostCopied bounds what the copies of a patch add up to: each that copies the
// whole kit into itself doubles it.
const mostCopied = 1 << 20

// Apply puts the fault into the clean kit and returns the text of the faulty
// one, as JSON.
func (c *Card) Apply(clean *source.Document) ([]byte, error) {
	for _, o := range append(c.Patch[:len(c.Patch):len(c.Patch)], c.Catalogue...) { // the library passes over one that it does not know
		if !slices.Contains(operations, o.Op) {
			return nil, fmt.Errorf("the patch does not fit the kit %q: there is no operation %q", c.Kit, o.Op)
		}
	}
	return apply(c.patch, clean, fmt.Sprintf("the kit %q", c.Kit))
}

// ApplyCatalogue puts the fault into a clean catalogue, as far as it holds the
// parts, and returns the text of the faulty one, as JSON.
func (c *Card) ApplyCatalogue(clean *source.Document) ([]byte, error) {
	place := map[string]int{}
	if parts := clean.Root.Get("parts"); parts != nil {
		for i, p := range parts.Items {
			place["/"+scalar(p, "number")] = i
		}
	}
	operations := []map[string]any{}
	for _, o := range c.Catalogue {
		end := len(o.Path)
		if second := strings.IndexByte(strings.TrimPrefix(o.Path, "/"), '/'); second >= 0 {
			end = 1 + second
		}
		i, here := place[o.Path[:end]]
		if !here {
			continue
		}
		m := map[string]any{"op": o.Op, "path": fmt.Sprintf("/parts/%d%s", i, o.Path[end:])}
		if o.Value != "" {
			m["value"] = json.RawMessage(o.Value)
		}
		operations = append(operations, m)
	}
	text, err := json.Marshal(operations)
	if err != nil {
		return nil, fmt.Errorf("the patch does not fit the catalogue %s: %w", clean.File, err)
	}
	patch, err := jsonpatch.DecodePatch(text)
	if err != nil {
		return nil, fmt.Errorf("the patch does not fit the catalogue %s: %w", clean.File, err)
	}
	return apply(patch, clean, "the catalogue "+clean.File)
}

func apply(patch jsonpatch.Patch, clean *source.Document, to string) ([]byte, error) {
	options := jsonpatch.NewApplyOptions()
	options.SupportNegativeIndices = false
	options.AccumulatedCopySizeLimit = mostCopied
	text, err := patch.ApplyWithOptions(clean.Root.JSON(), options)
	var tooMuch *jsonpatch.AccumulatedCopySizeError
	switch {
	case errors.As(err, &tooMuch):
		return nil, fmt.Errorf("the patch does not fit %s: it copies more than %d MiB", to, mostCopied>>20)
	case err != nil:
		return nil, fmt.Errorf("the patch does not fit %s: %w", to, err)
	}
	return text, nil
}

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

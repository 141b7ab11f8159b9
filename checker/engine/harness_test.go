package engine_test

import (
	"fmt"
	"strings"
	"testing"

	"kitgauge/checker/engine"
	"kitgauge/checker/source"
	"kitgauge/checker/units"
	"kitgauge/checker/value"
)

// The model of these tests: a box with rods in it.
type box struct {
	Node     *source.Node
	Title    value.Text   `key:"title"`
	Width    value.Number `key:"width" dim:"length"`
	Warmth   value.Number `key:"warmth" dim:"temperature"`
	Rods     []*rod       `key:"rods"`
	Labels   []value.Text `key:"labels"`
	RodCount value.Count  `key:"rod_count"`
}

type rod struct {
	Node     *source.Node
	Name     value.Text   `key:"name"`
	Length   value.Number `key:"length" dim:"length"`
	Diameter value.Number `key:"diameter" dim:"length"`
	Voltage  value.Number `key:"voltage" dim:"voltage"`
	Share    value.Number `key:"share" dim:"plain_number"`
	Warmth   value.Number `key:"warmth" dim:"temperature"`
	Count    value.Count  `key:"count"`
	Sound    value.Flag   `key:"sound"`
	Marks    []string     `key:"marks"`
	Steel    grade        `key:"steel"`
	Next     link         `key:"next"`
	Shape    value.Text   `key:"shape" words:"round,flat"`
}

type grade struct {
	Node *source.Node
	Name value.Text `key:"name"`
}

// link is a reference to another rod.
type link struct {
	To  *rod
	Why string
}

func (l *link) Unread() bool { return false }

func (l *link) Target() (any, bool, string) { return l.To, l.To != nil, l.Why }
func (l *link) Source() *source.Node        { return nil }

func (b *box) Place() string        { return "the box" }
func (b *box) Source() *source.Node { return b.Node }
func (r *rod) Place() string        { return "rod " + r.Name.Or("?") }
func (r *rod) Source() *source.Node { return r.Node }

var vocabulary = engine.NewTypes([]value.Kind{
	value.KindOf[box]("kit", "the box"),
	value.KindOf[rod]("rod", "a rod"),
}, nil)

func parse(t testing.TB, name, text string) *source.Document {
	t.Helper()
	docs, problems := source.Parse(name, []byte(text))
	if len(problems) > 0 || len(docs) != 1 {
		t.Fatalf("%q: %v", text, problems)
	}
	return docs[0]
}

// rods makes a world of rods of the lengths given, each at its own place of a
// file.
func rods(t testing.TB, lengths ...float64) *engine.Input {
	t.Helper()
	text := strings.Repeat("- {length: 0, rest: 0}\n", max(len(lengths), 1))
	root := parse(t, "box.yaml", text).Root
	b := &box{Node: root, Title: value.Known("a box"), Width: value.Known(0.3), Warmth: value.Known(293.15)}
	for i, length := range lengths {
		b.Rods = append(b.Rods, &rod{
			Node: root.Items[i], Name: value.Known(string(rune('A' + i%26))), Length: value.Known(length), Diameter: value.Known(0.01),
			Voltage: value.Known(24.0), Share: value.Known(0.5), Warmth: value.Known(243.15), Count: value.Known[int64](3), Sound: value.Known(true),
			Marks: []string{"x", "y"}, Steel: grade{Name: value.Known("S235")},
		})
	}
	return &engine.Input{Kit: b, Subjects: func(kind string) []engine.Subject {
		if kind == "kit" {
			return []engine.Subject{b}
		}
		var list []engine.Subject
		for _, r := range b.Rods {
			list = append(list, r)
		}
		return list
	}}
}

// of is the rod of that place in a world.
func of(w *engine.Input, i int) *rod { return w.Kit.(*box).Rods[i] }

// ruleText writes a pack of one rule with more members for it.
func ruleText(of string, members ...string) string {
	return "pack: p\ntitle: P\nlimits:\n  least: {is: 30 mm, basis: b, about: a}\n  share: {is: 0.05, basis: b, about: a}\nrules:\n" +
		fmt.Sprintf("  - id: r\n    title: R\n    of: %s\n    severity: major\n    basis: b\n    why: w\n    ", of) + strings.Join(members, "\n    ") + "\n"
}

// pack reads a pack that has no faults of its shape.
func pack(t testing.TB, text string) *engine.Pack {
	t.Helper()
	p, problems := engine.ReadPack(parse(t, "pack.yaml", text), vocabulary)
	for _, problem := range problems {
		t.Fatal(problem)
	}
	return p
}

// evaluate runs a pack of one rule that compiles.
func evaluate(t testing.TB, w *engine.Input, text string) engine.Outcome {
	t.Helper()
	p := pack(t, text)
	for _, problem := range p.Compile() {
		t.Fatal(problem)
	}
	out, problems := p.Evaluate(w, engine.Options{Margins: true})
	for _, problem := range problems {
		t.Fatal(problem)
	}
	return out
}

const metric = units.Metric

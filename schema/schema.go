// Package schema holds the JSON Schemas (draft 2020-12) of the files that
// people write: the kit, the parts catalogue, concessions, settings, the rule
// pack and its fault cards; and of the result and the comparison that the
// program writes. An editor completes and explains members from them, and
// Validate reports what does not fit in the words of the file. It is the only
// package that imports a JSON Schema library.
package schema

import (
	"bytes"
	_ "embed"
	"errors"
	"fmt"
	"maps"
	"slices"
	"sync"

	"github.com/santhosh-tekuri/jsonschema/v5"

	"kitgauge/checker/source"
)

var (
	//go:embed cards.schema.json
	cardsText []byte
	//go:embed compare.schema.json
	compareText []byte
	//go:embed concessions.schema.json
	concessionsText []byte
	//go:embed kit.schema.json
	kitText []byte
	//go:embed pack.schema.json
	packText []byte
	//go:embed parts.schema.json
	partsText []byte
	//go:embed result.schema.json
	resultText []byte
	//go:embed settings.schema.json
	settingsText []byte
)

// document is one schema in the two forms that Validate needs, both made on
// first use: compiled to decide, and as a tree to explain.
type document struct {
	text     []byte
	lean     bool // its lean form is what is compiled
	compiled func() *jsonschema.Schema
	tree     func() *source.Node
	shape    func() source.Shape
}

var documents = map[string]*document{
	"cards":       newDocument("cards", cardsText, false),
	"compare":     newDocument("compare", compareText, false),
	"concessions": newDocument("concessions", concessionsText, false),
	"kit":         newDocument("kit", kitText, true),
	"pack":        newDocument("pack", packText, false),
	"parts":       newDocument("parts", partsText, true),
	"result":      newDocument("result", resultText, false),
	"settings":    newDocument("settings", settingsText, false),
}

// newDocument takes a schema. The lean form is for those that every check
// needs: the library compiles it in a fraction of the time.
func newDocument(name string, text []byte, lean bool) *document {
	d := &document{text: text, lean: lean}
	d.tree = sync.OnceValue(func() *source.Node { return parse(name, text) })
	d.shape = sync.OnceValue(func() source.Shape { return shapeOf(ruleOf(d.tree())) })
	d.compiled = sync.OnceValue(func() *jsonschema.Schema { return compile(name, d.decides()) })
	return d
}

// decides is the text that is compiled.
func (d *document) decides() []byte {
	if d.lean {
		return lean(d.tree())
	}
	return d.text
}

// compile panics on a faulty schema, which is a mistake of the program.
func compile(name string, text []byte) *jsonschema.Schema {
	c := jsonschema.NewCompiler()
	c.Draft = jsonschema.Draft2020
	url := "https://kitgauge.example/schema/" + name + ".json" // the schema's own $id; nothing is fetched
	if err := c.AddResource(url, bytes.NewReader(text)); err != nil {
		panic(fmt.Sprintf("schema: %s: %v", name, err))
	}
	return c.MustCompile(url)
}

// parse reads the schema with the reader of kit files, which keeps the order
// of members, so that messages list them as the schema does.
func parse(name string, text []byte) *source.Node {
	docs, problems := source.Parse(name+".schema.json", text)
	if len(problems) > 0 {
		panic("schema: " + problems[0].Error())
	}
	return docs[0].Root
}

// Prepare compiles a schema ahead of its first use.
func Prepare(name string) { documents[name].compiled() }

// Names lists the schemas, in alphabetical order.
func Names() []string { return slices.Sorted(maps.Keys(documents)) }

// Text returns the text of a schema.
func Text(name string) ([]byte, bool) {
	d, ok := documents[name]
	if !ok {
		return nil, false
	}
	return bytes.Clone(d.text), true
}

// Validate reports where the file does not fit the schema of that name, in
// the order of the file. It says nothing of a measured value: package kit
// does, with the units that are accepted. A value of the wrong kind is
// reported in the words that package kit has for it, so that the two can be
// told to be one fault. It panics on a name that [Names] does not list.
//
// Validate may be called from several goroutines at once.
func Validate(name string, root *source.Node) []*source.Problem {
	d, ok := documents[name]
	if !ok {
		panic("schema: there is no schema " + name)
	}
	return d.validate(root)
}

func (d *document) validate(root *source.Node) []*source.Problem {
	err := d.verdict(root)
	if err == nil {
		return nil
	}
	e := explainer{root: root, schema: d.tree(), faults: map[place]fault{}}
	e.collect(err)
	return e.problems()
}

// verdict is the library's answer; nil where the file fits.
func (d *document) verdict(root *source.Node) *jsonschema.ValidationError {
	err := d.compiled().Validate(named(root.Plain()))
	if err == nil {
		return nil
	}
	var invalid *jsonschema.ValidationError
	if !errors.As(err, &invalid) { // a tree of package source holds JSON values only
		panic("schema: " + err.Error())
	}
	return invalid
}

// noName stands for an empty key while the library looks at a file: the
// library leaves empty keys out of the places that it reports. It is not UTF-8,
// as every key of a file is.
const noName = "\xff"

// named gives empty keys a name, in place.
func named(v any) any {
	switch v := v.(type) {
	case []any:
		for _, item := range v {
			named(item)
		}
	case map[string]any:
		for _, item := range v {
			named(item)
		}
		if item, has := v[""]; has {
			delete(v, "")
			v[noName] = item
		}
	}
	return v
}

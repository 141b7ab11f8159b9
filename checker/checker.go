// Package checker is the public face of kitgauge: it loads kits, checks them
// and returns the results. The stages stand in the packages below it and run
// one way:
//
//	source -> schema -> kit -> quantities -> engine -> finding
//
// A fault in an early stage never hides what a later one can still say.
//
// The Go API is not a promise; the command line, the rule ids, the exit
// statuses and the schemas are.
package checker

import (
	"fmt"
	"runtime"
	"slices"
	"sync"

	"kitgauge/checker/engine"
	"kitgauge/checker/finding"
	"kitgauge/checker/kit"
	"kitgauge/checker/quantities"
	"kitgauge/checker/source"
	"kitgauge/rules"
)

// Options changes what a Checker does.
type Options struct {
	// ReadFile reads a catalogue that a kit names; the file lies below the
	// tree. Nil reads files of the operating system.
	ReadFile func(tree, file string) ([]byte, error)
	// Margins asks for the least margin of every rule.
	Margins bool
	// Packs names the built-in packs to use; nil means all.
	Packs []string
}

// Result is what the check of one kit gave.
type Result struct {
	File     string
	Document int // from 0, in its file
	Number   string
	Revision string
	Title    string
	Status   string
	// Shaped is false where the file could not be read, or is not of the
	// shape of a kit: then parts of it were not checked.
	Shaped   bool
	Findings []finding.Finding
	engine.Outcome
	Text  *source.Document // nil where nothing could be read
	Facts *quantities.Kit  // nil where nothing could be read
}

// Checker checks kits. It is safe for use by several goroutines.
type Checker struct {
	options    Options
	packs      func() ([]*engine.Pack, []*source.Problem)
	catalogues catalogues
}

// vocabulary is made once: it depends on the program alone.
var vocabulary = sync.OnceValue(func() *engine.Vocabulary {
	var kinds []engine.Kind
	for _, k := range quantities.Kinds() {
		kinds = append(kinds, engine.Kind(k))
	}
	return engine.NewVocabulary(kinds)
})

// New returns a Checker. The packs are read at once, in the background.
func New(o Options) *Checker {
	if o.ReadFile == nil {
		o.ReadFile = readWithin
	}
	names := o.Packs
	if names == nil {
		names = rules.Names()
	}
	c := &Checker{options: o}
	c.packs = sync.OnceValues(func() ([]*engine.Pack, []*source.Problem) { return readPacks(names) })
	go c.packs()
	return c
}

// Packs returns the rule packs in use, and what is wrong with them.
func (c *Checker) Packs() ([]*engine.Pack, []*source.Problem) { return c.packs() }

func readPacks(names []string) ([]*engine.Pack, []*source.Problem) {
	packs := make([]*engine.Pack, len(names))
	problems := make([][]*source.Problem, len(names))
	vocabulary()
	parallel(len(names), func(i int) {
		packs[i], problems[i] = readPack(names[i])
	})
	packs = slices.DeleteFunc(packs, func(p *engine.Pack) bool { return p == nil })
	return packs, slices.Concat(problems...)
}

func readPack(name string) (*engine.Pack, []*source.Problem) {
	file, text, found := rules.Pack(name)
	if !found {
		return nil, []*source.Problem{{Message: fmt.Sprintf("there is no pack %q", name), Remedy: fmt.Sprintf("the packs are %v", rules.Names())}}
	}
	return ReadPack(file, text)
}

// ReadPack reads the text of a rule pack.
func ReadPack(file string, text []byte) (*engine.Pack, []*source.Problem) {
	docs, problems := source.Parse(file, text)
	if len(problems) > 0 || len(docs) == 0 {
		return nil, problems
	}
	return engine.ReadPack(docs[0], vocabulary())
}

// parallel runs f(0) ... f(n-1) on as many goroutines as can run at once.
func parallel(n int, f func(i int)) {
	if n == 1 {
		f(0)
		return
	}
	var wg sync.WaitGroup
	next := make(chan int, n)
	for i := range n {
		next <- i
	}
	close(next)
	for range min(n, runtime.GOMAXPROCS(0)) {
		wg.Go(func() {
			for i := range next {
				f(i)
			}
		})
	}
	wg.Wait()
}

// Check checks every kit of a file's text. The error is a *BrokenPacks where
// a rule pack is faulty; everything wrong with the kit is in the results.
func (c *Checker) Check(file string, text []byte) ([]*Result, error) {
	docs, problems := source.Parse(file, text)
	if len(docs) == 0 {
		r := &Result{File: file}
		r.fault("file/syntax", problems...)
		r.seal("")
		return []*Result{r}, nil
	}
	var results []*Result
	for _, doc := range docs {
		r := &Result{File: file, Document: doc.Index, Shaped: true, Text: doc}
		r.fault("file/syntax", within(problems, doc, docs)...)
		if err := c.document(r, doc); err != nil {
			return nil, err
		}
		results = append(results, r)
	}
	return results, nil
}

// within picks the problems that stand in one of the file's documents.
func within(problems []*source.Problem, doc *source.Document, docs []*source.Document) []*source.Problem {
	var out []*source.Problem
	for _, p := range problems {
		holder := docs[0]
		for _, d := range docs {
			if d.Root.Line <= p.Pos.Line {
				holder = d
			}
		}
		if holder == doc {
			out = append(out, p)
		}
	}
	return out
}

// document takes one kit through the stages.
func (c *Checker) document(r *Result, doc *source.Document) error {
	if kit.IsCatalogue(doc.Root) {
		r.fault("file/shape", &source.Problem{Pos: doc.Root.Pos(), Node: doc.Root, Message: "this is a parts catalogue, not a kit", Remedy: "name it under catalogues: in a kit, and check the kit"})
		r.seal("")
		return nil
	}
	r.shape(doc.Root)
	model, problems := kit.Read(doc)
	r.fault("file/value", problems...)
	catalogue, problems := c.catalogue(model)
	r.fault("file/catalogue", problems...)
	r.fault("file/reference", model.Resolve(catalogue)...)
	r.Facts = quantities.Compute(model)
	r.Number, r.Revision = model.Header.Number.V, model.Header.Revision.V
	r.Title, r.Status = model.Header.Title.V, model.Header.Status.V
	if err := c.evaluate(r); err != nil {
		return err
	}
	r.seal(r.Number)
	return nil
}

// BrokenPacks is the error of a check that could not use its rule packs.
type BrokenPacks struct{ Problems []*source.Problem }

// Error lists the problems, a line each.
func (b *BrokenPacks) Error() string {
	text := ""
	for i, p := range b.Problems {
		if i > 0 {
			text += "\n"
		}
		text += p.Error()
	}
	return text
}

func (c *Checker) evaluate(r *Result) error {
	packs, broken := c.packs()
	if len(broken) > 0 {
		return &BrokenPacks{broken}
	}
	world := &engine.World{Kit: r.Facts, Family: r.Facts.Family(), Subjects: func(kind string) []engine.Subject {
		list := r.Facts.Subjects(kind)
		out := make([]engine.Subject, len(list))
		for i, s := range list {
			out[i] = s
		}
		return out
	}}
	outcomes := make([]engine.Outcome, len(packs))
	problems := make([][]*source.Problem, len(packs))
	parallel(len(packs), func(i int) {
		outcomes[i], problems[i] = packs[i].Evaluate(world, engine.Options{Margins: c.options.Margins})
	})
	if broken := slices.Concat(problems...); len(broken) > 0 {
		return &BrokenPacks{broken}
	}
	for _, o := range outcomes {
		r.Findings = append(r.Findings, o.Findings...)
		r.Rules += o.Rules
		r.Checks += o.Checks
		r.NotEvaluated += o.NotEvaluated
		r.Margins = append(r.Margins, o.Margins...)
	}
	return nil
}

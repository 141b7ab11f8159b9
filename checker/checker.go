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
	"time"

	"kitgauge/checker/engine"
	"kitgauge/checker/facts"
	"kitgauge/checker/finding"
	"kitgauge/checker/kit"
	"kitgauge/checker/source"
	"kitgauge/rules"
	"kitgauge/schema"
)

// Options changes what a Checker does.
type Options struct {
	// ReadFile reads a file for the kit whose catalogues or concessions it
	// holds. Nil reads files of the operating system, within the tree that
	// holds the kit.
	ReadFile func(kit, file string) ([]byte, error)
	// Dir is the directory that the names of kits are relative to; "" is the
	// working directory. What is found in a kit then does not depend on where
	// the program runs.
	Dir string
	// Margins asks for the least margin of every rule.
	Margins bool
	// Packs names the built-in packs to use; nil means all, and those that
	// the settings add.
	Packs []string
	// Settings is a settings file for all kits. Where it is empty, settings
	// are looked for from each kit's directory upwards, unless NoSettings.
	Settings   string
	NoSettings bool
	// On is the day for which concessions are judged: 2026-11-25. Where it
	// is empty, none applies.
	On string
	// Known is the record of known findings.
	Known []finding.Entry
	// Time is how long the check of one kit may take before it is given up; 0
	// sets no limit.
	Time time.Duration

	limits map[string]float64 // set otherwise for one fault card
	added  []*engine.Pack     // beside the built-in packs
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
	Gone  []finding.Entry   // known findings of this kit that were not found again
	Given int               // concessions that the kit states
	Gate  *finding.Severity // of the settings; nil where they set none
	Text  *source.Document  // without a Root where nothing could be read
	Facts *facts.Kit        // nil where nothing could be read
	// Inputs are the texts that went into the check, the kit first.
	Inputs []Input
}

// Checker checks kits. It is safe for use by several goroutines.
type Checker struct {
	options    Options
	packs      func() ([]*engine.Pack, []*source.Problem)
	catalogues onceCache[*catalogueFile] // by tree and file
	trees      onceCache[string]         // the tree of each directory
	profiles   onceCache[configRead]     // by settings file
	settings   onceCache[string]         // the settings file of each directory
}

// vocabulary is made once: it depends on the program alone.
var vocabulary = sync.OnceValue(func() *engine.Types {
	var kinds []engine.Kind
	for _, k := range facts.Kinds() {
		kinds = append(kinds, engine.Kind(k))
	}
	var functions []engine.Function
	for _, f := range facts.Functions() {
		args := make([]engine.Argument, len(f.Args))
		for i, a := range f.Args {
			args[i] = engine.Argument(a)
		}
		functions = append(functions, engine.Function{Name: f.Name, Doc: f.Doc, Args: args, Result: f.Result, Call: f.Call})
	}
	return engine.NewTypes(kinds, functions)
})

// Types is what the expressions of rules can name.
func Types() *engine.Types { return vocabulary() }

// New returns a Checker. The packs are read at once, in the background.
func New(o Options) *Checker {
	if o.ReadFile == nil {
		o.ReadFile = o.readInTree
	}
	names := o.Packs
	if names == nil {
		names = rules.Names()
	}
	c := &Checker{options: o}
	c.packs = sync.OnceValues(func() ([]*engine.Pack, []*source.Problem) {
		packs, problems := readPacks(names)
		return append(packs, o.added...), problems
	})
	go c.prepare()
	go schema.Prepare("kit")
	return c
}

// prepare reads the packs and compiles the rules while the first kit is still
// being read; an evaluation waits only for what it needs.
func (c *Checker) prepare() {
	packs, _ := c.packs()
	for _, p := range packs {
		p.Prepare()
	}
}

// Packs returns the rule packs in use, and what is wrong with them.
func (c *Checker) Packs() ([]*engine.Pack, []*source.Problem) { return c.packs() }

func readPacks(names []string) ([]*engine.Pack, []*source.Problem) {
	packs := make([]*engine.Pack, len(names))
	problems := make([][]*source.Problem, len(names))
	vocabulary()
	Parallel(len(names), func(i int) {
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
	doc, err := source.Unpack(file, text, rules.Packed(name))
	if err != nil { // it is not there, or damaged: the text is what counts
		return ReadPack(file, text)
	}
	pack, problems := engine.ReadPack(doc, vocabulary())
	if pack != nil {
		pack.Unbudgeted = true // a test holds the built-in rules to the budget
		pack.Compiled = compiled()
	}
	return pack, problems
}

// compiled is nil where the embedded form is damaged: then the packs are
// compiled from their text.
var compiled = sync.OnceValue(func() *engine.Compiled {
	c, err := engine.ReadCompiled(rules.Compiled)
	if err != nil {
		return nil
	}
	return c
})

// ReadPack reads the text of a rule pack.
func ReadPack(file string, text []byte) (*engine.Pack, []*source.Problem) {
	docs, problems := source.Parse(file, text)
	if len(problems) > 0 || len(docs) == 0 {
		return nil, problems
	}
	return engine.ReadPack(docs[0], vocabulary())
}

// Parallel runs f(0) ... f(n-1) on as many goroutines as can run at once.
func Parallel(n int, f func(i int)) {
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
	return c.CheckAt(file, 1, text)
}

// CheckAt is Check for text that begins at a line of the file: a kit of a
// stream that holds one on each line.
func (c *Checker) CheckAt(file string, line int, text []byte) ([]*Result, error) {
	docs, problems := source.ParseAt(file, line, text)
	if len(docs) == 0 {
		return []*Result{Unread(file, text, problems...)}, nil
	}
	var results []*Result
	for _, doc := range docs {
		r := &Result{File: file, Document: doc.Index, Shaped: true, Text: doc, Inputs: []Input{{Role: RoleKit, Name: file, Text: text}}}
		r.fault("file/syntax", inDocument(problems, doc, docs)...)
		if err := c.document(r, doc); err != nil {
			return nil, err
		}
		results = append(results, r)
	}
	return results, nil
}

// Unread is the result of text of which nothing could be read.
func Unread(file string, text []byte, problems ...*source.Problem) *Result {
	r := &Result{File: file, Text: &source.Document{File: file, Text: text}, Inputs: []Input{{Role: RoleKit, Name: file, Text: text}}}
	r.fault("file/syntax", problems...)
	r.seal("")
	return r
}

// inDocument picks the problems that stand in one of the file's documents.
func inDocument(problems []*source.Problem, doc *source.Document, docs []*source.Document) []*source.Problem {
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

// document takes one kit through the stages, unless that takes too long.
func (c *Checker) document(r *Result, doc *source.Document) error {
	w := newWatch(c.options.Time)
	defer w.stop()
	if err := c.stages(r, doc, w); err != nil {
		return err
	}
	if w.late() {
		*r = Result{File: r.File, Document: r.Document, Text: doc, Inputs: r.Inputs}
		r.fault("file/time", w.problem(doc))
		r.seal("")
	}
	return nil
}

func (c *Checker) stages(r *Result, doc *source.Document, w *watch) error {
	if kit.IsCatalogue(doc.Root) {
		r.fault("file/shape", &source.Problem{Pos: doc.Root.Pos(), Node: doc.Root, Message: "this is a parts catalogue, not a kit", Remedy: "name it under catalogues: in a kit, and check the kit"})
		r.seal("")
		return nil
	}
	if !looksLikeKit(doc.Root) {
		r.fault("file/shape", &source.Problem{Pos: doc.Root.Pos(), Node: doc.Root, Message: "this is not a kit file", Remedy: "a kit has the members header, points, pump and lines; see kitgauge schema"})
		r.seal("")
		return nil
	}
	trimmed, problems := kit.Truncate(doc)
	r.fault("file/shape", problems...)
	shape := make(chan []*source.Problem, 1)
	go func() { shape <- schema.Validate("kit", trimmed.Root) }() // nothing below waits for it
	model, problems := kit.Read(trimmed)
	r.fault("file/value", problems...)
	catalogue, read := c.catalogue(model)
	r.Inputs = append(r.Inputs, read.inputs...)
	r.fault("file/catalogue", read.problems...)
	r.fault("file/reference", model.Resolve(catalogue)...)
	r.fault("file/concessions", c.beside(r, model)...)
	r.Facts = facts.ComputeUntil(model, w.over)
	if w.over() {
		<-shape // nothing goes on behind the caller's back
		return nil
	}
	r.Number, r.Revision = model.Header.Number.V, model.Header.Revision.V
	r.Title, r.Status = model.Header.Title.V, model.Header.Status.V
	if err := c.evaluate(r, w); err != nil {
		return err
	}
	r.fault("file/shape", <-shape...)
	for _, shape := range read.shapes {
		r.fault("file/catalogue", shape()...)
	}
	r.seal(r.Number)
	profile, err := c.Config(r.File)
	if err != nil {
		return err
	}
	r.concede(c.options.On, givenOf(model.Concessions, profile.Packs))
	r.Gone = finding.MatchBaseline(r.Findings, r.Omitted, r.Number, c.options.Known)
	r.cut()
	return nil
}

// looksLikeKit reports whether there is anything of a kit to check.
func looksLikeKit(root *source.Node) bool {
	for _, key := range []string{"header", "points", "pump", "lines"} {
		if root.Get(key) != nil {
			return true
		}
	}
	return false
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

func (c *Checker) evaluate(r *Result, w *watch) error {
	profile, err := c.Config(r.File)
	if err != nil {
		return err
	}
	packs := profile.Packs
	r.Inputs = append(r.Inputs, profile.inputs...)
	if s := profile.Settings; s != nil && s.HasGate {
		r.Gate = &s.Gate
	}
	subjects := map[string][]engine.Subject{}
	for _, kind := range facts.Kinds() {
		for _, it := range r.Facts.Subjects(kind.Name) {
			subjects[kind.Name] = append(subjects[kind.Name], it)
		}
	}
	world := &engine.Input{Kit: r.Facts, Family: r.Facts.Family(), Subjects: func(kind string) []engine.Subject { return subjects[kind] }, Stop: w.over}
	outcomes := make([]engine.Outcome, len(packs))
	problems := make([][]*source.Problem, len(packs))
	Parallel(len(packs), func(i int) {
		outcomes[i], problems[i] = packs[i].Evaluate(world, profile.options)
	})
	if broken := slices.Concat(problems...); len(broken) > 0 {
		return &BrokenPacks{broken}
	}
	for _, o := range outcomes {
		r.Findings = append(r.Findings, o.Findings...)
		r.Omitted = append(r.Omitted, o.Omitted...)
		r.Steps += o.Steps
		r.Rules += o.Rules
		r.Checks += o.Checks
		r.NotEvaluated += o.NotEvaluated
		r.Margins = append(r.Margins, o.Margins...)
	}
	return nil
}

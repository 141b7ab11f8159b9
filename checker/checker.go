// Package checker is the public face of kitgauge: it loads kits, checks them
// and returns the results. The stages stand in the packages below it and run
// one way:
//
//	source -> schema -> kit -> facts -> engine -> finding -> report
//
// A check gathers every input first (inputs.go, catalogue.go), computes and
// evaluates (checker.go), then collects all that is wrong once and judges it
// (result.go). A fault in an early stage never hides what a later one can still
// say. [Checker.Report] hands results to the formats below package report.
//
// The Go API is not a promise; the command line, the rule ids, the exit
// statuses and the schemas are.
package checker

import (
	"cmp"
	"context"
	"fmt"
	"io"
	"maps"
	"runtime"
	"slices"
	"strings"
	"sync"
	"time"

	"golang.org/x/sync/errgroup"

	"kitgauge/checker/engine"
	"kitgauge/checker/facts"
	"kitgauge/checker/files"
	"kitgauge/checker/finding"
	"kitgauge/checker/internal/once"
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
	// Files is where kits, catalogues, concessions, settings and packs come
	// from in place of the disk; nil reads the disk.
	Files files.Store
	// Remember keeps what the joints' motion gives, for the next check of much
	// the same kit: it takes as much of the budgets, and less time.
	Remember bool
	memory   *facts.Memory
	// Dir is the directory that the names of kits are relative to; "" is the
	// working directory. What is found in a kit then does not depend on where
	// the program runs.
	Dir string
	// Stdin is what the file - stands for, and StdinAs the file whose text it is
	// taken for: what belongs to a kit is looked for from there. Where it is
	// empty, that is the working directory.
	Stdin   io.Reader
	StdinAs string
	// Margins asks for the least margin of every rule, Figures for all that is
	// computed.
	Margins, Figures bool
	// Packs names the built-in packs to use; nil means all, and those that
	// the settings add.
	Packs []string
	// Settings is a settings file for all kits. Where it is empty, settings
	// are looked for from each kit's directory upwards, unless NoSettings.
	Settings   string
	NoSettings bool
	// Gate is the gate for all kits; nil leaves it to their settings, and to
	// major where they set none.
	Gate *finding.Severity
	// On is the day for which concessions are judged: 2026-11-25. Where it
	// is empty, none applies.
	On string
	// Known is the record of known findings; nil where none is used.
	Known *Known
	// Slips is how often a kit in which much or something grave is found may be
	// checked again to look for the one slip that explains it ([slip.Usual]); 0
	// looks for none. EverySlip looks for one behind any finding.
	Slips     int
	EverySlip bool
	// Time is how long the check of one kit may take before it is given up; 0
	// sets no limit.
	Time time.Duration

	// Policy is where that is read from by which kits are judged; nil reads it
	// from the tree that holds them.
	Policy *Policy
	// NoConcessions takes no concession.
	NoConcessions bool

	layers []string           // the settings files for all kits, the outermost first; nil where they are looked for
	limits map[string]float64 // set otherwise for one fault card
	added  []*engine.Pack     // beside the built-in packs
}

// Checker checks kits. It is safe for use by several goroutines.
type Checker struct {
	options    Options
	packs      func() ([]*engine.Pack, []*source.Problem)
	catalogues once.Cache[*catalogueFile] // by tree and file
	trees      once.Cache[string]         // the tree of each directory
	configs    once.Cache[configRead]     // by settings files
	settings   once.Cache[[]string]       // the settings files of each directory
	treeOnce   sync.Once
	tree       *Checker // see ofTree
}

// vocabulary is made once: it depends on the program alone.
var vocabulary = sync.OnceValue(func() *engine.Types {
	return engine.NewTypes(facts.Kinds(), facts.Functions())
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
	if o.Remember && o.memory == nil {
		o.memory = &facts.Memory{}
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
	pack, problems := ReadPack(file, text)
	if pack != nil {
		pack.Unbudgeted = true // a test holds the built-in rules to the budget
		pack.Use(compiled())
	}
	return pack, problems
}

// compiled is nil where the embedded form is damaged: then the packs are
// compiled from their text.
var compiled = sync.OnceValue(func() *engine.Compiled {
	c, err := engine.ReadCompiled(rules.Compiled())
	if err != nil {
		return nil
	}
	return c
})

// CompileRules returns the compiled form of the built-in packs, of which
// rules/compiled.bin is a copy.
func CompileRules() ([]byte, error) {
	var packs []*engine.Pack
	for _, name := range rules.Names() {
		file, text, _ := rules.Pack(name)
		pack, problems := ReadPack(file, text)
		if len(problems) > 0 {
			return nil, problems[0]
		}
		packs = append(packs, pack)
	}
	return engine.Compile(packs)
}

// ReadPack reads the text of a rule pack.
func ReadPack(file string, text []byte) (*engine.Pack, []*source.Problem) {
	docs, problems := source.Parse(file, text)
	if len(problems) > 0 || len(docs) == 0 {
		return nil, begins(problems, "a rule pack begins with pack: and its name")
	}
	return engine.ReadPack(docs[0], vocabulary())
}

// Parallel runs f(0) ... f(n-1) on as many goroutines as can run at once.
func Parallel(n int, f func(i int)) {
	var all errgroup.Group
	all.SetLimit(runtime.GOMAXPROCS(0))
	for i := range n {
		all.Go(func() error {
			f(i)
			return nil
		})
	}
	_ = all.Wait() // none gives an error
}

// Check checks every kit of a file's text. The error is a *BrokenPacks where
// a rule pack is faulty; everything wrong with the kit is in the results.
func (c *Checker) Check(file string, text []byte) ([]*Result, error) {
	return c.CheckAt(file, 1, text)
}

// CheckAt is Check for text that begins at a line of the file: a kit of a
// stream that holds one on each line.
func (c *Checker) CheckAt(file string, line int, text []byte) ([]*Result, error) {
	return c.checkAt(context.Background(), file, line, text)
}

// CheckContext is Check that is given up, with the error of the context, once
// that is over: what is checked has been typed over.
func (c *Checker) CheckContext(ctx context.Context, file string, text []byte) ([]*Result, error) {
	return c.checkAt(ctx, file, 1, text)
}

func (c *Checker) checkAt(ctx context.Context, file string, line int, text []byte) ([]*Result, error) {
	began := time.Now() // what reading takes counts
	docs, syntax := source.ParseAt(file, line, text, schema.Shape("kit"))
	if len(docs) == 0 {
		return []*Result{c.Unread(file, text, syntax...)}, nil
	}
	var results []*Result
	for _, doc := range docs {
		r, err := c.document(ctx, doc, Input{Role: RoleKit, Name: file, Text: text}, inDocument(syntax, doc, docs), began)
		began = time.Now()
		if err != nil {
			return nil, err
		}
		results = append(results, r)
	}
	return results, nil
}

// Unread is the result of text of which nothing could be read.
func (c *Checker) Unread(file string, text []byte, why ...*source.Problem) *Result {
	r := c.result(&source.Document{File: file, Text: text}, Input{Role: RoleKit, Name: file, Text: text})
	var found problems
	found.add("file/syntax", why...)
	r.collect(found, engine.Outcome{})
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
func (c *Checker) document(ctx context.Context, doc *source.Document, text Input, syntax []*source.Problem, began time.Time) (*Result, error) {
	w := newWatch(c.options.Time, began)
	defer w.stop()
	defer context.AfterFunc(ctx, w.ring)()
	r := c.result(doc, text)
	if found := misread(doc.Root, syntax); found != nil {
		r.collect(*found, engine.Outcome{})
		return r, nil
	}
	in, err := c.gather(text, doc, syntax)
	if err != nil {
		return nil, err
	}
	r = c.result(doc, in.texts...)
	if err := c.stages(r, in, w); err != nil {
		return nil, err
	}
	if err := ctx.Err(); err != nil {
		in.shape()
		return nil, err
	}
	if w.late() {
		in.shape() // nothing goes on behind the caller's back
		r = c.result(doc, in.texts...)
		r.collect(w.problem(doc), engine.Outcome{})
	}
	return r, nil
}

// stages computes, evaluates, collects and judges; where the time is over it
// stops, and the result is of no use.
func (c *Checker) stages(r *Result, in *inputs, w *watch) error {
	r.Facts = facts.Compute(in.kit, facts.Options{Limit: in.config.Limit, On: c.options.On, Stop: w.over, Memory: c.options.memory})
	if w.over() {
		return nil
	}
	outcome, err := evaluate(r.Facts, in.config, w)
	if err != nil {
		return err
	}
	header := &in.kit.Header
	r.Number, r.Revision, r.Title, r.Status = header.Number.V, header.Revision.V, header.Title.V, header.Status.V
	r.collect(in.judged(outcome), outcome)
	r.Weakened = in.config.Weakened(c.options.Gate == nil)
	r.Unexplained = in.config.unexplained()
	if c.options.Packs != nil {
		r.LeftOut = slices.DeleteFunc(rules.Names(), func(pack string) bool { return slices.Contains(c.options.Packs, pack) })
	}
	t := &trials{of: r, in: in, watch: w, on: c.options.On, memory: cmp.Or(c.options.memory, &facts.Memory{})}
	t.relate()
	given := in.given()
	r.judge(&c.options, given, in.config.Limit("paperwork/concession_share").V)
	r.relateConcessions(given)
	in.elsewhere.tell(r.Findings)
	t.slips(&c.options)
	r.look = t.look
	if s := in.config.Settings; s != nil && s.HasGate {
		r.Gate = &s.Gate
	}
	if c.options.Figures {
		r.Figures = figures(r.Facts)
	}
	return nil
}

// misread says what keeps a document from being checked: it holds nothing of a
// kit, or says by its indentation what it should not, of which all else that is
// wrong may come. nil where nothing does.
func misread(root *source.Node, syntax []*source.Problem) *problems {
	var found problems
	if p := schema.Misplaced("kit", root); p != nil && (len(syntax) == 0 || p.Pos.Line <= syntax[0].Pos.Line) {
		found.add("file/shape", p)
		return &found
	}
	why := notAKit(root)
	if why == nil {
		return nil
	}
	found.add("file/syntax", syntax...)
	found.add("file/shape", why)
	return &found
}

// notAKit says what a file is that holds nothing of a kit; nil for a kit.
func notAKit(root *source.Node) *source.Problem {
	if kit.IsCatalogue(root) {
		return &source.Problem{Pos: root.Pos(), Node: root, Message: "this is a parts catalogue, not a kit", Remedy: "name it under catalogues: in a kit, and check the kit"}
	}
	for _, key := range []string{"header", "points", "pump", "lines"} {
		if root.Get(key) != nil {
			return nil
		}
	}
	return &source.Problem{Pos: root.Pos(), Node: root, Message: "this is not a kit file", Remedy: "a kit has the members header, points, pump and lines; see kitgauge schema"}
}

// cutOff says that a kit may have been cut off: its last line has no end, and
// what follows that section in a kit is missing. A draft is still being written,
// and many editors end no last line.
func cutOff(root *source.Node) []*source.Problem {
	text := root.Document().Text
	if n := len(text); n == 0 || text[n-1] == '\n' || text[n-1] == '\r' || root.Kind != source.Map || root.Flow() {
		return nil
	}
	if status := root.Get("header").Get("status"); status == nil || status.Scalar == "draft" {
		return nil
	}
	keys := slices.DeleteFunc(schema.Of("kit").Keys(), func(key string) bool { return key == "concessions" }) // few have any
	last := root.Members[len(root.Members)-1].Key
	missing := slices.DeleteFunc(keys[1+slices.Index(keys, last):], func(key string) bool { return root.Get(key) != nil })
	if len(missing) == 0 || last == "concessions" {
		return nil
	}
	at := root.End()
	return []*source.Problem{{
		Pos: at, Node: root, Whole: true,
		Message: fmt.Sprintf("the file ends in the middle of line %d, as if it were cut off, and holds nothing of %s", at.Line, strings.Join(missing, ", ")),
		Remedy:  "get the whole of it again; or, where this is all there is yet, end its last line",
	}}
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

// evaluate evaluates the packs in use.
func evaluate(k *facts.Kit, config *Config, w *watch) (engine.Outcome, error) {
	subjects := map[string][]engine.Subject{}
	for _, kind := range facts.Kinds() {
		for _, it := range k.Subjects(kind.Name) {
			subjects[kind.Name] = append(subjects[kind.Name], it)
		}
	}
	input := &engine.Input{Kit: k, Family: k.Family(), Subjects: func(kind string) []engine.Subject { return subjects[kind] }, Stop: w.over}
	outcomes := make([]engine.Outcome, len(config.Packs))
	problems := make([][]*source.Problem, len(config.Packs))
	var own []int
	var shares []func()
	for i, p := range config.Packs {
		if !p.Unbudgeted {
			own = append(own, i)
			continue
		}
		shares = append(shares, func() { outcomes[i], problems[i] = p.Evaluate(input, config.options) })
	}
	shares = append(shares, func() { // one after the other: they share their steps
		options := config.options
		for _, i := range own {
			outcomes[i], problems[i] = config.Packs[i].Evaluate(input, options)
			options.Spent += outcomes[i].Steps
		}
	})
	Parallel(len(shares), func(i int) { shares[i]() })
	if broken := slices.Concat(problems...); len(broken) > 0 {
		return engine.Outcome{}, &BrokenPacks{broken}
	}
	var sum engine.Outcome
	for _, o := range outcomes {
		sum.Findings = append(sum.Findings, o.Findings...)
		sum.Omitted = append(sum.Omitted, o.Omitted...)
		sum.Margins = append(sum.Margins, o.Margins...)
		sum.Steps += o.Steps
		sum.Rules += o.Rules
		sum.Checks += o.Checks
		sum.NotEvaluated += o.NotEvaluated
		sum.Waiting += o.Waiting
		if o.Judged != nil && sum.Judged == nil {
			sum.Judged = map[string]int{}
		}
		maps.Copy(sum.Judged, o.Judged)
	}
	return sum, nil
}

package checker

import (
	"cmp"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"time"

	"kitgauge/checker/engine"
	"kitgauge/checker/facts"
	"kitgauge/checker/files"
	"kitgauge/checker/finding"
	"kitgauge/checker/kit"
	"kitgauge/checker/person"
	"kitgauge/checker/settings"
	"kitgauge/checker/source"
	"kitgauge/checker/spelling"
	"kitgauge/checker/value"
	"kitgauge/rules"
	"kitgauge/schema"
)

// Role says what part a text has in a check.
type Role string

// The roles, in the order in which they are listed.
const (
	RoleKit         Role = "kit"
	RoleConcessions Role = "concessions"
	RoleCatalogue   Role = "catalogue"
	RoleSettings    Role = "settings"
	RolePack        Role = "rule pack"
	RoleKnown       Role = "known findings"
)

// Input is a text that went into the check of a kit.
type Input struct {
	Role Role
	// Name is that of the file, with forward slashes, relative to Dir of the
	// options where that is set; of a pack of the program it is the pack's name.
	Name    string
	BuiltIn bool   // part of the program
	Text    []byte // as it was read; not to be changed
}

// Known is a record of known findings.
type Known struct {
	Input
	Entries []finding.Entry

	beyond []finding.Entry // that the tree has and the policy has not
}

// ReadKnown reads a record of known findings from the disk, or from a store.
// The error is a *files.Error where it cannot be read.
func ReadKnown(file string, from files.Store) (*Known, error) {
	read := files.ReadFile
	if from != nil {
		read = func(file string) ([]byte, error) { return from.Read(file, file) }
	}
	text, err := read(file)
	if err != nil {
		return nil, &files.Error{File: file, Err: errors.New(files.PlainError(err))}
	}
	return ParseKnown(file, text)
}

// ParseKnown reads the text of a record of known findings.
func ParseKnown(name string, text []byte) (*Known, error) {
	entries, problems := finding.ParseKnown(name, text)
	if len(problems) > 0 {
		return nil, problems[0]
	}
	return &Known{Input: Input{Role: RoleKnown, Name: name, Text: text}, Entries: entries}, nil
}

// inputs is everything that the check of one kit rests on. It is gathered
// before anything is computed.
type inputs struct {
	kit        *kit.Kit // resolved in its catalogues, with the concessions beside it
	catalogue  *kit.Catalogue
	catalogues []*kit.File // that it joins
	unread     string      // why there may be more, "" where there are none
	config     *Config
	texts      []Input
	problems   problems
	policy     string                     // the name of it, "" where there is none
	weakenings []weakening                // in what the tree departs from it
	elsewhere  elsewhere                  // concessions beside the kit that count for another
	shape      func() []*source.Problem   // what the schema says of the kit, once it is known
	shapes     []func() []*source.Problem // and of the catalogues
}

// gather reads all that a kit names: catalogues, concessions, settings, packs.
// The error is a *BrokenPacks.
func (c *Checker) gather(text Input, doc *source.Document, syntax []*source.Problem) (*inputs, error) {
	in := &inputs{texts: []Input{text}}
	in.problems.add("file/syntax", syntax...)
	doc, long := kit.Truncate(doc)
	in.problems.add("file/shape", long...)
	in.problems.add("file/shape", cutOff(doc.Root)...)
	in.shape = sync.OnceValue(func() []*source.Problem { return schema.Validate("kit", doc.Root) })
	go in.shape() // nothing waits for it before the findings are collected
	model, faults := kit.Read(doc)
	in.kit = model
	in.problems.add("file/value", faults...)
	catalogue, walked := c.catalogue(model)
	in.catalogue, in.catalogues = catalogue, walked.files
	in.shapes = walked.shapes
	in.texts = append(in.texts, walked.inputs...)
	in.problems.add("file/catalogue", walked.problems...)
	in.problems.add("file/reference", model.Resolve(catalogue)...)
	if in.unread = walked.unread; walked.told != nil && catalogue.Missed() {
		in.problems.add("file/catalogue", walked.told)
	}
	in.concessions(c, text.Name, doc.Index)
	config, err := c.Config(text.Name)
	if err != nil {
		in.shape() // nothing goes on behind the caller's back
		return nil, err
	}
	in.config = config
	in.texts = append(in.texts, config.inputs...)
	if c.options.Policy != nil {
		in.policy = c.options.Policy.Name
		in.held(c, text.Name)
	}
	return in, nil
}

// faults waits for the schemas, and returns all that is wrong with the files.
func (in *inputs) faults() problems {
	in.problems.add("file/shape", in.shape()...)
	for _, shape := range in.shapes {
		in.problems.add("file/catalogue", shape()...)
	}
	for _, w := range in.weakenings {
		in.problems.findings = append(in.problems.findings, w.finding(in.policy))
	}
	return in.problems
}

// judged is faults with what stands against a verdict: that no rule was
// evaluated, so that nothing is known of the kit.
func (in *inputs) judged(o engine.Outcome) problems {
	found := in.faults()
	asked := in.config.Settings != nil || len(in.config.Packs) > 0 // sheets and drawings ask for no rule
	if found.partly || !asked || o.Checks > o.NotEvaluated {
		return found
	}
	root := in.kit.Node
	why := &source.Problem{Pos: root.Pos(), Node: root, Message: "no rule could be evaluated for this kit, so that nothing is known of it", Remedy: "check it with all rule packs"}
	if s := in.config.Settings; s != nil && len(s.LeaveOut) > 0 {
		last := s.LeaveOut[len(s.LeaveOut)-1]
		why.Pos, why.Node = last.Pos(), nil
		why.Message = fmt.Sprintf("no rule was evaluated for this kit, so that nothing is known of it: the settings leave out %d of %d rule packs", len(s.LeaveOut), len(rules.Names()))
		why.Remedy = "use the packs: take them out of leave_out"
	}
	found.add(ruleJudged, why)
	return found
}

// concessions adds the concessions of the file beside a kit to those that the
// kit states itself.
func (in *inputs) concessions(c *Checker, file string, document int) {
	name := files.ConcessionsBeside(file)
	if name == "" || c.options.On == "" {
		return
	}
	text, err := c.options.ReadFile(file, name)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return
	case err != nil:
		in.problems.add("file/concessions", &source.Problem{Pos: source.Pos{File: name}, Message: "the concessions cannot be read: " + files.PlainError(err)})
		return
	}
	in.texts = append(in.texts, Input{Role: RoleConcessions, Name: c.options.beneath(name), Text: text})
	more, faults := readConcessions(name, text)
	in.problems.add("file/concessions", faults...)
	if first := c.firstBeside(file, document); first != "" {
		in.elsewhere = elsewhere{more, name, first}
		return
	}
	in.kit.Concessions = append(in.kit.Concessions, more...)
}

// elsewhere is concessions of a file that count for another kit: a file of them
// does not say for which kit it is, so that it serves one alone.
type elsewhere struct {
	list []*kit.Concession
	file string
	kit  string // for which they count
}

// firstBeside names the kit for which the concessions beside a file count,
// where that is not the kit asked for: they are those of the first kit in the
// first of the files that they stand beside.
func (c *Checker) firstBeside(file string, document int) string {
	for _, other := range files.KitsBeside(file) {
		if other == file {
			break
		}
		if _, err := c.options.ReadFile(file, other); err == nil {
			return other
		}
	}
	if document > 0 {
		return "the first kit of " + file
	}
	return ""
}

// tell says at what is found that a concession for it counts for another kit.
func (e *elsewhere) tell(list []finding.Finding) {
	for i := range list {
		f := &list[i]
		if f.Status != finding.Violated || !slices.ContainsFunc(e.list, func(g *kit.Concession) bool {
			return g.Rule.V == f.Rule && (g.Place.V == f.Place || g.Place.V == f.Pointer)
		}) {
			continue
		}
		f.Message += fmt.Sprintf("; the concession for it in %s counts for %s alone: what is granted for this kit stands in it, under concessions", e.file, e.kit)
	}
}

// readConcessions reads the text of a file of concessions.
func readConcessions(name string, text []byte) ([]*kit.Concession, []*source.Problem) {
	docs, problems := source.Parse(name, text)
	problems = append(begins(problems, "a file of concessions begins with concessions:, or goes"), second(docs, "a file of concessions")...)
	if len(docs) == 0 {
		return nil, problems
	}
	doc, long := kit.Truncate(docs[0])
	problems = append(problems, long...)
	problems = append(problems, schema.Validate("concessions", doc.Root)...)
	list, faults := kit.ReadConcessions(doc)
	return list, append(problems, faults...)
}

// given lists the concessions with what the rules in use say of them.
func (in *inputs) given() []finding.Given {
	never, known := map[string]bool{}, map[string]bool{}
	for id := range finding.ConcessionRules {
		never[id], known[id] = true, true
	}
	var ids, inUse []string
	for _, p := range in.config.Packs {
		inUse = append(inUse, p.Name)
		for _, r := range p.Rules {
			never[r.ID], known[r.ID] = r.Never, true
			ids = append(ids, r.ID)
		}
	}
	longest, share := in.config.Limit("paperwork/concession_term"), in.config.Limit("paperwork/concession_share")
	drawer := in.kit.Header.DrawnBy.V
	if !person.Named(drawer) {
		drawer = ""
	}
	var list []finding.Given
	for _, c := range in.kit.Concessions {
		g := finding.Given{
			Rule: c.Rule.V, Place: c.Place.V, Reason: c.Reason.V, GrantedBy: c.GrantedBy.V, Until: c.Until.V, Node: c.Node,
			State: finding.State{Severity: c.Severity.V, Value: c.Value.V}, Share: share.V,
			Nobody: !person.Named(c.GrantedBy.V), Drawer: drawer, ByDrawer: drawer == "" || person.Same(drawer, c.GrantedBy.V),
			Told:  drawer != "" && slices.Contains(inUse, "paperwork"),
			Never: never[c.Rule.V], Longest: time.Duration(longest.V * float64(time.Second)),
		}
		pack, _, _ := strings.Cut(g.Rule, "/")
		leftOut := slices.Contains(rules.Names(), pack) && !slices.Contains(inUse, pack)
		if !known[g.Rule] && fileRules[g.Rule] == "" && !leftOut {
			g.Misspelt, g.Nearest = true, spelling.Nearest(g.Rule, ids)
		}
		list = append(list, g)
	}
	return list
}

// Config is what a kit is checked with: the packs in use, and what the
// settings that apply to it change.
type Config struct {
	Settings *settings.Settings // all that apply, joined; nil where none do
	Files    []string           // of the settings, the outermost first
	Packs    []*engine.Pack

	options    engine.Options
	inputs     []Input // settings and packs
	inForce    func() map[string]float64
	offered    []*engine.Pack     // before the settings leave any out
	ofCard     map[string]float64 // limits that a fault card sets
	layers     []layer            // one for each of the Files
	shownFiles []string           // the Files, as reports name them
	texts      map[string]string  // of the packs that settings add, by name
	read       func(from, file string) ([]byte, error)
	packBytes  int // of the packs that were added
}

// configRead is a Config with what is wrong with it.
type configRead struct {
	config   *Config
	problems []*source.Problem
}

// Config returns what the kit in a file is checked with. The error is a
// *BrokenPacks where the settings or a pack are faulty.
func (c *Checker) Config(file string) (*Config, error) {
	read := c.configOf(c.settingsFor(file))
	if len(read.problems) > 0 {
		return nil, &BrokenPacks{read.problems}
	}
	return read.config, nil
}

func (c *Checker) configOf(names []string) configRead {
	return c.configs.Get(strings.Join(names, "\x00"), func() configRead {
		config, problems := c.readConfig(names)
		return configRead{config, problems}
	})
}

// settingsFor looks for the settings of a kit, from its directory upwards to
// the top of its tree. The outermost come first.
func (c *Checker) settingsFor(file string) []string {
	switch {
	case c.options.layers != nil:
		return c.options.layers
	case c.options.Settings != "":
		return []string{c.options.Settings}
	case c.options.NoSettings:
		return nil
	case c.options.Policy != nil && c.options.Policy.File != "":
		return []string{c.options.Policy.File}
	}
	dir := filepath.Join(c.options.Dir, filepath.Dir(file))
	there := files.There
	if c.options.Files != nil {
		there = c.options.Files.There
	}
	return c.settings.Get(dir, func() []string {
		if c.options.Policy != nil {
			return c.options.Policy.upwards(dir)
		}
		return files.AllUpwards(dir, settings.FileName, there)
	})
}

func (c *Checker) readConfig(names []string) (*Config, []*source.Problem) {
	packs, problems := c.packs()
	p := &Config{
		Files: names, Packs: packs, offered: packs, ofCard: c.options.limits, texts: map[string]string{}, read: files.ReadInTree,
		options: engine.Options{Margins: c.options.Margins, Limits: c.options.limits},
	}
	switch {
	case c.options.Policy != nil:
		p.read = c.options.Policy.readFor
	case c.options.Files != nil:
		p.read = c.options.Files.Read
	}
	p.inForce = sync.OnceValue(p.valuesInForce)
	defer func() {
		p.inputs = append(c.options.named(p.inputs), builtIn(p.Packs)...)
		for _, name := range names {
			p.shownFiles = append(p.shownFiles, c.options.relative(name))
		}
	}()
	if len(problems) > 0 {
		return p, problems
	}
	for _, name := range names {
		problems = append(problems, c.addSettings(p, name)...)
	}
	return p, problems
}

// addSettings reads the settings of one file, and adds them to those above.
func (c *Checker) addSettings(p *Config, name string) (problems []*source.Problem) {
	text, plain, err := c.readSettings(name)
	if err != nil {
		return []*source.Problem{{Pos: source.Pos{File: name}, Message: "the settings cannot be read: " + files.PlainError(err), Remedy: "see that it is a file of this tree that can be read"}}
	}
	defer func() {
		if !plain {
			problems = withoutNodes(problems)
		}
	}()
	p.inputs = append(p.inputs, Input{Role: RoleSettings, Name: name, Text: text})
	s, problems := readSettingsText(name, text)
	if s == nil {
		return problems
	}
	return append(problems, p.add(name, s, c.options.Packs == nil)...)
}

// readSettings reads the settings that were named, or were found.
func (c *Checker) readSettings(name string) (text []byte, plain bool, err error) {
	if c.options.Policy != nil {
		text, err = c.options.Policy.Read(name)
		return text, true, err
	}
	if name == c.options.Settings || c.options.Files != nil {
		return c.options.readNamed(name)
	}
	text, err = files.ReadHeld(name)
	return text, true, err
}

// withoutNodes leaves of problems what is said, and not where a line of the
// file could be shown.
func withoutNodes(problems []*source.Problem) []*source.Problem {
	for _, p := range problems {
		p.Node = nil
	}
	return problems
}

// choose leaves packs out and adds those of the organisation, as the settings
// of one file say. Packs that the caller chose by name stay as chosen.
func (p *Config) choose(s *settings.Settings, free bool) []*source.Problem {
	var problems []*source.Problem
	for _, out := range s.LeaveOut {
		if !slices.Contains(rules.Names(), out.Pack) {
			problems = append(problems, &source.Problem{Pos: out.Pos(), Node: out.Node, Message: fmt.Sprintf("there is no rule pack %q", out.Pack), Remedy: "the packs are " + strings.Join(rules.Names(), ", ")})
		}
	}
	if !free {
		return problems
	}
	p.Packs = slices.DeleteFunc(slices.Clone(p.Packs), func(pack *engine.Pack) bool {
		return slices.ContainsFunc(s.LeaveOut, func(o settings.Omission) bool { return o.Pack == pack.Name })
	})
	for _, add := range s.Add {
		pack, why := p.own(add)
		problems = append(problems, why...)
		if pack != nil {
			p.Packs = append(p.Packs, pack)
		}
	}
	return problems
}

// mostPackBytes is how large the packs that the settings add may be together:
// each expression in them is compiled for every run.
const mostPackBytes = 2 << 20

// own reads a pack of the organisation, and checks all of it.
func (p *Config) own(name *source.Node) (*engine.Pack, []*source.Problem) {
	fail := func(message, remedy string) (*engine.Pack, []*source.Problem) {
		return nil, []*source.Problem{{Pos: name.Pos(), Node: name, Message: message, Remedy: remedy}}
	}
	if !files.IsPackName(name.Scalar) {
		return fail(fmt.Sprintf("%q is not the name of a rule pack", name.Scalar), "it ends in .pack.yaml or .pack.yml")
	}
	from := name.Pos().File
	file := path.Join(path.Dir(from), filepath.ToSlash(name.Scalar))
	text, err := p.read(from, file)
	if err != nil {
		return fail(fmt.Sprintf("the rule pack %s cannot be read: %s", file, files.PlainError(err)), "correct the name, relative to the settings")
	}
	p.inputs = append(p.inputs, Input{Role: RolePack, Name: file, Text: text})
	if p.packBytes += len(text); p.packBytes > mostPackBytes {
		return fail(fmt.Sprintf("with %s the rule packs that are added have more than %d MiB", file, mostPackBytes>>20), "leave out what is not needed")
	}
	pack, problems := ReadPack(file, text)
	if pack == nil || len(problems) > 0 {
		return nil, problems
	}
	p.texts[pack.Name] = string(text)
	for _, other := range p.Packs {
		if other.Name == pack.Name {
			return fail(fmt.Sprintf("the pack %q has the name of another pack in use (%s)", pack.Name, other.File), "give it a name of its own")
		}
	}
	return pack, pack.Compile()
}

// Limit is the value in force of a limit, "power/fuse_share", in SI. A pack
// that is not in use lends its own value: what is computed does not depend on
// which rules look at it.
func (p *Config) Limit(id string) value.Number {
	if si, known := p.inForce()[id]; known {
		return value.Known(si)
	}
	return value.Unknown[float64]("no rule pack sets the limit " + id)
}

// valuesInForce are the values of all limits, by id.
func (p *Config) valuesInForce() map[string]float64 {
	values := map[string]float64{}
	packs := slices.Clone(p.Packs)
	if slices.ContainsFunc(rules.Names(), func(name string) bool {
		return !slices.ContainsFunc(p.Packs, func(pack *engine.Pack) bool { return pack.Name == name })
	}) {
		packs = append(slices.Clone(allBuiltIn()), packs...) // those in use come last, and win
	}
	for _, pack := range packs {
		for _, l := range pack.Limits {
			values[pack.Name+"/"+l.Name] = l.SI
		}
	}
	maps.Copy(values, p.options.Limits)
	return values
}

var allBuiltIn = sync.OnceValue(func() []*engine.Pack {
	packs, _ := readPacks(rules.Names())
	return packs
})

// Change is a limit or a severity that the settings set otherwise than the
// rule pack does.
type Change struct {
	Name, Was, Is, Reason string
	Pos                   source.Pos
}

// Changes lists what the settings change in the packs in use.
func (p *Config) Changes() []Change {
	var list []Change
	for _, pack := range p.Packs {
		for _, l := range pack.Limits {
			if set := p.limitSet(pack.Name + "/" + l.Name); set != nil {
				list = append(list, Change{set.Name, l.Text, set.Is, set.Reason, set.Pos()})
			}
		}
		for _, rule := range pack.Rules {
			if set := p.severitySet(rule.ID); set != nil {
				list = append(list, Change{set.Name, rule.Severity.String(), set.Is, set.Reason, set.Pos()})
			}
		}
	}
	return list
}

// limitSet is what the settings make of a limit; nil where they do not.
func (p *Config) limitSet(id string) *settings.Override {
	if p.Settings != nil {
		if set, changed := p.Settings.ForLimit(id); changed {
			return &set
		}
	}
	return nil
}

// severitySet is what the settings make of a rule's severity.
func (p *Config) severitySet(rule string) *settings.Override {
	if p.Settings != nil {
		if set, changed := p.Settings.ForRule(rule); changed {
			return &set
		}
	}
	return nil
}

// inDir is the path of a file that is named relative to Dir.
func (o *Options) inDir(file string) string {
	if o.Dir == "" || filepath.IsAbs(file) {
		return file
	}
	return filepath.Join(o.Dir, filepath.FromSlash(file))
}

// readInTree reads a file for the file that names it, both relative to Dir.
func (o *Options) readInTree(from, file string) ([]byte, error) {
	if o.Files != nil {
		return o.Files.Read(o.inDir(from), o.inDir(file))
	}
	return files.ReadInTree(o.inDir(from), o.inDir(file))
}

// readNamed reads a file that somebody named; plain is false for one of which
// nothing is to be shown.
func (o *Options) readNamed(name string) (text []byte, plain bool, err error) {
	if o.Files == nil {
		return files.ReadNamed(name)
	}
	if text, err = o.Files.Read(name, name); err != nil {
		return nil, false, errors.New(files.PlainError(err))
	}
	return text, true, nil
}

// beneath is the name of a file that is named relative to Dir, in the one
// form that does not depend on the way that led to it.
func (o *Options) beneath(file string) string { return o.relative(o.inDir(file)) }

// relative is the name, relative to Dir, of a file that is named relative to
// the working directory.
func (o *Options) relative(file string) string {
	if o.Dir != "" {
		if rel, err := files.Relative(o.Dir, file); err == nil {
			return rel
		}
	}
	return filepath.ToSlash(file)
}

// named gives inputs their names relative to Dir.
func (o *Options) named(list []Input) []Input {
	for i := range list {
		list[i].Name = o.relative(list[i].Name)
	}
	return list
}

// builtIn lists the packs in use that are part of the program.
func builtIn(packs []*engine.Pack) []Input {
	var list []Input
	for _, p := range packs {
		if file, text, found := rules.Pack(p.Name); found && file == p.File {
			list = append(list, Input{Role: RolePack, Name: p.Name, BuiltIn: true, Text: text})
		}
	}
	return list
}

// With returns a Checker with other options that uses the built-in packs of
// c, so that they are read once, and goes on with what c remembers. The Packs of
// the options are not looked at.
func (c *Checker) With(o Options) *Checker {
	o.Packs, o.added = c.options.Packs, c.options.added
	if o.Remember {
		o.memory = cmp.Or(c.options.memory, &facts.Memory{})
	}
	if o.ReadFile == nil {
		o.ReadFile = o.readInTree
	}
	return &Checker{options: o, packs: c.packs}
}

// Alike returns options that judge every kit as c judges the kit of a file: by
// the same settings.
func (c *Checker) Alike(file string) (Options, error) {
	config, err := c.Config(file)
	if err != nil {
		return Options{}, err
	}
	o := c.options
	o.ReadFile, o.layers, o.NoSettings = nil, config.Files, true
	return o, nil
}

// ReadBeside reads a file as catalogues are read: for the file that names it,
// and no further than its tree.
func (c *Checker) ReadBeside(from, file string) ([]byte, error) {
	return c.options.ReadFile(from, file)
}

// BuiltInPack is the text of a pack that is part of the program.
func BuiltInPack(name string) ([]byte, error) {
	_, text, found := rules.Pack(name)
	if !found {
		return nil, fmt.Errorf("there is no built-in rule pack %q", name)
	}
	return text, nil
}

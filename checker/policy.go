package checker

import (
	"errors"
	"fmt"
	"io/fs"
	"slices"

	"kitgauge/checker/files"
	"kitgauge/checker/finding"
	"kitgauge/checker/kit"
	"kitgauge/checker/settings"
	"kitgauge/checker/source"
)

// Policy is a place that a change cannot touch, as the base of a pull request
// is, from which everything is read by which kits are judged: settings, packs
// of one's own, concessions, known findings, allowed signers. Kits and
// catalogues are read from the tree as ever.
type Policy struct {
	Name string // as it was given: "origin/main"
	// File is the settings file for all kits; where it is empty, settings are
	// looked for from each kit upwards, in the place.
	File string
	// Read reads what the place has in place of a file of the tree, which is
	// named relative to the working directory; fs.ErrNotExist where it has
	// none. What lies outside of the tree is read as it stands.
	Read func(file string) ([]byte, error)
}

// readFor reads a pack for the settings that name it.
func (p *Policy) readFor(_, file string) ([]byte, error) { return p.Read(file) }

// upwards lists the settings that the place has for a directory and those
// above it, the outermost first. One that cannot be read is among them, so that
// reading it says why.
func (p *Policy) upwards(dir string) []string {
	return slices.DeleteFunc(files.Upwards(dir, settings.FileName), func(file string) bool {
		_, err := p.Read(file)
		return errors.Is(err, fs.ErrNotExist)
	})
}

// ReadKnown reads a record of known findings as the place has it; where the
// tree has one that holds more, that is told of each kit.
func (p *Policy) ReadKnown(file string) (*Known, error) {
	text, err := p.Read(file)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return nil, &files.Error{File: file, Err: errors.New(files.PlainError(err))}
	}
	known, err := ParseKnown(file, text)
	if err != nil {
		return nil, err
	}
	own, err := files.ReadFile(file)
	if err != nil {
		return known, nil // the tree has less
	}
	list, _ := finding.ParseKnown(file, own)
	for _, e := range list {
		if !slices.ContainsFunc(known.Entries, e.Same) {
			known.beyond = append(known.beyond, e)
		}
	}
	return known, nil
}

// RuleWeakened is the rule of what a change would make of the gate.
const RuleWeakened = "gate/weakened"

// weakening is a way in which the tree would judge the kit more leniently than
// the policy does.
type weakening struct {
	at     *source.Node // may be nil
	pos    source.Pos
	place  string
	says   string
	remedy string
}

// finding is the weakening as a finding of its own.
func (w *weakening) finding(by string) finding.Finding {
	f := finding.Finding{
		Rule: RuleWeakened, Title: fileRules[RuleWeakened], Severity: finding.Major, Status: finding.Violated,
		Pos: w.pos, Place: w.place, Identity: w.place + "/" + w.says,
		Message: "this change would weaken the gate: " + w.says,
		Remedy:  w.remedy, Basis: "what kits are judged by is that of " + by,
	}
	if w.at != nil {
		f.Pos, f.Pointer = w.at.Pos(), w.at.Pointer()
		if w.at.Parent() != nil && w.at.Parent().Kind == source.Map {
			f.Pos = w.at.KeyPos()
		}
	}
	return f
}

// held keeps to the concessions that the policy has too, and lists in what the
// tree would judge more leniently. The kit was read, and its concessions.
func (in *inputs) held(c *Checker, file string) {
	p := c.options.Policy
	if c.options.layers != nil {
		return // another revision, judged as the first is
	}
	in.heldConcessions(c, file)
	in.weakenings = append(in.weakenings, c.againstTree(in.config, file, p)...)
	if k := c.options.Known; k != nil {
		var more []string
		line := 0
		for _, e := range k.beyond {
			if e.Kit == finding.OneLine(in.kit.Header.Number.V) {
				more = append(more, e.Rule+" at "+e.Place)
				if line == 0 {
					line = e.Line
				}
			}
		}
		if len(more) > 0 {
			in.weakenings = append(in.weakenings, weakening{
				pos: source.Pos{File: k.Name, Line: line, Column: 1}, place: "known findings",
				says:   "it records more findings as known: " + listed(more),
				remedy: "correct the kit, or have them recorded in " + p.Name + " first",
			})
		}
	}
}

// heldConcessions keeps to the concessions that the policy has word for word,
// for the kit of this number.
func (in *inputs) heldConcessions(c *Checker, file string) {
	p := c.options.Policy
	var granted []string
	add := func(list []*kit.Concession) {
		for _, g := range list {
			granted = append(granted, string(g.Node.JSON()))
		}
	}
	number := in.kit.Header.Number.V
	kits, named := 0, false // in the policy, beside the concessions
	for _, beside := range files.KitsBeside(file) {
		text, err := p.Read(c.options.inDir(beside))
		if err != nil {
			continue
		}
		docs, _ := source.Parse(beside, text)
		for _, doc := range docs {
			model, _ := kit.Read(doc)
			kits++
			if model.Header.Number.V == number {
				named = true
				add(model.Concessions)
			}
		}
	}
	if beside := files.ConcessionsBeside(file); beside != "" && (named || kits == 0) {
		if text, err := p.Read(c.options.inDir(beside)); err == nil {
			list, _ := readConcessions(beside, text)
			add(list)
		}
	}
	in.kit.Concessions = slices.DeleteFunc(in.kit.Concessions, func(g *kit.Concession) bool {
		if g.Node == nil || slices.Contains(granted, string(g.Node.JSON())) {
			return false
		}
		in.weakenings = append(in.weakenings, weakening{
			at: g.Node, place: "concession for " + g.Rule.V,
			says:   fmt.Sprintf("it adds a concession for %s at %s, or changes one", g.Rule.V, g.Place.V),
			remedy: "correct the kit, or have the concession granted in " + p.Name + " first",
		})
		return true
	})
}

// againstTree lists in what the settings and packs of the tree are more
// lenient than those of the policy, with which the kit is judged.
func (c *Checker) againstTree(judged *Config, file string, p *Policy) []weakening {
	t := c.ofTree()
	names := t.settingsFor(file)
	at := source.Pos{File: file}
	if len(names) > 0 {
		at.File = c.options.relative(names[len(names)-1])
	}
	read := t.configOf(names)
	remedy := "take it back, or have it changed in " + p.Name + " first"
	if len(read.problems) > 0 {
		why := read.problems[0]
		return []weakening{{pos: why.Pos, place: "settings", says: "its settings cannot be used: " + why.Message, remedy: remedy}}
	}
	own := read.config
	var list []weakening
	for _, l := range own.measures().loosenings(judged.measures()) {
		w := weakening{pos: at, place: "settings", says: l.String(), remedy: remedy}
		if own.Settings != nil {
			w.at = own.placeOf(own.Settings, l)
		}
		list = append(list, w)
	}
	for _, n := range own.lets() {
		if !slices.ContainsFunc(judged.lets(), func(o *source.Node) bool { return o.Scalar == n.Scalar }) {
			list = append(list, weakening{at: n, place: "settings", says: "it lets settings below loosen " + n.Scalar, remedy: remedy})
		}
	}
	for _, pack := range own.Packs {
		if packNamed(judged.Packs, pack.Name) != nil && own.texts[pack.Name] != judged.texts[pack.Name] {
			list = append(list, weakening{pos: source.Pos{File: c.options.relative(pack.File)}, place: "rule pack " + pack.Name, says: "it changes the rule pack " + pack.Name, remedy: remedy})
		}
	}
	return list
}

// lets lists what settings let those below them loosen.
func (p *Config) lets() []*source.Node {
	var list []*source.Node
	for _, l := range p.layers {
		list = append(list, l.settings.Loosen...)
	}
	return list
}

// ofTree is the Checker that reads from the tree what this one reads from the
// policy.
func (c *Checker) ofTree() *Checker {
	c.treeOnce.Do(func() {
		o := c.options
		o.Policy = nil
		c.tree = &Checker{options: o, packs: c.packs}
	})
	return c.tree
}

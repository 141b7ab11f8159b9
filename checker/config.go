package checker

import (
	"fmt"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"kitgauge/checker/engine"
	"kitgauge/checker/finding"
	"kitgauge/checker/settings"
	"kitgauge/checker/source"
	"kitgauge/checker/value"
	"kitgauge/rules"
	"kitgauge/schema"
)

// Config is what a kit is checked with: the packs in use, and what the
// settings that apply to it change.
type Config struct {
	Settings *settings.Settings // nil where no settings apply
	File     string             // of the settings, "" where none apply
	Packs    []*engine.Pack

	options engine.Options
	inputs  []Input // settings and packs
}

// configRead is a profile with what is wrong with it.
type configRead struct {
	profile  *Config
	problems []*source.Problem
}

// Config returns what the kit in a file is checked with. The error is a
// *BrokenPacks where the settings or a pack are faulty.
func (c *Checker) Config(file string) (*Config, error) {
	name := c.settingsFor(file)
	read := c.profiles.get(name, func() configRead {
		profile, problems := c.readConfig(name)
		return configRead{profile, problems}
	})
	if len(read.problems) > 0 {
		return nil, &BrokenPacks{read.problems}
	}
	return read.profile, nil
}

// settingsFor looks for the settings of a kit, from its directory upwards to
// the top of its tree.
func (c *Checker) settingsFor(file string) string {
	switch {
	case c.options.Settings != "":
		return c.options.Settings
	case c.options.NoSettings:
		return ""
	}
	dir := filepath.Join(c.options.Dir, filepath.Dir(file))
	return c.settings.get(dir, func() string { return findSettings(dir) })
}

func findSettings(dir string) string {
	top, err := tree(dir)
	if err != nil {
		return ""
	}
	abs, err := filepath.Abs(dir)
	if err != nil {
		return ""
	}
	for up := dir; within(top, abs); up, abs = filepath.Join(up, ".."), filepath.Dir(abs) {
		name := filepath.Join(up, settings.FileName)
		if info, err := os.Stat(name); err == nil && info.Mode().IsRegular() {
			return filepath.ToSlash(name)
		}
		if abs == filepath.Dir(abs) {
			break
		}
	}
	return ""
}

func (c *Checker) readConfig(name string) (*Config, []*source.Problem) {
	packs, problems := c.packs()
	p := &Config{File: name, Packs: packs, options: engine.Options{Margins: c.options.Margins, Limits: c.options.limits}}
	defer func() { p.inputs = append(c.options.named(p.inputs), builtIn(p.Packs)...) }()
	if name == "" || len(problems) > 0 {
		return p, problems
	}
	text, err := ReadFile(name)
	if err != nil {
		return p, []*source.Problem{{Pos: source.Pos{File: name}, Message: "the settings cannot be read: " + err.Error()}}
	}
	p.inputs = []Input{{Role: RoleSettings, Name: name, Text: text}}
	docs, problems := source.Parse(name, text)
	if len(docs) == 0 {
		return p, problems
	}
	problems = append(problems, schema.Validate("settings", docs[0].Root)...)
	read, more := settings.Read(docs[0])
	p.Settings = read
	problems = append(append(problems, more...), p.choose(c.options.Packs == nil)...)
	return p, append(problems, p.apply()...)
}

// choose leaves packs out and adds those of the organisation. Packs that the
// caller chose by name stay as chosen.
func (p *Config) choose(free bool) []*source.Problem {
	var problems []*source.Problem
	for _, out := range p.Settings.LeaveOut {
		if !slices.Contains(rules.Names(), out.Scalar) {
			problems = append(problems, &source.Problem{Pos: out.Pos(), Node: out, Message: fmt.Sprintf("there is no rule pack %q", out.Scalar), Remedy: "the packs are " + strings.Join(rules.Names(), ", ")})
		}
	}
	if !free {
		return problems
	}
	p.Packs = slices.DeleteFunc(slices.Clone(p.Packs), func(pack *engine.Pack) bool {
		return slices.ContainsFunc(p.Settings.LeaveOut, func(n *source.Node) bool { return n.Scalar == pack.Name })
	})
	for _, add := range p.Settings.Add {
		pack, why := p.own(add)
		problems = append(problems, why...)
		if pack != nil {
			p.Packs = append(p.Packs, pack)
		}
	}
	return problems
}

// own reads a pack of the organisation, and checks all of it.
func (p *Config) own(name *source.Node) (*engine.Pack, []*source.Problem) {
	fail := func(message, remedy string) (*engine.Pack, []*source.Problem) {
		return nil, []*source.Problem{{Pos: name.Pos(), Node: name, Message: message, Remedy: remedy}}
	}
	if !IsPackName(name.Scalar) {
		return fail(fmt.Sprintf("%q is not the name of a rule pack", name.Scalar), "it ends in .pack.yaml or .pack.yml")
	}
	file := path.Join(path.Dir(p.File), filepath.ToSlash(name.Scalar))
	text, err := readInTree(p.File, file)
	if err != nil {
		return fail(fmt.Sprintf("the rule pack %s cannot be read: %s", file, PlainError(err)), "correct the name, relative to the settings")
	}
	p.inputs = append(p.inputs, Input{Role: RolePack, Name: file, Text: text})
	pack, problems := ReadPack(file, text)
	if pack == nil || len(problems) > 0 {
		return nil, problems
	}
	for _, other := range p.Packs {
		if other.Name == pack.Name {
			return fail(fmt.Sprintf("the pack %q has the name of another pack in use (%s)", pack.Name, other.File), "give it a name of its own")
		}
	}
	return pack, pack.Compile()
}

// IsPackName reports whether a file's name is that of a rule pack.
func IsPackName(name string) bool {
	return strings.HasSuffix(name, ".pack.yaml") || strings.HasSuffix(name, ".pack.yml")
}

// apply works out the limits and severities that the settings change.
func (p *Config) apply() []*source.Problem {
	var limits []settings.Limit
	var ids []string
	for _, pack := range p.Packs {
		for _, l := range pack.Limits {
			limits = append(limits, settings.Limit{Name: pack.Name + "/" + l.Name, Dim: l.Dim, Text: l.Text})
		}
		for _, r := range pack.Rules {
			ids = append(ids, r.ID)
		}
	}
	values, problems := p.Settings.LimitValues(limits)
	severities, more := p.Settings.RuleSeverities(ids)
	p.options.Limits, p.options.Severities = values, severities
	return append(problems, more...)
}

// Gate is the gate of the settings, or the fallback.
func (p *Config) Gate(fallback finding.Severity) finding.Severity {
	if p.Settings != nil && p.Settings.HasGate {
		return p.Settings.Gate
	}
	return fallback
}

// Limit is the value of a limit in force, in SI.
func (p *Config) Limit(pack string, l *engine.Limit) float64 {
	if si, changed := p.options.Limits[pack+"/"+l.Name]; changed {
		return si
	}
	return l.SI
}

// limitOf is the value in force of a limit by pack and name, for the facts. A
// built-in pack that is not in use has its own limits all the same.
func (p *Config) limitOf(id string) value.Number {
	name, limit, _ := strings.Cut(id, "/")
	in := func(pack *engine.Pack) (*engine.Limit, bool) {
		if pack == nil || pack.Name != name {
			return nil, false
		}
		i := slices.IndexFunc(pack.Limits, func(l *engine.Limit) bool { return l.Name == limit })
		if i < 0 {
			return nil, false
		}
		return pack.Limits[i], true
	}
	for _, pack := range p.Packs {
		if l, found := in(pack); found {
			return value.Known(p.Limit(name, l))
		}
	}
	if l, found := in(unused.get(name, func() *engine.Pack { pack, _ := readPack(name); return pack })); found {
		return value.Known(p.Limit(name, l))
	}
	return value.Unknown[float64](fmt.Sprintf("no rule pack sets the limit %s", id))
}

// unused keeps the built-in packs that were read for their limits alone.
var unused onceCache[*engine.Pack]

package editor

import (
	"path"
	"slices"
	"strings"

	"kitgauge/checker/files"
	"kitgauge/checker/kit"
)

// mention is a place of a file at which a thing has its name, or is called by
// it.
type mention struct {
	file   *file
	node   *node
	onKey  bool   // the key is the name, not the value
	thing  string // the word for it: "body"
	in     string // the thing in which it lies, "bundle FL"; "" for the whole file
	name   string
	names  bool // it is where the thing has its name
	shared bool // which several have
	target kit.Target
}

// ofCatalogue reports whether the thing stands in a catalogue.
func (m *mention) ofCatalogue() bool { return m.thing == "part" || m.thing == seriesThing }

// place is where the name stands.
func (m *mention) place() Place {
	if m.onKey {
		return m.file.key(m.node)
	}
	return m.file.inner(m.node)
}

// index are the mentions of a file, in its order.
type index struct {
	all []*mention
	by  map[key][]*mention
	of  map[*node]*mention
}

type key struct{ thing, in, name string }

func (m *mention) key() key { return key{m.thing, m.in, m.name} }

// newIndex collects the mentions of all documents of a file. Each document has
// names of its own.
func newIndex(f *file) *index {
	x := &index{by: map[key][]*mention{}, of: map[*node]*mention{}}
	for _, d := range f.docs {
		x.collect(f, d, f.look(d), "")
	}
	return x
}

func (x *index) add(m *mention) {
	x.all = append(x.all, m)
	x.by[m.key()] = append(x.by[m.key()], m)
	x.of[m.node] = m
}

// collect goes through a value; in is the thing in which it lies.
func (x *index) collect(f *file, n *node, l look, in string) {
	if !l.site.Known() {
		return
	}
	if n.kind == group && l.site.Keyed() {
		for _, item := range n.items {
			x.add(&mention{file: f, node: item, onKey: true, thing: l.site.Refers, name: item.key, target: l.site.Target()})
		}
	}
	if key, thing := l.site.NameKey(); key != "" && n.kind == group {
		if m := n.get(key); m != nil && m.kind == scalar && !m.alias {
			x.add(&mention{file: f, node: m, thing: thing, in: in, name: m.text, names: true})
		}
		for _, item := range n.items {
			below := l.site.Get(item.key)
			switch {
			case item.key == key:
			case below.Names != "" && item.kind == scalar && !item.alias:
				x.add(&mention{file: f, node: item, thing: below.Names, name: item.text, names: true, shared: true})
			default:
				x.collect(f, item, look{site: below}, thing+" "+n.say(key))
			}
		}
		return
	}
	for _, item := range n.items {
		if n.kind == group {
			x.collect(f, item, look{site: l.site.Get(item.key)}, in)
		} else {
			x.collect(f, item, look{site: l.site.Item(item.say("kind"))}, in)
		}
	}
	if t := l.site.Target(); t.Thing != "" && n.kind == scalar && !n.alias && !l.site.List() {
		x.add(&mention{file: f, node: n, thing: t.Thing, in: l.within(n, t), name: n.text, target: t})
	}
}

// within is the thing in which what a value refers to lies: the one that a
// member beside it names.
func (l look) within(n *node, t kit.Target) string {
	if t.In == "" {
		return ""
	}
	return t.In + " " + n.parent.say(t.In)
}

// mentionAt is the mention that stands at a byte; nil where none does.
func (v *View) mentionAt(at int) *mention {
	n := v.at(at)
	if n == nil {
		return nil
	}
	m := v.names().of[n]
	if m == nil || n.kind != scalar && !m.onKey {
		return nil
	}
	if m.onKey != n.onKey(at) && (m.onKey || n.to == n.from) {
		return nil
	}
	return m
}

// things lists where things of a kind have their names, in a document.
func (f *file) things(root *node, thing, in string) []*mention {
	var list []*mention
	for _, m := range f.names().all {
		if m.names && m.thing == thing && m.in == in && m.node.root() == root {
			list = append(list, m)
		}
	}
	return list
}

// catalogues lists the catalogues that the file names, those that they include
// among them, each once.
func (v *View) catalogues(f *file) []*file {
	var list []*file
	seen := map[string]bool{f.path: true}
	var follow func(f *file)
	follow = func(f *file) {
		for _, m := range f.names().all {
			to := m.leadsTo()
			if to == "" || seen[to] || len(list) >= mostCatalogues || !files.IsCatalogueName(to) {
				continue
			}
			seen[to] = true
			if c := v.read(to); c != nil {
				list = append(list, c)
				follow(c)
			}
		}
	}
	follow(f)
	return list
}

// mostCatalogues is how many files a kit may draw on in all.
const mostCatalogues = 100

// leadsTo is the path of the file that a mention names; "" where it names none.
func (m *mention) leadsTo() string {
	if m.thing != "file" {
		return ""
	}
	if to, why := files.CatalogueBeside(m.file.path, m.name); why == "" {
		return to
	}
	if files.IsPackName(m.name) && !path.IsAbs(m.name) {
		return path.Join(path.Dir(m.file.path), m.name)
	}
	return ""
}

// partsOf are the catalogues in which the parts of the file stand: the file
// itself where it is one.
func (v *View) partsOf() []*file {
	list := v.catalogues(v.file)
	if v.form.schema == "parts" {
		list = append([]*file{v.file}, list...)
	}
	return list
}

// definitions lists where the thing of a mention has its name.
func (v *View) definitions(m *mention) []*mention {
	from := []*file{m.file}
	if m.ofCatalogue() {
		from = v.parts()
	}
	var list []*mention
	for _, f := range from {
		for _, d := range f.names().by[m.key()] {
			if d.names && (f != m.file || d.node.root() == m.node.root()) {
				list = append(list, d)
			}
		}
	}
	return list
}

func (v *View) definition(at int) []Place {
	m := v.mentionAt(at)
	if m == nil {
		return nil
	}
	if to := m.leadsTo(); to != "" {
		if v.read(to) == nil {
			return nil
		}
		return []Place{{Path: to}}
	}
	if m.thing == "place" {
		return places(v.told(m))
	}
	return v.ruleDefinition(m, places(v.definitions(m)))
}

// told is the thing that the place of a concession names last: of bundle FL,
// station fl-4 the station. It stands in the same file, or in the kit beside a
// file of concessions.
func (v *View) told(m *mention) []*mention {
	var found *mention
	last := -1
	for _, f := range v.conceded() {
		for _, d := range f.names().all {
			if !d.names || f == m.file && d.node.root() != m.node.root() {
				continue
			}
			if at := whole(m.name, d.thing+" "+d.name); at > last && (d.in == "" || whole(m.name, d.in) >= 0) {
				found, last = d, at
			}
		}
	}
	if found == nil {
		return nil
	}
	return []*mention{found}
}

// conceded are the files whose things concessions of this one are about.
func (v *View) conceded() []*file {
	stem, beside := strings.CutSuffix(v.path, files.ConcessionsEnding)
	if !beside {
		return []*file{v.file}
	}
	for _, name := range files.KitsBeside(files.KitNamed(stem)) {
		if k := v.read(name); k != nil {
			return []*file{k}
		}
	}
	return nil
}

func places(list []*mention) []Place {
	var out []Place
	for _, m := range list {
		out = append(out, m.place())
	}
	return out
}

// ruleDefinition is where a rule, a limit or a pack stands that is no part of
// the program; else the places given.
func (v *View) ruleDefinition(m *mention, otherwise []Place) []Place {
	for _, p := range v.options.Packs {
		for _, r := range p.Rules {
			if (m.thing == "rule" || m.thing == loosenedThing) && r.ID == m.name && r.Node != nil {
				if f := v.read(p.File); f != nil {
					from, to, _ := r.Node.Get("id").Span()
					return []Place{{p.File, from, to}}
				}
			}
		}
	}
	return otherwise
}

func (v *View) references(at int) []Place {
	m := v.mentionAt(at)
	if m == nil {
		return nil
	}
	return places(v.mentions(m))
}

// mentions lists all of the thing of one: in its file; of a part, in the
// catalogues and the kits that use them as well.
func (v *View) mentions(m *mention) []*mention {
	var list []*mention
	for _, f := range v.around(m) {
		for _, o := range f.names().by[m.key()] {
			if f != m.file || m.ofCatalogue() || o.node.root() == m.node.root() {
				list = append(list, o)
			}
		}
	}
	return list
}

// around are the files that may name the thing of a mention, its own first: of
// a part all kits that draw on the catalogue in which it stands, from whichever
// file one looks at it.
func (v *View) around(m *mention) []*file {
	list := []*file{v.file}
	if !m.ofCatalogue() {
		return list
	}
	list = append(list, v.catalogues(v.file)...)
	holds := map[*file]bool{} // the part itself
	for _, d := range v.definitions(m) {
		holds[d.file] = true
	}
	for _, name := range v.options.Kits {
		k := v.read(name)
		if k == nil || name == v.path {
			continue
		}
		drawnOn := v.catalogues(k)
		if !slices.ContainsFunc(drawnOn, func(c *file) bool { return holds[c] }) {
			continue
		}
		for _, f := range append(drawnOn, k) {
			if !slices.Contains(list, f) {
				list = append(list, f)
			}
		}
	}
	return list
}

package editor

import (
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"kitgauge/checker/files"
	"kitgauge/checker/kit"
	"kitgauge/checker/settings"
)

// Words for things of which there is more to know.
const (
	outletThing   = "outlet"
	seriesThing   = "series"   // of metering elements, which share it
	loosenedThing = "loosened" // what settings may loosen: a pack, a limit, a rule, or the gate
)

// things lists what a value can refer to, what is still free first.
func (c *completer) things(n *node, l look, t kit.Target, add func(s Sort, word, detail, doc string)) {
	switch t.Thing {
	case "part":
		c.partsFor(n, l, t, add)
		return
	case "rule", "limit", "pack", loosenedThing:
		c.ofPacks(t.Thing, add)
		return
	case seriesThing:
		c.series(n, add)
		return
	case "place":
		c.placesOf(n.beside("rule"), add)
		return
	case "file":
		c.filesFor(n, add)
		return
	}
	used := c.used(n, t)
	if t.Thing == outletThing {
		defer c.unlisted(used, add)
	}
	list := c.View.things(c.rootOf(n), t.Thing, l.within(n, t))
	for _, again := range []bool{false, true} {
		for _, m := range list {
			switch {
			case used[m.name] != again || m.name == "" || m.blanked():
			case !again:
				add(Name, m.name, c.about(m.node.parent), "")
			case n.key != "" && !t.Once || m.name == n.text:
				add(Name, m.name, c.about(m.node.parent), "")
			}
		}
	}
	for _, m := range list {
		if m.blanked() && !used[m.name] {
			add(Name, m.name, "blanked so far", "")
		}
	}
}

// unlisted are the outlets that the pump has beside those of the file, as the
// last check knows them.
func (c *completer) unlisted(used map[string]bool, add func(s Sort, word, detail, doc string)) {
	if c.options.Facts == nil {
		return
	}
	for _, o := range c.options.Facts.Outlets {
		if name := strconv.FormatInt(o.Number.V, 10); o.Number.Known && o.Exists.V && !o.Listed.V && !used[name] {
			add(Name, name, "not listed yet", "")
		}
	}
}

// blanked reports whether a thing is closed off, so that nothing leads there.
func (m *mention) blanked() bool { return m.node.parent.say("blanked") == "true" }

// rootOf is the document of a value, of which the holder may stand outside of
// the tree.
func (c *completer) rootOf(n *node) *node {
	root := n.root()
	if slices.Contains(c.View.docs, root) {
		return root
	}
	if len(c.View.docs) > 0 {
		return c.View.docs[len(c.View.docs)-1]
	}
	return root
}

// used are the names that are taken where no two may refer to the same.
func (c *completer) used(n *node, t kit.Target) map[string]bool {
	out := map[string]bool{}
	if n.key == "" && n.parent != nil {
		for _, item := range n.parent.items {
			if item != n {
				out[item.text] = true
			}
		}
		return out
	}
	if !t.Once || n.parent == nil || n.parent.parent == nil {
		return out
	}
	for _, item := range n.parent.parent.items {
		if item != n.parent {
			out[item.say(n.key)] = true
		}
	}
	return out
}

// about says in a few words what a thing is: its name, or what is written of
// it.
func (v *View) about(n *node) string {
	for _, key := range []string{"name", "description", "title", "text"} {
		if s := n.say(key); s != "" {
			return s
		}
	}
	return ""
}

// partsFor are the parts of the right kind, with their figures; in a list of
// parts those that the kit uses and that are not listed come first.
func (c *completer) partsFor(n *node, l look, t kit.Target, add func(s Sort, word, detail, doc string)) {
	used := c.used(n, t)
	inUse := map[string]bool{}
	for _, m := range c.names().all {
		if m.thing == "part" && m.node != n {
			inUse[m.name] = true
		}
	}
	for _, first := range []bool{true, false} {
		for _, f := range c.parts() {
			for _, m := range f.names().all {
				part := m.node.parent
				if !m.names || m.thing != "part" || t.Kinds != nil && !slices.Contains(t.Kinds, part.say("kind")) {
					continue
				}
				if inUse[m.name] == first && !(used[m.name] && m.name != n.text) {
					add(Part, m.name, part.say("description"), m.file.figuresOf(part))
				}
			}
		}
	}
}

// figuresOf are the members of a part, or of another thing, as Markdown.
func (f *file) figuresOf(n *node) string {
	l := f.look(n)
	var b strings.Builder
	for _, item := range n.items {
		if item.key == "number" || item.key == "id" || item.key == "description" {
			continue
		}
		title := l.member(n, item.key).rule.Title()
		if title == "" {
			title = item.key
		}
		if text := f.shown(item); text != "" {
			b.WriteString("- " + title + ": " + text + "\n")
		}
	}
	return b.String()
}

// longestShown is how much of a value is repeated, in bytes.
const longestShown = 120

// shown is a value on one line.
func (f *file) shown(n *node) string {
	text := n.text
	if n.kind >= list {
		text = strings.Join(strings.Fields(string(f.text[n.from:n.to])), " ")
	}
	if len(text) > longestShown {
		text = strings.ToValidUTF8(text[:longestShown], "") + " ..."
	}
	return text
}

// ofPacks are the rules, the limits or the packs in use, by their ids; or all
// of them, with the gate.
func (c *completer) ofPacks(thing string, add func(s Sort, word, detail, doc string)) {
	all := thing == loosenedThing
	if all {
		add(Word, settings.GateWord, "the least severity that fails", "")
	}
	for _, p := range c.options.Packs {
		if all || thing == "pack" {
			add(Name, p.Name, p.Title, p.About)
		}
		if all || thing == "limit" {
			for _, l := range p.Limits {
				add(Name, p.Name+"/"+l.Name, l.Text, l.About)
			}
		}
		if all || thing == "rule" {
			for _, r := range p.Rules {
				add(Name, r.ID, r.Title, r.Why)
			}
		}
	}
}

// series are those of the elements of the catalogues, each once.
func (c *completer) series(n *node, add func(s Sort, word, detail, doc string)) {
	used := c.used(n, kit.Target{})
	for _, f := range c.parts() {
		for _, m := range f.names().all {
			if m.thing == seriesThing && m.node != n && m.name != "" && !used[m.name] {
				used[m.name] = true
				add(Name, m.name, c.ofSeries(m), "")
			}
		}
	}
}

// filesFor are the files of the tree that can stand there: catalogues, or the
// packs that settings add, but for those that do already.
func (c *completer) filesFor(n *node, add func(s Sort, word, detail, doc string)) {
	if c.options.Tree == nil {
		return
	}
	used := c.used(n, kit.Target{})
	for _, path := range c.options.Tree() {
		fits := files.IsCatalogueName(path)
		if c.form.schema == "settings" {
			fits = files.IsPackName(path)
		}
		name, err := filepath.Rel(filepath.Dir(c.path), path)
		if name = filepath.ToSlash(name); err != nil || !fits || path == c.path || used[name] {
			continue
		}
		about := ""
		if f := c.read(path); f != nil && len(f.docs) > 0 {
			about = f.docs[0].say("title")
		}
		add(File, name, about, "")
	}
}

// placesOf are the places that a rule looks at, as findings name them: those
// where it finds something first.
func (c *completer) placesOf(rule string, add func(s Sort, word, detail, doc string)) {
	var open []string
	if c.options.Open != nil {
		open = c.options.Open(rule)
	}
	for _, place := range open {
		add(Name, place, "found here", "")
	}
	if c.options.Facts == nil {
		return
	}
	for _, p := range c.options.Packs {
		for _, r := range p.Rules {
			if r.ID != rule {
				continue
			}
			for _, s := range c.options.Facts.Subjects(r.Of) {
				if !slices.Contains(open, s.Place()) {
					add(Name, s.Place(), "", "")
				}
			}
		}
	}
}

// named are the rules, limits or packs that settings can name as keys.
func (c *completer) named(in *node, l look, from, to int, w writing) []Completion {
	var list []Completion
	add := func(s Sort, word, detail, doc string) {
		if there := in.get(word); there != nil && (there.keyFrom != from || from == to) {
			return
		}
		out := Completion{Sort: s, Label: word, Detail: detail, Doc: doc, From: from, To: to}
		c.write(&out, in, l.member(in, word), word, w)
		list = append(list, out)
	}
	c.ofPacks(l.site.Refers, add)
	return list
}

package editor

import (
	"path/filepath"
	"strings"
	"sync"

	"kitgauge/checker/files"
	"kitgauge/checker/kit"
	"kitgauge/checker/settings"
	"kitgauge/schema"
)

// View is a text as an editor shows it, with what is known of it. It is safe
// for use by several goroutines.
type View struct {
	*file
	files   Files
	options Options

	parts func() []*file   // the catalogues of the file
	other map[string]*file // that the view has read, by path
	lock  sync.Mutex
}

// file is a text with the tree that it gives.
type file struct {
	path  string
	text  []byte
	form  form
	docs  []*node
	names func() *index
}

// form is what a file holds, by its name.
type form struct {
	schema string
	site   kit.Site
}

func formOf(path string) form {
	switch name := filepath.Base(path); {
	case files.IsCatalogueName(name):
		return form{"parts", kit.CatalogueSite()}
	case strings.HasSuffix(name, files.ConcessionsEnding):
		return form{"concessions", kit.KitSite()}
	case files.IsPackName(name):
		return form{schema: "pack"}
	case files.IsCardsName(name):
		return form{schema: "cards"}
	case name == settings.FileName || strings.HasSuffix(name, ".settings.yaml"):
		return form{"settings", kit.SiteOf[settings.File]()}
	}
	return form{"kit", kit.KitSite()}
}

func open(path string, text []byte, f Files, o Options) *View {
	v := &View{file: newFile(path, text), files: f, options: o, other: map[string]*file{}}
	v.parts = sync.OnceValue(v.partsOf)
	if b := o.Before; b != nil {
		b.lock.Lock()
		for path, f := range b.other {
			v.other[path] = f
		}
		b.lock.Unlock()
		v.options.Before = nil // or every text ever typed stays
	}
	return v
}

func newFile(path string, text []byte) *file {
	f := &file{path: path, text: text, form: formOf(path)}
	f.docs, _ = scan(text)
	f.names = sync.OnceValue(func() *index { return newIndex(f) })
	return f
}

// read is another file; nil where it cannot be read. One that has not changed
// is looked through once.
func (v *View) read(path string) *file {
	if path == v.path {
		return v.file
	}
	if v.files == nil {
		return nil
	}
	text, err := v.files.ReadFile(path)
	if err != nil {
		return nil
	}
	v.lock.Lock()
	defer v.lock.Unlock()
	if f := v.other[path]; f != nil && string(f.text) == string(text) {
		return f
	}
	f := newFile(path, text)
	v.other[path] = f
	return f
}

// look is what model and schema say of a place.
type look struct {
	site kit.Site
	rule schema.Rule
}

// look is what they say of a value of the file.
func (f *file) look(n *node) look {
	if n.parent == nil {
		return look{f.form.site, schema.Of(f.form.schema)}
	}
	return f.look(n.parent).below(n)
}

// below is what they say of a value in the one that is looked at.
func (l look) below(n *node) look {
	if n.key != "" || n.parent.kind == group {
		return l.member(n.parent, n.key)
	}
	return look{l.site.Item(n.say("kind")), l.rule.Item().For(n.holds)}
}

// member is what they say of a member of a group, whether it has it or not.
func (l look) member(in *node, key string) look {
	return look{l.site.Get(key), l.rule.For(in.holds).Member(key)}
}

// list reports whether a list belongs at the place.
func (l look) list() bool { return l.rule.Kind() == "array" && !l.site.Vector() }

// group reports whether a group belongs at the place.
func (l look) group() bool { return l.rule.Kind() == "object" }

// at is the deepest value of the file that stands at a byte, with its key; nil
// where there is none.
func (f *file) at(at int) *node {
	for _, d := range f.docs {
		if d.from <= at && at <= d.to {
			return d.at(at)
		}
	}
	return nil
}

func (n *node) at(at int) *node {
	for _, item := range n.items {
		first := item.from
		if item.key != "" || n.kind == group {
			first = item.keyFrom
		}
		if first <= at && at <= max(item.to, item.keyTo) {
			return item.at(at)
		}
	}
	return n
}

// onKey reports whether a byte stands at the key of the value.
func (n *node) onKey(at int) bool { return n.key != "" && n.keyFrom <= at && at <= n.keyTo }

// place is where the value stands in the file.
func (f *file) place(n *node) Place { return Place{f.path, n.from, n.to} }

// inner is the text of a value, without its anchor and its quotes.
func (f *file) inner(n *node) Place {
	p := f.place(n)
	if n.kind == scalar {
		p.From = n.start
	}
	if n.quote == '"' || n.quote == '\'' {
		p.From++
		if !n.open {
			p.To--
		}
	}
	return p
}

func (f *file) key(n *node) Place { return Place{f.path, n.keyFrom, n.keyTo} }

// rule is what the schema says of the whole file.
func (f *file) rule() schema.Rule { return schema.Of(f.form.schema) }

// doc is what the schema says of a place, in whole sentences.
func (f *file) doc(l look) string {
	text := l.rule.Description()
	if words := l.rule.Words(); len(words) > 0 {
		text += "\n\nOne of " + strings.Join(words, ", ") + "."
	}
	return text
}

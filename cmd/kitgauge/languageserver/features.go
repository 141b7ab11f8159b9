package languageserver

import (
	"cmp"
	"context"
	"fmt"
	"maps"
	"slices"
	"strings"

	"kitgauge/checker/editor"
	"kitgauge/checker/engine"
	"kitgauge/checker/files"
	"kitgauge/checker/finding"
	"kitgauge/checker/source"
)

// look is a document as it was when something was asked of it.
type look struct {
	server *server
	d      *document
	text   *text
}

// at takes a look at a document; false where it is not open.
func (s *server) at(id documentID) (look, bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	d := s.document(id.URI)
	if d == nil || d.strange() {
		return look{}, false
	}
	return look{server: s, d: d, text: d.text}, true
}

// need is what an answer needs beside the text.
type need int

const (
	nothing  need = iota
	findings      // of the text as it is: it waits for them
)

// answering makes an answer of what a view of a document says; null where the
// document is not open.
func answering[T any](s *server, id documentID, needs need, f func(l look, v *editor.View) (T, error)) func(context.Context) (any, error) {
	l, is := s.at(id)
	return func(ctx context.Context) (any, error) {
		if !is {
			return nil, nil
		}
		if needs == findings {
			s.judged(ctx, l.d)
		}
		return f(l, l.view())
	}
}

// view is that of the text, with what was found in it last.
func (l look) view() *editor.View {
	s := l.server
	s.mu.Lock()
	j, before := l.d.found, l.d.view
	if before != nil && l.d.viewed == l.text && l.d.of == j {
		s.mu.Unlock()
		return before
	}
	s.mu.Unlock()
	v := l.viewOf(before, nil)
	s.mu.Lock()
	defer s.mu.Unlock()
	if l.d.text == l.text {
		l.d.view, l.d.viewed, l.d.of = v, l.text, j
	}
	return v
}

// viewOf opens a view, which looks at some kits as well where it looks for parts.
func (l look) viewOf(before *editor.View, kits []string) *editor.View {
	s := l.server
	s.mu.Lock()
	j := l.d.found
	s.mu.Unlock()
	o := editor.Options{Before: before, Packs: l.packs(j), Kits: kits}
	o.Open = func(rule string) []string { return s.openPlaces(l.d, rule) }
	o.Tree = func() []string {
		list, _ := below(l.dir(), s.options.most, func(name string) bool { return files.IsCatalogueName(name) || files.IsPackName(name) })
		return list
	}
	if j != nil && len(j.results) > 0 {
		o.Facts = j.results[0].Facts
		o.Margins = func(at func(*source.Node) bool, packs ...string) []engine.Margin {
			return j.checker.MarginsAt(j.results[0], at, packs...)
		}
	}
	return editor.Open(l.d.path, l.text.bytes, reader{newStore(s.buffer), l.d.path}, o)
}

// openPlaces lists where a rule finds something that nobody has permitted: in a
// kit, or in the open kits that read a file.
func (s *server) openPlaces(of *document, rule string) (list []string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, path := range slices.Sorted(maps.Keys(s.documents)) {
		d := s.documents[path]
		if d.found == nil || d != of && (d.found.store == nil || !d.found.store.needs(of.path)) {
			continue
		}
		for _, r := range d.found.results {
			for i := range r.Findings {
				f := &r.Findings[i]
				place := f.Place
				if len(place) > longestLabel {
					place = f.Pointer
				}
				if f.Rule == rule && f.Status == finding.Violated && !slices.Contains(list, place) {
					list = append(list, place)
				}
			}
		}
	}
	return list
}

// packs are the rule packs in use for the document.
func (l look) packs(j *judgement) []*engine.Pack {
	if j != nil && j.checker != nil {
		if config, err := j.checker.Config(j.place.name); err == nil {
			return config.Packs
		}
	}
	packs, _ := l.server.base.Packs()
	return packs
}

// dir is the tree in which the document stands, whose files may be named in it.
func (l look) dir() string {
	l.server.mu.Lock()
	defer l.server.mu.Unlock()
	return l.server.placeOf(l.d.path).dir
}

// textOf is the text of a file that a look leads to; nil where it cannot be
// read.
func (l look) textOf(path string) *text {
	if path == l.d.path {
		return l.text
	}
	if t := l.server.buffer(path); t != nil {
		return t
	}
	b, err := reader{newStore(l.server.buffer), l.d.path}.ReadFile(path)
	if err != nil {
		return nil
	}
	return newText(b, l.text.encoding)
}

// locations are places as the editor knows them; without those of files that
// cannot be read.
func (l look) locations(list []editor.Place) []location {
	out := []location{}
	for _, p := range list {
		if t := l.textOf(p.Path); t != nil {
			out = append(out, location{l.server.uriFor(p.Path), t.span(p.From, p.To)})
		}
	}
	return out
}

// uriFor is the URI of a file, as the editor writes it where it is open.
func (s *server) uriFor(path string) string {
	s.mu.Lock()
	defer s.mu.Unlock()
	if d := s.documents[path]; d != nil {
		return d.uri
	}
	return uriOf(path)
}

func markdown(text string) *markup {
	if text == "" {
		return nil
	}
	return &markup{"markdown", text}
}

// kindsOf are the kinds of the protocol for the sorts of completion.
var kindsOf = map[editor.Sort]int{editor.Key: 10, editor.Word: 20, editor.Name: 18, editor.Part: 21, editor.Unit: 11, editor.Item: 22, editor.File: 17}

func (s *server) completion(p atPlace) func(context.Context) (any, error) {
	return answering(s, p.TextDocument, nothing, func(l look, v *editor.View) (completionList, error) {
		list := completionList{Incomplete: true, Items: []completionItem{}}
		s.mu.Lock()
		snippets := s.client.Capabilities.TextDocument.Completion.Item.SnippetSupport
		s.mu.Unlock()
		at := l.text.offset(p.Position)
		for i, c := range fitting(l.text, at, v.Completions(at)) {
			list.Items = append(list.Items, itemOf(l.text, c, i, snippets))
		}
		return list, nil
	})
}

// mostProposed is how many completions an editor is given at a time; it asks
// again when more is typed.
const mostProposed = 500

// fitting keeps to so many completions, those that hold what is typed.
func fitting(t *text, at int, list []editor.Completion) []editor.Completion {
	if len(list) <= mostProposed {
		return list
	}
	list = slices.DeleteFunc(list, func(c editor.Completion) bool {
		return c.From <= at && !strings.Contains(strings.ToLower(c.Insert), strings.ToLower(string(t.bytes[c.From:at])))
	})
	return list[:min(len(list), mostProposed)]
}

// itemOf is a completion as the editor takes it.
func itemOf(t *text, c editor.Completion, place int, snippets bool) completionItem {
	item := completionItem{
		Label: c.Label, Kind: kindsOf[c.Sort], Detail: c.Detail, Documentation: markdown(c.Doc),
		SortText: fmt.Sprintf("%05d", place), FilterText: filterOf(c), Format: 1,
		Edit: textEdit{t.span(c.From, c.To), c.Bare()},
	}
	switch {
	case snippets && len(c.Stops) > 0:
		item.Format, item.Edit.NewText = 2, withStops(c)
	case snippets && c.Caret < len(c.Insert):
		item.Format = 2
		item.Edit.NewText = snippet.Replace(c.Insert[:c.Caret]) + "$0" + snippet.Replace(c.Insert[c.Caret:])
	}
	return item
}

// filterOf is what is typed is held against: what is inserted, since what is
// typed already is part of that; of what writes several members, its name and
// theirs.
func filterOf(c editor.Completion) string {
	if len(c.Stops) > 0 {
		return c.Label + " " + c.Detail
	}
	first, _, _ := strings.Cut(c.Insert, "\n")
	return first
}

// withStops is what a completion inserts, with its places to fill in marked.
func withStops(c editor.Completion) string {
	var b strings.Builder
	done := 0
	for i, stop := range c.Stops {
		b.WriteString(snippet.Replace(c.Insert[done:stop.From]))
		fmt.Fprintf(&b, "${%d:%s}", i+1, snippet.Replace(c.Insert[stop.From:stop.To]))
		done = stop.To
	}
	return b.String() + snippet.Replace(c.Insert[done:])
}

// snippet keeps a text as it is where the place of the caret is marked in it.
var snippet = strings.NewReplacer(`\`, `\\`, `$`, `\$`, `}`, `\}`)

func (s *server) hover(p atPlace) func(context.Context) (any, error) {
	return answering(s, p.TextDocument, nothing, func(l look, v *editor.View) (*hoverResult, error) {
		h, is := v.Hover(l.text.offset(p.Position))
		if !is {
			return nil, nil
		}
		return &hoverResult{*cmp.Or(markdown(h.Text), &markup{}), l.text.span(h.From, h.To)}, nil
	})
}

func (s *server) definition(p atPlace) func(context.Context) (any, error) {
	return answering(s, p.TextDocument, nothing, func(l look, v *editor.View) ([]location, error) {
		return l.locations(v.Definition(l.text.offset(p.Position))), nil
	})
}

func (s *server) references(p referenceParams) func(context.Context) (any, error) {
	return answering(s, p.TextDocument, nothing, func(l look, v *editor.View) ([]location, error) {
		at := l.text.offset(p.Position)
		v, _ = l.wider(v, at) // what can be looked at is better than nothing
		list := v.References(at)
		if !p.Context.Declaration {
			list = without(list, v.Definition(at))
		}
		return l.locations(list), nil
	})
}

// without is a list of places without some of them.
func without(list, out []editor.Place) []editor.Place {
	kept := list[:0:0]
	for _, p := range list {
		declared := false
		for _, o := range out {
			declared = declared || p == o
		}
		if !declared {
			kept = append(kept, p)
		}
	}
	return kept
}

func (s *server) highlights(p atPlace) func(context.Context) (any, error) {
	return answering(s, p.TextDocument, nothing, func(l look, v *editor.View) ([]highlight, error) {
		list := []highlight{}
		for _, place := range v.References(l.text.offset(p.Position)) {
			if place.Path == l.d.path {
				list = append(list, highlight{l.text.span(place.From, place.To)})
			}
		}
		return list, nil
	})
}

func (s *server) prepareRename(p atPlace) func(context.Context) (any, error) {
	return answering(s, p.TextDocument, nothing, func(l look, v *editor.View) (*renameRange, error) {
		place, name, err := v.RenameRange(l.text.offset(p.Position))
		if err != nil {
			return nil, err
		}
		return &renameRange{l.text.span(place.From, place.To), name}, nil
	})
}

func (s *server) rename(p renameParams) func(context.Context) (any, error) {
	return answering(s, p.TextDocument, nothing, func(l look, v *editor.View) (*workspaceEdit, error) {
		at := l.text.offset(p.Position)
		v, err := l.wider(v, at)
		if err != nil {
			return nil, err
		}
		changes, err := v.Rename(at, p.NewName)
		if err != nil {
			return nil, err
		}
		byPath := map[string]rewrite{}
		for _, c := range changes {
			t := l.textOf(c.Path)
			if t == nil {
				return nil, fmt.Errorf("%s cannot be read, and would keep the old name: nothing is changed", c.Path)
			}
			byPath[c.Path] = rewrite{t, append(byPath[c.Path].list, textEdit{t.span(c.From, c.To), c.With})}
		}
		e := s.editOf(byPath)
		if e == nil {
			return nil, errTypedOver
		}
		return e, nil
	})
}

// The kinds of symbol of the protocol that are used.
const (
	symbolSection = 3  // a namespace
	symbolThing   = 19 // an object
)

func (s *server) symbols(p documentParams) func(context.Context) (any, error) {
	return answering(s, p.TextDocument, nothing, func(l look, v *editor.View) (any, error) {
		list := l.symbols(v.Symbols())
		s.mu.Lock()
		nested := s.client.Capabilities.TextDocument.DocumentSymbol.Hierarchical
		s.mu.Unlock()
		if nested {
			return list, nil
		}
		return flat([]symbolInformation{}, l.d.uri, "", list), nil
	})
}

func (l look) symbols(list []editor.Symbol) []documentSymbol {
	out := []documentSymbol{}
	for _, it := range list {
		one := documentSymbol{Name: cmp.Or(it.Name, "-"), Detail: it.Detail, Kind: symbolThing, Range: l.text.span(it.Whole.From, it.Whole.To), Selection: l.text.span(it.Named.From, it.Named.To)}
		if it.Kind == "" {
			one.Kind = symbolSection
		}
		if one.Selection.Start.before(one.Range.Start) || one.Range.End.before(one.Selection.End) {
			one.Selection = span{one.Range.Start, one.Range.Start} // it has to lie within
		}
		one.Children = l.symbols(it.Children)
		out = append(out, one)
	}
	return out
}

// flat lists symbols for an editor that knows no tree of them.
func flat(out []symbolInformation, uri, in string, list []documentSymbol) []symbolInformation {
	for _, it := range list {
		out = append(out, symbolInformation{it.Name, it.Kind, location{uri, it.Range}, in})
		out = flat(out, uri, it.Name, it.Children)
	}
	return out
}

func (s *server) links(p documentParams) func(context.Context) (any, error) {
	return answering(s, p.TextDocument, nothing, func(l look, v *editor.View) ([]documentLink, error) {
		list := []documentLink{}
		for _, link := range v.Links() {
			list = append(list, documentLink{l.text.span(link.From, link.Place.To), s.uriFor(link.To)})
		}
		return list, nil
	})
}

func (s *server) folds(p documentParams) func(context.Context) (any, error) {
	return answering(s, p.TextDocument, nothing, func(l look, v *editor.View) ([]foldingRange, error) {
		list := []foldingRange{}
		for _, f := range v.Folds() {
			one := foldingRange{StartLine: l.text.position(f.From).Line, EndLine: l.text.position(f.To).Line}
			if f.Remark {
				one.Kind = "comment"
			}
			if one.EndLine > one.StartLine {
				list = append(list, one)
			}
		}
		return list, nil
	})
}

func (s *server) inlayHints(p rangeParams) func(context.Context) (any, error) {
	return answering(s, p.TextDocument, findings, func(l look, v *editor.View) ([]inlayHint, error) {
		list := []inlayHint{}
		s.mu.Lock()
		show := s.figures
		s.mu.Unlock()
		if !show {
			return list, nil
		}
		for _, f := range v.Figures(l.text.offset(p.Range.Start), l.text.offset(p.Range.End)) {
			list = append(list, inlayHint{l.text.position(f.At), f.Text, markdown(f.Doc), true})
		}
		return list, nil
	})
}

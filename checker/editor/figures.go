package editor

import (
	"fmt"
	"slices"
	"strings"

	"kitgauge/checker/engine"
	"kitgauge/checker/facts"
	"kitgauge/checker/source"
	"kitgauge/checker/units"
)

// What a check has computed is of the text that it was given. Where that has
// changed since, it is shown at the things that have the same name: the
// identity of package source.

// identity is the path of a value, an item of a list by its own name, as
// source.Node.Identity has it.
func (n *node) identity() string {
	if n.parent == nil {
		return ""
	}
	own := n.key
	if n.parent.kind == list {
		own = source.ItemKey(n.index, n.say)
	}
	return n.parent.identity() + "/" + source.EscapeKey(own)
}

// thing is the item of a list in which a value stands, or else its section.
func (n *node) thing() *node {
	for n.parent != nil && n.parent.parent != nil && (n.parent.kind != list || n.kind != group) {
		n = n.parent
	}
	return n
}

// checked is the value of the text that was checked which has the identity of
// one of this text; nil where there is none.
func (v *View) checked(n *node) *source.Node {
	switch {
	case v.options.Facts == nil || v.options.Facts.Kit == nil:
		return nil
	case n.parent == nil:
		return v.options.Facts.Node
	}
	in := v.checked(n.parent)
	if in == nil || n.parent.kind == group {
		return in.Get(n.key)
	}
	own := source.ItemKey(n.index, n.say)
	for _, item := range in.Items {
		if item.ItemKey() == own {
			return item
		}
	}
	return nil
}

// computed is what a check has computed where a value stands: how near the
// rules that are about the member come to their limits.
func (v *View) computed(n *node) string {
	key := n.member()
	if key == nil || v.options.Facts == nil || v.options.Margins == nil {
		return ""
	}
	thing := key.thing()
	if key == thing || key.parent != thing {
		return ""
	}
	return v.margins(thing, key.key)
}

// margins lists how near rules come to their limits at a thing: those about a
// member, or all.
func (v *View) margins(thing *node, member string) string {
	if v.options.Margins == nil {
		return ""
	}
	rules, at := v.rules(), v.checked(thing)
	if at == nil {
		return ""
	}
	var b strings.Builder
	for _, m := range v.options.Margins(func(n *source.Node) bool { return n == at }) {
		r := rules[m.Rule]
		if r == nil || member != "" && !slices.Equal(r.At, []string{member}) {
			continue
		}
		fmt.Fprintf(&b, "- %s: %s, %s %s (`%s`)\n", r.Title, m.Value.Text, bound(m), m.Limit.Text, m.Rule)
	}
	return b.String()
}

func bound(m engine.Margin) string {
	if m.AtMost {
		return "at most"
	}
	return "at least"
}

func (v *View) rules() map[string]*engine.Rule {
	out := map[string]*engine.Rule{}
	for _, p := range v.options.Packs {
		for _, r := range p.Rules {
			out[r.ID] = r
		}
	}
	return out
}

// ofNamed is what a check has computed of the thing that a name leads to: its
// figures, those of the span that ends there, and the margins.
func (v *View) ofNamed(m *mention) string {
	defined := v.definitions(m)
	if len(defined) == 0 || v.options.Facts == nil || defined[0].file != v.file {
		return ""
	}
	thing := defined[0].node.thing()
	at, word := v.checked(thing), defined[0].thing
	if at == nil {
		return ""
	}
	var b strings.Builder
	for _, f := range v.options.Facts.FiguresAt(func(kind string, n *source.Node) bool {
		return (kind == word || kind == spanKind) && n == at
	}) {
		v.table(&b, f)
	}
	return b.String() + "\n" + v.margins(thing, "")
}

// spanKind is the kind of a free length between two bodies: it stands at the
// station where it ends.
const spanKind = "span"

// table lists the figures of one thing.
func (v *View) table(b *strings.Builder, f facts.Figures) {
	fmt.Fprintf(b, "\n%s:\n\n", f.Place)
	for _, one := range f.Figures {
		if one.Value.Known {
			fmt.Fprintf(b, "- %s: %s\n", one.Name, units.Format(one.Value.V, one.Dimension, v.options.Facts.Family()))
		}
	}
}

// shownBeside is the number whose margin is shown beside the text: the slack
// of a span.
const shownBeside = "span.slack"

// figures are the slacks of the spans that end between two bytes.
func (v *View) figures(from, to int) []Figure {
	if v.options.Facts == nil || v.options.Margins == nil {
		return nil
	}
	rules, at := v.rules(), map[string]engine.Margin{}
	for _, m := range v.options.Margins(func(n *source.Node) bool { return n != nil }, packsOf(rules, shownBeside)...) {
		if r := rules[m.Rule]; r != nil && r.Compared() == shownBeside && !m.AtMost {
			at[m.Node.Identity()] = m
		}
	}
	if len(at) == 0 {
		return nil
	}
	stated := map[string]string{}
	for _, s := range v.options.Facts.Spans {
		stated[s.Source().Identity()], _, _ = strings.Cut(s.StatedAs.V, " ")
	}
	var out []Figure
	var walk func(n *node)
	walk = func(n *node) {
		if n.kind == group && n.from <= to && n.to >= from {
			if m, has := at[n.identity()]; has {
				out = append(out, v.slackOf(n.get(stated[n.identity()]), m, rules[m.Rule])...)
			}
		}
		for _, item := range n.items {
			if item.kind >= list && item.from <= to && item.to >= from {
				walk(item)
			}
		}
	}
	for _, d := range v.docs {
		walk(d)
	}
	return slices.DeleteFunc(out, func(f Figure) bool { return f.At < from || f.At > to })
}

// packsOf names the packs with a rule that compares a number.
func packsOf(rules map[string]*engine.Rule, number string) []string {
	var list []string
	for id, r := range rules {
		if pack, _, _ := strings.Cut(id, "/"); r.Compared() == number && !slices.Contains(list, pack) {
			list = append(list, pack)
		}
	}
	slices.Sort(list)
	return list
}

// slackOf is the figure of a span behind the member that states its length.
func (v *View) slackOf(at *node, m engine.Margin, r *engine.Rule) []Figure {
	if at == nil || at.kind != scalar {
		return nil
	}
	_, name, _ := strings.Cut(r.Compared(), ".")
	value, limit := m.Value.Text, m.Limit.Text
	if number, unit, _ := strings.Cut(value, " "); strings.HasSuffix(limit, " "+unit) {
		value = number
	}
	return []Figure{{
		At: at.to, Text: strings.ReplaceAll(name, "_", " ") + " " + value + " of " + limit,
		Doc: fmt.Sprintf("%s: %s, %s %s (`%s`)", r.Title, m.Value.Text, bound(m), m.Limit.Text, m.Rule),
	}}
}

package editor

import (
	"strings"

	"kitgauge/checker/settings"
)

// hover says what a key is, or what a value refers to, and what a check has
// computed of the thing that it names.
func (v *View) hover(at int) (Hover, bool) {
	n := v.at(at)
	if n == nil || n.parent == nil && n.kind >= list {
		return Hover{}, false
	}
	l := v.look(n)
	if n.onKey(at) {
		if m := v.names().of[n]; m != nil && m.onKey {
			return told(v.key(n), v.ofMention(m))
		}
		return told(v.key(n), v.ofKey(n, l), v.computed(n))
	}
	if n.kind != scalar {
		return Hover{}, false
	}
	if m := v.mentionAt(at); m != nil {
		return told(v.place(n), v.ofMention(m), v.ofNamed(m))
	}
	return told(v.place(n), v.ofKey(n, l), v.computed(n))
}

func told(at Place, parts ...string) (Hover, bool) {
	var list []string
	for _, p := range parts {
		if p != "" {
			list = append(list, strings.TrimSpace(p))
		}
	}
	return Hover{at, strings.Join(list, "\n\n")}, len(list) > 0
}

// ofKey are the words of the schema for a member.
func (v *View) ofKey(n *node, l look) string {
	if !l.rule.Says() {
		return ""
	}
	head := "**" + l.rule.Title() + "**"
	if key := n.member(); key != nil && key == n {
		head += " `" + n.key + "`"
	}
	return head + "\n\n" + v.doc(l)
}

// ofMention says what a name leads to.
func (v *View) ofMention(m *mention) string {
	switch m.thing {
	case "rule", "limit", "pack", loosenedThing:
		return v.ofRule(m)
	case "file", "place":
		return v.ofKey(m.node, v.look(m.node))
	}
	defined := v.definitions(m)
	if len(defined) == 0 {
		return "There is no " + m.thing + " `" + m.name + "`."
	}
	d := defined[0]
	if m.thing == seriesThing {
		return "**series " + m.name + "** " + v.ofSeries(m)
	}
	head := "**" + d.thing + " " + d.name + "**"
	if about := v.about(d.node.parent); about != "" {
		head += " " + about
	}
	if d.thing == "step" {
		return v.ofKey(m.node, v.look(m.node))
	}
	return head + "\n\n" + d.file.figuresOf(d.node.parent)
}

// ofSeries lists the elements of a series.
func (v *View) ofSeries(m *mention) string {
	var list []string
	for _, d := range v.definitions(m) {
		list = append(list, d.node.parent.say("number"))
	}
	return strings.Join(list, ", ")
}

// ofRule are the words of a rule, a limit or a pack, or of whichever of them
// may be loosened.
func (v *View) ofRule(m *mention) string {
	is := func(thing string) bool { return m.thing == thing || m.thing == loosenedThing }
	if m.thing == loosenedThing && m.name == settings.GateWord {
		return "**gate** the least severity that fails"
	}
	for _, p := range v.options.Packs {
		if is("pack") && p.Name == m.name {
			return "**" + p.Name + "** " + p.Title + "\n\n" + p.About
		}
		for _, l := range p.Limits {
			if is("limit") && p.Name+"/"+l.Name == m.name {
				return "**" + m.name + "** " + l.About + ": " + l.Text + "\n\nBasis: " + l.Basis
			}
		}
		for _, r := range p.Rules {
			if is("rule") && r.ID == m.name {
				return "**" + r.ID + "** " + r.Title + " (" + r.Severity.String() + ")\n\n" + r.Why + "\n\nBasis: " + r.Basis
			}
		}
	}
	if m.thing == loosenedThing {
		return "There is no pack, limit or rule `" + m.name + "`."
	}
	return "There is no " + m.thing + " `" + m.name + "`."
}

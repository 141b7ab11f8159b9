package compare

import (
	"reflect"
	"slices"
	"strconv"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"kitgauge/checker/kit"
	"kitgauge/checker/value"
)

// leaf notes a member that differs.
func (d *differ) leaf(at place, group reflect.Type, m value.Member, a, b shown, of measure) {
	if a.stated == b.stated && a.same == b.same {
		return
	}
	words := wordsOf(m, group)
	c := Change{Kind: Changed, Section: d.section, Place: at.text, Member: words}
	if a.text == b.text { // they differ in what is not shown
		a.text, b.text = a.exact, b.exact
	}
	if a.stated {
		c.Old = state(a.text, a.node)
	}
	if b.stated {
		c.New = state(b.text, b.node)
	}
	c.Text = d.sentence(at.text, m, words, a, b, of)
	d.changes = append(d.changes, c)
}

// sentence says what differs as people in the trade say it.
func (d *differ) sentence(place string, m value.Member, words string, a, b shown, of measure) string {
	old, new := shortened(a.text, b.text)
	old, new = d.quoted(m.Key, old), d.quoted(m.Key, new)
	lead := join(place, ": ", words)
	switch {
	case !a.stated:
		return lead + " now stated: " + new
	case !b.stated:
		return lead + " no longer stated (was " + old + ")"
	case a.items != nil || b.items != nil:
		return lead + ": " + changedItems(a.items, b.items)
	}
	if text := d.length(place, words, m, a, b, of); text != "" {
		return text + " (" + old + " to " + new + ")"
	}
	if text := d.shift(a, b, of); text != "" {
		return lead + " moved by " + text + " (" + old + " to " + new + ")"
	}
	if was, is := d.character(a), d.character(b); was != is && was != "" && is != "" {
		if place == "feed" {
			lead = words // the kit has one fuse and one cable
		}
		return lead + " " + was + " to " + is + " (" + old + " to " + new + ")"
	}
	return lead + " " + old + " to " + new
}

// lengths are the members that become longer or shorter.
var lengths = []string{"cut_length", "free_length", "last_free_length", "length"}

// length says by how much a length grew: "line 7 now 55 mm longer".
func (d *differ) length(place, words string, m value.Member, a, b shown, of measure) string {
	was, one := known(a)
	is, two := known(b)
	if !one || !two || !isLength(of) || !slices.Contains(lengths, m.Key) {
		return ""
	}
	than, by := "longer", is-was
	if by < 0 {
		than, by = "shorter", -by
	}
	lead := place
	if m.Key != "cut_length" {
		lead += ": " + words
	}
	return lead + " now " + difference(by, a.text, b.text, of, d.family) + " " + than
}

// shift says how far a position moved.
func (d *differ) shift(a, b shown, of measure) string {
	was, one := a.value.(kit.Vector)
	is, two := b.value.(kit.Vector)
	if !one || !two || !was.Known() || !is.Known() || !isLength(of) {
		return ""
	}
	return of.format(r3.Norm(r3.Sub(is.Vec(), was.Vec())), d.family)
}

// character is the figure by which people name a part of the catalogue: "5 A"
// for a fuse. It is empty for what is no part or does not state it.
func (d *differ) character(s shown) string {
	ref, is := s.value.(reference)
	if !is {
		return ""
	}
	to, found, _ := ref.Target()
	if !found {
		return ""
	}
	by := characters[reflect.TypeOf(to).Elem().Name()]
	c := d.leafOf(reflect.ValueOf(to).Elem(), by.key)
	if !c.stated {
		return ""
	}
	return c.exact + by.after // as its maker writes it
}

// characters are the members of [differ.character], by the type of the part.
var characters = map[string]struct{ key, after string }{
	"Pump":    {key: "outlets", after: " outlets"},
	"Element": {key: "stroke_volume", after: " a stroke"},
	"Tube":    {key: "outer"}, "Conduit": {key: "inner"}, "Fitting": {key: "thread"},
	"Fuse": {key: "rating"}, "Cable": {key: "area"}, "Connector": {key: "enclosure"},
	"Grease": {key: "designation"}, "Bolt": {key: "size"},
}

// changedItems says what was added to a list and what was removed.
func changedItems(old, new []string) string {
	count := map[string]int{}
	for _, t := range old {
		count[t]--
	}
	var added, removed []string
	for _, t := range new {
		if count[t]++; count[t] > 0 {
			added = append(added, t)
		}
	}
	for _, t := range slices.Backward(old) {
		if count[t] < 0 {
			removed = append(removed, t)
			count[t]++
		}
	}
	slices.Reverse(removed)
	text := ""
	if len(added) > 0 {
		text = strings.Join(added, ", ") + " added"
	}
	if len(removed) > 0 {
		text = join(text, "; ", strings.Join(removed, ", ")+" removed")
	}
	return text
}

// prose are the members that hold words of people, which want quotes.
var prose = []string{
	"title", "description", "datum", "name", "note", "text", "reason", "safety_notice", "hole_pattern", "owner",
	"drawn_by", "checked_by", "granted_by",
}

func (d *differ) quoted(key, text string) string {
	if slices.Contains(prose, key) {
		return `"` + text + `"`
	}
	return text
}

// shortened cuts two long texts down to where they differ.
func shortened(old, new string) (string, string) {
	const long, context = 60, 20
	a, b := []rune(old), []rune(new)
	if len(a) <= long && len(b) <= long {
		return old, new
	}
	head, tail := 0, 0
	for head < min(len(a), len(b)) && a[head] == b[head] {
		head++
	}
	for tail < min(len(a), len(b))-head && a[len(a)-1-tail] == b[len(b)-1-tail] {
		tail++
	}
	head, tail = max(head-context, 0), max(tail-context, 0)
	cut := func(r []rune) string {
		text := string(r[head : len(r)-tail])
		if head > 0 {
			text = "…" + text
		}
		if tail > 0 {
			text += "…"
		}
		return limited(text)
	}
	return cut(a), cut(b)
}

// limited keeps a text to what a person reads in a list.
func limited(text string) string {
	const most = 160
	if r := []rune(text); len(r) > most {
		return string(r[:most]) + "… (" + strconv.Itoa(len(r)) + " characters)"
	}
	return text
}

package editor

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"kitgauge/checker/edit"
	"kitgauge/checker/files"
	"kitgauge/checker/source"
)

var errNothing = errors.New("nothing here has a name that can be changed: put the cursor on an id, a number or a part number")

func (v *View) renameRange(at int) (Place, string, error) {
	m, err := v.renamed(at)
	if err != nil {
		return Place{}, "", err
	}
	return m.place(), m.name, nil
}

// renamed is the mention at a byte, of a thing whose name can be changed.
func (v *View) renamed(at int) (*mention, error) {
	m := v.mentionAt(at)
	if m == nil || m.onKey {
		return nil, errNothing
	}
	defined := v.definitions(m)
	switch {
	case m.thing == "rule" || m.thing == "place" || m.thing == "file" || m.thing == loosenedThing:
		return nil, fmt.Errorf("%q is no name of this kit's own, and stays", m.name)
	case len(defined) == 0:
		return nil, fmt.Errorf("there is no %s %s whose name could be changed", m.thing, m.name)
	case len(defined[0].file.look(defined[0].node).rule.Words()) > 0:
		return nil, fmt.Errorf("%s is a word of a list, not a name", m.name)
	case len(defined) > 1 && !defined[0].shared:
		return nil, fmt.Errorf("there are %d of %s %s: give each a name of its own first", len(defined), m.thing, m.name)
	}
	return m, nil
}

func (v *View) rename(at int, name string) ([]Change, error) {
	m, err := v.renamed(at)
	if err != nil || name == m.name {
		return nil, err
	}
	if err := v.mayBe(m, name); err != nil {
		return nil, err
	}
	byFile := map[*file][]splice{}
	var order []*file
	note := func(f *file, s splice) {
		if byFile[f] == nil {
			order = append(order, f)
		}
		byFile[f] = append(byFile[f], s)
	}
	for _, o := range v.mentions(m) {
		note(o.file, splice{o.node, o.written(name), name})
	}
	for _, f := range v.withPlaces(m) {
		for _, o := range f.names().all {
			if told, has := replaced(o.name, m.thing+" ", m.name, name); has && o.thing == "place" {
				note(f, splice{o.node, o.written(told), told})
			}
		}
	}
	var list []Change
	for _, f := range order {
		changes, err := f.spliced(byFile[f])
		if err != nil {
			return nil, err
		}
		list = append(list, changes...)
	}
	return list, nil
}

// mayBe says why a thing cannot have a name.
func (v *View) mayBe(m *mention, name string) error {
	d := v.definitions(m)[0]
	if why := d.file.look(d.node).rule.Refuses(name); why != "" {
		return fmt.Errorf("the %s of %s %s: %s", d.node.key, d.thing, d.name, why)
	}
	if strings.TrimSpace(name) != name || strings.ContainsFunc(name, func(r rune) bool { return unicode.IsControl(r) || r == utf8.RuneError }) {
		return fmt.Errorf("%q cannot be a name: it is a word without spaces at its ends", name)
	}
	there := *m
	there.name = name
	if n, err := strconv.Atoi(name); err == nil && d.file.look(d.node).site.Count() {
		there.name = strconv.Itoa(n)
		if there.name != name {
			return fmt.Errorf("write the number as %s", there.name)
		}
	}
	if other := v.definitions(&there); len(other) > 0 {
		return fmt.Errorf("%s %s is there already, in line %d of %s", m.thing, name, other[0].file.line(other[0].node.from), other[0].file.path)
	}
	return nil
}

// line is the number of the line in which a byte stands.
func (f *file) line(at int) int { return 1 + strings.Count(string(f.text[:at]), "\n") }

// withPlaces are the files whose concessions may name the thing of a mention
// in words: the kits that have it, and the files of concessions beside them.
func (v *View) withPlaces(m *mention) []*file {
	var list []*file
	for _, f := range v.around(m) {
		if f.form.schema != "kit" {
			continue
		}
		list = append(list, f)
		if beside := files.ConcessionsBeside(f.path); beside != "" {
			if c := v.read(beside); c != nil && c != f {
				list = append(list, c)
			}
		}
	}
	return list
}

// replaced puts another name behind a word in a text, where the name stands
// there whole.
func replaced(text, word, name, by string) (string, bool) {
	out, found := "", false
	for {
		at := whole(text, word+name)
		if at < 0 {
			return out + text, found
		}
		out += text[:at] + word + by
		text, found = text[at+len(word+name):], true
	}
}

// whole is where words stand in a text that no letter or digit continues; -1
// where they do not.
func whole(text, words string) int {
	for from := 0; ; {
		i := strings.Index(text[from:], words)
		if i < 0 {
			return -1
		}
		at, end := from+i, from+i+len(words)
		before, _ := utf8.DecodeLastRuneInString(text[:at])
		after, _ := utf8.DecodeRuneInString(text[end:])
		if (at == 0 || !inName(before)) && (end == len(text) || !inName(after)) {
			return at
		}
		from = end
	}
}

// inName reports whether a character may be part of a name.
func inName(r rune) bool {
	return unicode.IsLetter(r) || unicode.IsDigit(r) || strings.ContainsRune("-_./", r)
}

// splice is a value with what is written in its place, and what that says.
type splice struct {
	node *node
	with string
	name string
}

// written is a name as it is written in the place of that of a mention: in its
// quotes, where it has some.
func (m *mention) written(name string) string {
	switch m.node.quote {
	case '"':
		text := edit.Text(name)
		return text[1 : len(text)-1]
	case '\'':
		return strings.ReplaceAll(name, "'", "''")
	}
	return edit.Written(name, 0, m.node.inFlow())
}

// spliced are the changes of a file, once it is proved that its text is read
// as before with the new values, and nothing else.
func (f *file) spliced(list []splice) ([]Change, error) {
	slices.SortFunc(list, func(a, b splice) int { return cmp.Compare(a.node.from, b.node.from) })
	var out []byte
	var changes []Change
	at := 0
	for _, s := range list {
		p := f.inner(s.node)
		if p.From < at {
			return nil, f.unproved()
		}
		out = append(append(out, f.text[at:p.From]...), s.with...)
		at = p.To
		changes = append(changes, Change{p, s.with})
	}
	out = append(out, f.text[at:]...)
	return changes, f.prove(out, list)
}

func (f *file) unproved() error {
	return fmt.Errorf("%s cannot be changed in place: change it by hand", f.path)
}

// prove reads the new text: it holds what the old one does, with the new
// values, and nothing else.
func (f *file) prove(text []byte, list []splice) error {
	docs, problems := source.Parse(f.path, text)
	if len(problems) > 0 {
		if _, before := source.Parse(f.path, f.text); len(before) > 0 {
			return fmt.Errorf("the file cannot be read as it stands, and is not changed: %w", before[0])
		}
		return f.unproved()
	}
	if len(docs) != len(f.docs) {
		return f.unproved()
	}
	now := map[*node]string{}
	for _, s := range list {
		now[s.node] = s.name
	}
	for i, d := range f.docs {
		if !reads(d, docs[i].Root, now) {
			return f.unproved()
		}
	}
	return nil
}

// reads reports whether a tree holds what was scanned, but for some values.
func reads(n *node, is *source.Node, now map[*node]string) bool {
	name, changed := now[n]
	switch {
	case changed:
		return (is.Kind == source.Text || is.Kind == source.Number) && is.Scalar == name
	case n.alias:
		return is.Alias()
	case len(n.items) != len(is.Items):
		return false
	case n.kind == scalar && is.Kind <= source.Text:
		return is.Kind == source.Null || alike(n.text, is.Scalar)
	}
	for i, item := range n.items {
		if is.Kind == source.Map && item.key != is.Members[i].Key || !reads(item, is.Items[i], now) {
			return false
		}
	}
	return true
}

// alike compares texts without looking at spaces and line ends, which a text
// of many lines may have in other places, nor at how a word like true is
// written.
func alike(a, b string) bool {
	return a == b || strings.EqualFold(strings.Join(strings.Fields(a), ""), strings.Join(strings.Fields(b), ""))
}

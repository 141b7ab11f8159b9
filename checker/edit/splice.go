package edit

import (
	"encoding/json"
	"slices"

	"kitgauge/checker/source"
)

// Splice is a piece of a text, in bytes, with what takes its place.
type Splice struct {
	From, To int
	With     string
}

// Original is a document for which is told what changes would make of its text.
type Original struct {
	doc    *source.Document
	shared bool // between aliases
	strict bool // JSON
}

// Of is the original that a document is.
func Of(doc *source.Document) *Original {
	return &Original{doc, doc.Root != nil && shares(doc.Root), json.Valid(doc.Text)}
}

// Splices are what Apply does to the text of the document, as pieces that are
// taken out with what is put in their place: in order, apart from each other,
// each counted in bytes of that text.
func (o *Original) Splices(changes ...Change) ([]Splice, error) {
	if list, ok := o.plainly(changes); ok {
		return list, nil
	}
	now, err := changed(o.doc.Text, o.doc.Index, changes)
	if err != nil {
		return nil, err
	}
	return now.cuts.splices(), nil
}

// Plain reports whether changes put values and keys in the place of others that
// are written on one line as they read, each in one place: what that makes of
// the text is known without reading the whole of it again.
func (o *Original) Plain(changes []Change) bool {
	_, ok := o.plainly(changes)
	return ok
}

func (o *Original) plainly(changes []Change) ([]Splice, bool) {
	if o.shared {
		return nil, false
	}
	w := &writer{doc: o.doc, old: o.doc.Text, strict: o.strict}
	done := map[string]bool{}
	for _, c := range changes {
		n := o.doc.Root.Lookup(c.At)
		if n == nil || n == o.doc.Root || done[c.At] || !w.plain(n, c) {
			return nil, false
		}
		done[c.At] = true
	}
	w.text() // which sorts
	var list []Splice
	for _, s := range w.splices {
		if string(w.old[s.From:s.To]) != s.With {
			list = append(list, s)
		}
	}
	return list, true
}

// plain makes a change where it is one of those.
func (w *writer) plain(n *source.Node, c Change) bool {
	span, written := n.Span, n.Scalar
	if c.Do == Rename {
		span, written = n.KeySpan, n.Key()
	}
	from, to, ok := span()
	if !ok || from == to || !slices.Contains([]string{written, `"` + written + `"`, "'" + written + "'"}, string(w.old[from:to])) {
		return false
	}
	switch c.Do {
	case Rename:
		_, _, err := settleKey(w.doc.Root, n, c)
		return err == nil && w.rename(n, c.Key) == nil
	case Set:
		v, err := read(c.Value)
		return err == nil && !holds(n) && !holds(v) && w.set(n, v) == nil
	}
	return false
}

// cuts are a text that is changed in steps, as what is left of it and what was
// put between: each step names bytes of the text that the one before gave.
type cuts struct {
	size   int // of the text as it was
	pieces []cut
}

// cut is a piece of the text as it was, or a new one.
type cut struct {
	from, to int
	new      string
	isNew    bool
}

func (c cut) size() int {
	if c.isNew {
		return len(c.new)
	}
	return c.to - c.from
}

// at are the two halves of a piece.
func (c cut) at(i int) (before, after cut) {
	before, after = c, c
	if c.isNew {
		before.new, after.new = c.new[:i], c.new[i:]
		return before, after
	}
	before.to, after.from = c.from+i, c.from+i
	return before, after
}

func whole(text []byte) cuts { return cuts{len(text), []cut{{to: len(text)}}} }

// add makes a step: splices in their order, apart from each other.
func (c *cuts) add(step []Splice) {
	for _, s := range slices.Backward(step) {
		first, last := c.open(s.From), c.open(s.To)
		c.pieces = slices.Replace(c.pieces, first, last, cut{new: s.With, isNew: true})
	}
}

// open makes a piece begin at a byte of the text as it is now, and returns its
// index.
func (c *cuts) open(at int) int {
	for i, piece := range c.pieces {
		switch size := piece.size(); {
		case at == 0:
			return i
		case at < size:
			before, after := piece.at(at)
			c.pieces = slices.Replace(c.pieces, i, i+1, before, after)
			return i + 1
		default:
			at -= size
		}
	}
	return len(c.pieces)
}

// splices are the steps together, as one.
func (c cuts) splices() []Splice {
	var list []Splice
	at, with, open := 0, "", false
	for _, piece := range c.pieces {
		if piece.isNew {
			with, open = with+piece.new, true
			continue
		}
		if piece.size() == 0 {
			continue
		}
		if open || piece.from > at {
			list = append(list, Splice{at, piece.from, with})
		}
		at, with, open = piece.to, "", false
	}
	if open || at < c.size {
		list = append(list, Splice{at, c.size, with})
	}
	return list
}

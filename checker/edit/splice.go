package edit

import "slices"

// Splice is a piece of a text, in bytes, with what takes its place.
type Splice struct {
	From, To int
	With     string
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

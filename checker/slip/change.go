// Package slip looks for the one slip that explains what is found in a kit: a
// lost sign, a factor of ten, a unit, the body of the neighbour, the value of
// the twin, two things exchanged. It takes values of the file back one at a
// time, has the kit checked again, and ranks by what is left. What it cannot
// tell it does not guess.
package slip

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"kitgauge/checker/source"
)

// Kind is a way in which people slip.
type Kind string

// The kinds.
const (
	Sign     Kind = "sign"           // a minus lost, or one too many
	Point    Kind = "point"          // a decimal point or a nought: a factor of 10
	Places   Kind = "places"         // several of them: a factor of 100 or 1000
	Digit    Kind = "digit"          // a digit too many, or two in each other's place
	Lost     Kind = "lost digit"     // the first, a 1, lost
	Unit     Kind = "unit"           // the right number with the wrong unit
	Foreign  Kind = "foreign unit"   // the same, with a unit that is not usual in the file
	Both     Kind = "point and unit" // a factor of 10, and another unit
	Word     Kind = "word"           // another word or number of the same list
	Misspelt Kind = "misspelt"       // a word that is much like one of the list
	Body     Kind = "body"           // the body of a neighbour
	Twin     Kind = "twin"           // not mirrored, or not as its mirror image
	Beside   Kind = "neighbour"      // not as the item before or after it
	Run      Kind = "run"            // the same in several items of a row
	Axis     Kind = "axis"           // two components exchanged
	Exchange Kind = "exchange"       // two things in each other's place
	Order    Kind = "order"          // an item at the wrong place of its list
	Named    Kind = "named"          // what a finding says that it ought to be
	Rounded  Kind = "rounded"        // the same, in the steps in which its like are written
	Bound    Kind = "bound"          // what a finding says that it ought to be at the least or the most
)

// rarity ranks the kinds where several changes clear as much: 0 is the most
// common. Common practice, no source.
var rarity = map[Kind]int{
	Sign: 0, Point: 2, Unit: 2, Body: 2, Twin: 2, Order: 2, Rounded: 2, Misspelt: 2, Named: 3,
	Axis: 3, Exchange: 3, Digit: 3, Places: 4, Word: 4, Beside: 4, Run: 4, Both: 4, Foreign: 3, Lost: 5, Bound: 5,
}

// Tree is a kit with the catalogues that it draws on. A worker changes its own.
type Tree []*source.Document // the kit first

// Edit sets one scalar of a file.
type Edit struct {
	Document int    // in the Tree
	File     string // its name
	Pointer  string // JSON Pointer (RFC 6901)
	From, To string // as written, without quotes
	Pos      source.Pos
}

// Change is one slip taken back.
type Change struct {
	Kind  Kind
	Place string // what the change is about, in the trade's words: "pump, position y"
	Edits []Edit
	Moved int // of an item of a list: by how many places, down the list
}

// String says what stands in the file and what may be meant.
func (c *Change) String() string {
	switch c.Kind {
	case Order:
		return c.Place + " may belong " + places(c.Moved) + " of its list"
	case Exchange:
		return c.exchange()
	}
	from, to := make([]string, len(c.Edits)), make([]string, len(c.Edits))
	for i, e := range c.Edits {
		from[i], to[i] = e.From, e.To
	}
	return fmt.Sprintf("%s is %s, and %s may be meant", c.Place, strings.Join(from, ", "), strings.Join(to, ", "))
}

// places tells how far an item is moved.
func places(by int) string {
	way := "down"
	if by < 0 {
		way, by = "up", -by
	}
	if by == 1 {
		return "a place further " + way
	}
	return fmt.Sprintf("%d places further %s", by, way)
}

// exchange names what stands on either side: the edits go there and back.
func (c *Change) exchange() string {
	var one, other []string
	copied := ""
	for i := 0; i+1 < len(c.Edits); i += 2 {
		a, b := c.Edits[i], c.Edits[i+1]
		if slices.Contains(one, a.From) || slices.Contains(other, a.From) {
			copied = ", wherever they are written"
			continue
		}
		one, other = append(one, a.From), append(other, b.From)
	}
	return fmt.Sprintf("%s: %s and %s may stand in each other's place%s", c.Place, strings.Join(one, ", "), strings.Join(other, ", "), copied)
}

// Apply makes the edits in a tree that is the caller's own, and returns what
// undoes them.
func (c *Change) Apply(tree Tree) (undo func(), ok bool) {
	nodes := make([]*source.Node, len(c.Edits))
	for i, e := range c.Edits {
		if nodes[i] = tree[e.Document].Root.Lookup(e.Pointer); nodes[i] == nil {
			return nil, false
		}
	}
	old := make([]source.Node, len(nodes))
	for i, n := range nodes {
		old[i] = *n
		n.Scalar = c.Edits[i].To
		if _, err := strconv.ParseFloat(n.Scalar, 64); err != nil && n.Kind == source.Number {
			n.Kind = source.Text // a unit was added
		}
	}
	return func() {
		for i, n := range nodes {
			*n = old[i]
		}
	}, true
}

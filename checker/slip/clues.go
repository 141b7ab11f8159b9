package slip

import (
	"cmp"
	"regexp"
	"slices"
	"strings"
	"unicode"

	"kitgauge/checker/finding"
	"kitgauge/checker/source"
)

// clue is what one open finding says: where it stands, and its words.
type clue struct {
	document int
	pointer  string
	text     string
	rests    bool // it follows from another, or could only not be evaluated
}

// clues are those of all open findings, the gravest first.
type clues struct {
	list   []clue
	things []mention
}

// mention is a thing of the kit that findings name.
type mention struct {
	document int
	pointer  string
	times    int // by how many that stand for themselves
}

// mostClues is how many findings are listened to: more say the same again.
const mostClues = 12

// newClues listens to the open findings of a tree.
func newClues(tree Tree, findings []finding.Finding) *clues {
	open := slices.DeleteFunc(slices.Clone(findings), func(f finding.Finding) bool {
		return f.Status != finding.Violated && f.Status != finding.NotEvaluated
	})
	slices.SortStableFunc(open, func(a, b finding.Finding) int {
		return cmp.Or(cmp.Compare(rest(&a), rest(&b)), cmp.Compare(b.Severity, a.Severity))
	})
	c := &clues{}
	for i := range open[:min(len(open), mostClues)] {
		f := &open[i]
		at := slices.IndexFunc(tree, func(d *source.Document) bool { return d.File == f.Pos.File })
		c.list = append(c.list, clue{max(at, 0), f.Pointer, f.Place + ": " + f.Message + "; " + example.ReplaceAllString(f.Remedy, ""), rest(f) > 0})
	}
	c.mentions(tree)
	return c
}

// example is what a remedy gives to show a form: no value that is meant.
var example = regexp.MustCompile(`,? as in .*`)

// rest tells what stands for itself from what follows from another or could
// not be evaluated.
func rest(f *finding.Finding) int {
	switch {
	case f.Status == finding.NotEvaluated:
		return 2
	case f.Follows != "":
		return 1
	}
	return 0
}

// mentions finds the things at which findings stand, and those that they name.
func (c *clues) mentions(tree Tree) {
	for _, clue := range c.list {
		if n := tree[clue.document].Root.Lookup(clue.pointer); n != nil && n.Parent() != nil {
			c.mention(clue, thingOf(n))
		}
	}
	var walk func(n *source.Node)
	walk = func(n *source.Node) {
		if listsThings(n) {
			for _, item := range n.Items {
				c.spoken(item)
			}
		}
		for _, item := range n.Items {
			walk(item)
		}
	}
	walk(tree[0].Root)
}

// spoken notes an item that findings name by its id, name or number.
func (c *clues) spoken(item *source.Node) {
	for _, clue := range c.list {
		if !within(clue.pointer, item.Pointer()) && clue.names(item) {
			c.mention(clue, item)
		}
	}
}

// names reports whether a finding names an item of a list.
func (c *clue) names(item *source.Node) bool {
	for _, key := range []string{"id", "name", "step", "number", "line"} {
		v := item.Get(key)
		if v == nil || !isLeaf(v) {
			continue
		}
		name := v.Scalar
		if v.Kind == source.Number {
			name = strings.TrimSuffix(item.Parent().Key(), "s") + " " + name
		}
		if says(c.text, name) {
			return true
		}
	}
	return false
}

func (c *clues) mention(of clue, thing *source.Node) {
	document, pointer, times := of.document, thing.Pointer(), 1
	if of.rests {
		times = 0
	}
	for i := range c.things {
		if m := &c.things[i]; m.document == document && m.pointer == pointer {
			m.times += times
			return
		}
	}
	c.things = append(c.things, mention{document, pointer, times})
}

// standing is how many findings stand for themselves.
func (c *clues) standing() int {
	n := 0
	for _, clue := range c.list {
		if !clue.rests {
			n++
		}
	}
	return n
}

// counts reports whether so many findings name a thing that a slip in it may
// explain most.
func (c *clues) counts(document int, pointer string) bool {
	return slices.ContainsFunc(c.things, func(m mention) bool {
		return m.document == document && m.pointer == pointer && m.times*2 >= c.standing()
	})
}

// in reports whether a finding stands in a document.
func (c *clues) in(document int) bool {
	return slices.ContainsFunc(c.list, func(c clue) bool { return c.document == document })
}

// cost says how unlikely a change is: by how common the slip is, how many ways
// lead to it, and how near it is to where the findings stand. Common practice,
// no source.
func (c *clues) cost(of *candidate) int {
	near := outside
	for _, e := range of.Edits {
		near = min(near, c.near(e.Document, e.Pointer))
	}
	far := max(of.Moved, -of.Moved, 1) - 1
	return rarity[of.Kind] - of.support() + []int{0, 1, 3, 6}[near] + far
}

// vouched reports whether something outside of the value itself speaks for the
// new one: a body that the kit has, the twin, a finding.
func (c *candidate) vouched() bool {
	return slices.ContainsFunc(c.kinds, func(k Kind) bool { return k == Body || k == Twin || k == Named })
}

// support is how many witnesses speak for a slip beside its being one: the twin
// and what findings name.
func (c *candidate) support() int {
	n := 0
	for _, witness := range []Kind{Twin, Named, Rounded} {
		if slices.Contains(c.kinds, witness) && len(c.kinds) > 1 {
			n++
		}
	}
	if n == len(c.kinds) {
		n--
	}
	return n
}

// nearness says how close a value is to where findings stand.
type nearness int

const (
	exact   nearness = iota // a finding stands at it
	thing                   // a finding stands at the thing, or names it
	inFile                  // findings stand in the file
	outside                 // none does
)

// near tells how close a value is to the findings that stand for themselves.
func (c *clues) near(document int, pointer string) nearness {
	best := outside
	for _, clue := range c.list {
		switch {
		case clue.document != document:
		case within(pointer, clue.pointer) && strings.Count(pointer, "/") <= strings.Count(clue.pointer, "/")+1 && clue.pointer != "":
			return exact
		default:
			best = min(best, inFile)
		}
	}
	for _, m := range c.things {
		if m.document == document && within(pointer, m.pointer) {
			best = min(best, thing)
		}
	}
	return best
}

// says reports whether a text names something, as a word of its own.
func says(text, name string) bool {
	if name == "" {
		return false
	}
	for at := 0; ; {
		i := strings.Index(text[at:], name)
		if i < 0 {
			return false
		}
		before, after := text[:at+i], text[at+i+len(name):]
		if !endsInWord(before) && !beginsWord(after) {
			return true
		}
		at += i + len(name)
	}
}

func endsInWord(text string) bool {
	r := []rune(text)
	return len(r) > 0 && isWord(r[len(r)-1])
}

func beginsWord(text string) bool {
	for i, r := range text {
		if i == 0 && (r == '.' || r == '-') {
			continue // a full stop, or the rest of a number or an id
		}
		return isWord(r)
	}
	return false
}

func isWord(r rune) bool { return unicode.IsLetter(r) || unicode.IsDigit(r) || r == '-' }

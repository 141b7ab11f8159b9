package slip

import (
	"cmp"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"kitgauge/checker/finding"
	"kitgauge/checker/source"
	"kitgauge/checker/spelling"
	"kitgauge/checker/units"
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

// figure is a number in the text of a finding.
type figure struct {
	axis   string // x, y or z where the text names one
	number string
	unit   string
	bound  bool // it is the least or the most
}

// written is a number in a text, with the coordinate before it and what may be
// its unit behind.
var written = regexp.MustCompile(`(?:\b([xyz]): )?(-?\b\d+(?:\.\d+)?)(?: ([A-Za-z][A-Za-z0-9/]*))?`)

// bounded is what follows a figure that is a least or a most.
var bounded = regexp.MustCompile(`^(?: or (?:more|less|above|below)| to \d)`)

// figures are those in a text, in its order.
func figures(text string) []figure {
	var out []figure
	for _, at := range written.FindAllStringSubmatchIndex(text, -1) {
		part := func(i int) string { return text[max(0, at[2*i]):max(0, at[2*i+1])] }
		f := figure{axis: part(1), number: part(2), unit: part(3)}
		if _, known := units.Lookup(f.unit); !known {
			f.unit = ""
		}
		f.bound = bounded.MatchString(text[at[1]:]) || f.unit == "" && bounded.MatchString(text[at[5]:])
		if !slices.Contains(out, f) {
			out = append(out, f)
		}
	}
	return out
}

func (f figure) kind() Kind {
	if f.bound {
		return Bound
	}
	return Named
}

// in writes the figure in another unit of its dimension.
func (f figure) in(unit string) (string, bool) {
	u, known := units.Lookup(unit)
	si, dim, ok := amount(strings.TrimSpace(f.number + " " + f.unit))
	if !known || !ok || dim != u.Dim {
		return "", false
	}
	if f.unit == unit {
		return f.number, true
	}
	text, err := units.FormatIn(si, unit)
	return strings.TrimSuffix(text, " "+u.Symbol), err == nil
}

// named tries what the findings name in the place of a value: a figure of its
// dimension, a word of its list, a text.
func (g *generator) named(n *source.Node) {
	list := g.list(n)
	for _, clue := range g.clues.list {
		for _, word := range list {
			if says(clue.text, word) && g.may(n, word) {
				g.add(Named, n, edit(n, word))
			}
		}
		if list != nil || clue.document != g.document || !g.about(clue, n) {
			continue
		}
		switch m := measured.FindStringSubmatch(n.Scalar); {
		case m != nil && n.Kind != source.Bool:
			g.figures(n, m, clue)
		case n.Kind == source.Text:
			g.text(n, clue)
		}
	}
}

// may reports whether a text may stand for another: the name of a thing only
// for one that is spelt much like it.
func (g *generator) may(n *source.Node, word string) bool {
	id := n.Parent() == thingOf(n) && n.Parent().Parent().Kind == source.List && slices.Contains(names, n.Key()) && n.Key() != "kind"
	return !id || spelling.Distance(n.Scalar, word) <= mostMisspelt
}

// mostMisspelt is in how many letters a name is misspelt.
const mostMisspelt = 2

// about reports whether a finding stands at the thing that a value is about.
func (g *generator) about(c clue, n *source.Node) bool {
	return within(c.pointer, thingOf(n).Pointer()) || g.clues.near(g.document, n.Pointer()) <= thing && c.names(thingOf(n))
}

// figures tries the figures of a finding in the place of a number.
func (g *generator) figures(n *source.Node, m []string, c clue) {
	unit := strings.TrimSpace(m[3])
	of := keyName(n)
	for _, f := range figures(c.text) {
		vector := n.Parent().Kind == source.List
		if vector != (f.axis != "") || vector && f.axis != of {
			continue
		}
		if unit == "" {
			if f.unit == "" {
				g.add(f.kind(), n, edit(n, f.number))
			}
			continue
		}
		number, ok := f.in(unit)
		if !ok || strings.HasPrefix(number, "-") && !strings.HasPrefix(n.Scalar, "-") && !vector {
			continue
		}
		g.add(f.kind(), n, edit(n, number+m[3]))
		for _, round := range g.rounded(n, number, unit) {
			if !f.bound {
				g.add(Rounded, n, edit(n, round+m[3]))
			}
		}
	}
}

// vectors are those in a text: [0, -1, 0].
var vectors = regexp.MustCompile(`\[(-?[\d.]+(?: [a-z]+)?), (-?[\d.]+(?: [a-z]+)?), (-?[\d.]+(?: [a-z]+)?)\]`)

// vector tries the vectors that findings write in the place of one.
func (g *generator) vector(n *source.Node) {
	for _, c := range g.clues.list {
		if c.document != g.document || !g.about(c, n) {
			continue
		}
		for _, m := range vectors.FindAllStringSubmatch(c.text, -1) {
			g.add(Named, n, edit(n.Items[0], m[1]), edit(n.Items[1], m[2]), edit(n.Items[2], m[3]))
		}
	}
}

// fewestLikes is how many numbers of the same kind tell in which steps they are
// written.
const fewestLikes = 4

// rounded is a figure as its like are written: to the next step up, and down,
// where nearly all of them are written in steps of 5, 10, 50 ...
func (g *generator) rounded(n *source.Node, number, unit string) []string {
	var likes []float64
	for _, like := range g.sameKey(n.Key()) {
		if like == n {
			continue
		}
		if m := measured.FindStringSubmatch(like.Scalar); m != nil && strings.TrimSpace(m[3]) == unit {
			v, _ := strconv.ParseFloat(m[2], 64)
			likes = append(likes, v)
		}
	}
	v, err := strconv.ParseFloat(number, 64)
	step := stepOf(likes)
	if err != nil || len(likes) < fewestLikes || step == 0 || isStep(v, step) {
		return nil
	}
	return []string{shortest(math.Ceil(v/step) * step), shortest(math.Floor(v/step) * step)}
}

// sameKey are the numbers of the file that stand under the same key.
func (g *generator) sameKey(key string) []*source.Node {
	if found, done := g.byKey[key]; done {
		return found
	}
	var found []*source.Node
	var walk func(n *source.Node)
	walk = func(n *source.Node) {
		if isLeaf(n) && n.Key() == key {
			found = append(found, n)
		}
		for _, item := range n.Items {
			walk(item)
		}
	}
	walk(g.file)
	if g.byKey == nil {
		g.byKey = map[string][]*source.Node{}
	}
	g.byKey[key] = found
	return found
}

// stepOf is the largest of 100, 50 ... 1, 0.5 and 0.25 of which nearly all
// numbers are multiples; 0 where there is none.
func stepOf(list []float64) float64 {
	for _, step := range []float64{100, 50, 10, 5, 1, 0.5, 0.25} {
		fit := 0
		for _, v := range list {
			if isStep(v, step) {
				fit++
			}
		}
		if fit*10 >= len(list)*9 {
			return step
		}
	}
	return 0
}

func isStep(v, step float64) bool { return math.Abs(v/step-math.Round(v/step)) < 1e-9 }

var (
	quoted = regexp.MustCompile(`"([^"]+)"`)
	tokens = regexp.MustCompile(`[\pL\pN]+(?:[-/.][\pL\pN]+)*`)
)

// text tries what a finding quotes, names of the same form, and the numbers
// of the finding in the place of those in a text.
func (g *generator) text(n *source.Node, c clue) {
	for _, m := range quoted.FindAllStringSubmatch(c.text, -1) {
		if strings.Contains(n.Scalar, " ") == strings.Contains(m[1], " ") && g.may(n, m[1]) {
			g.add(Named, n, edit(n, m[1]))
		}
	}
	for _, like := range g.sameKey(n.Key()) {
		if says(c.text, like.Scalar) && g.may(n, like.Scalar) {
			g.add(Named, n, edit(n, like.Scalar))
		}
	}
	g.tokens(n, c)
}

// tokens tries names and numbers in the text of a finding in the place of one
// of the same form that the value has in common with it.
func (g *generator) tokens(n *source.Node, c clue) {
	found := tokens.FindAllString(c.text, -1)
	for _, was := range found {
		form := formOf(was)
		if !strings.Contains(form, "9") || !strings.Contains(n.Scalar, was) || !says(n.Scalar, was) && !strings.HasPrefix(n.Scalar, was) {
			continue
		}
		for _, other := range found {
			if formOf(other) == form && other != was {
				g.add(Named, n, edit(n, strings.Replace(n.Scalar, was, other, 1)))
			}
		}
	}
}

// formOf is a text with every letter as a and every digit as 9.
func formOf(text string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case unicode.IsDigit(r):
			return '9'
		case unicode.IsLetter(r):
			return 'a'
		}
		return r
	}, text)
}

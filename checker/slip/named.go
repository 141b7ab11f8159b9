package slip

import (
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"kitgauge/checker/source"
	"kitgauge/checker/spelling"
	"kitgauge/checker/units"
)

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

// about reports whether a finding stands at the thing that a value is about,
// or hangs on the value.
func (g *generator) about(c clue, n *source.Node) bool {
	return g.hanging || within(c.pointer, thingOf(n).Pointer()) || g.clues.near(g.document, n.Pointer()) <= thing && c.names(thingOf(n))
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
const fewestLikes = 3

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

package slip

import (
	"regexp"
	"slices"
	"strconv"
	"strings"

	"kitgauge/checker/quantities/mistyped"
	"kitgauge/checker/source"
	"kitgauge/checker/spelling"
	"kitgauge/checker/units"
)

// measured is a number with or without a unit.
var measured = regexp.MustCompile(`^([+-]?)(\d+(?:\.\d+)?)(\s*[A-Za-z%][^\s]*)?$`)

// factors are those of a slipped point or of noughts lost or added, both ways.
var factors = func() (both []float64) {
	for _, f := range mistyped.Decimal {
		both = append(both, f, 1/f)
	}
	return both
}()

func (g *generator) scalar(n *source.Node) {
	switch m := measured.FindStringSubmatch(n.Scalar); {
	case m != nil && n.Kind != source.Bool:
		g.number(n, m)
	case n.Kind == source.Text:
		g.transposed(n)
	}
	g.value(n)
}

// transposed tries two digits next to each other in a text, a date or a number
// of a paper, in each other's place.
func (g *generator) transposed(n *source.Node) {
	for _, at := range digitPairs.FindAllStringIndex(n.Scalar, -1) {
		for i := at[0]; i+1 < at[1]; i++ {
			if a, b := n.Scalar[i:i+1], n.Scalar[i+1:i+2]; a != b {
				g.add(Digit, n, edit(n, n.Scalar[:i]+b+a+n.Scalar[i+2:]))
			}
		}
	}
}

var digitPairs = regexp.MustCompile(`[0-9]{2,}`)

// value tries what findings name, what stands beside, and the other words of a
// list in the place of a scalar.
func (g *generator) value(n *source.Node) {
	g.named(n)
	g.beside(n)
	g.side(n)
	g.other(n)
}

// other tries the other words of the list of a word.
func (g *generator) other(n *source.Node) {
	if n.Kind == source.Bool {
		g.add(Word, n, edit(n, strconv.FormatBool(n.Scalar != "true")))
		return
	}
	for _, word := range g.words(n) {
		g.add(kindOf(n), n, edit(n, word))
	}
	if list := g.list(n); len(list) > 0 && !slices.Contains(list, n.Scalar) {
		if near := spelling.Nearest(n.Scalar, list); near != "" {
			g.add(Misspelt, n, edit(n, near))
		}
	}
}

// kindOf is the slip by which one word of a list stands for another.
func kindOf(n *source.Node) Kind {
	if slices.Contains(bodyKeys, n.Key()) {
		return Body
	}
	return Word
}

func (g *generator) number(n *source.Node, m []string) {
	sign, digits, unit := m[1], m[2], m[3]
	value, err := strconv.ParseFloat(digits, 64)
	if err != nil || value == 0 {
		return
	}
	switch {
	case sign == "-":
		g.add(Sign, n, edit(n, digits+unit))
	case n.Parent().Kind == source.List || slices.Contains([]string{"from", "to", "temperature"}, n.Key()):
		g.add(Sign, n, edit(n, "-"+digits+unit)) // of a coordinate or a range: a length has none
	}
	if unit == "" && n.Parent().Kind == source.Map {
		return // a count or a number of something: no point, no unit
	}
	for _, f := range factors {
		g.add(pointKind(f), n, edit(n, sign+shortest(value*f)+unit))
	}
	for _, d := range misdigits(digits) {
		g.add(Digit, n, edit(n, sign+d+unit))
	}
	g.add(Lost, n, edit(n, sign+"1"+digits+unit))
	for _, u := range g.otherUnits(n, strings.TrimSpace(unit)) {
		g.add(g.unitKind(u), n, edit(n, sign+digits+" "+u))
		for _, f := range factors[:2] {
			g.add(Both, n, edit(n, sign+shortest(value*f)+" "+u))
		}
	}
}

// inRow tries a number that several items in a row have alike with another
// point or unit in all of them.
func (g *generator) inRow(n *source.Node) {
	row, _, _ := rowOf(n)
	m := measured.FindStringSubmatch(n.Scalar)
	if len(row) < 2 || m == nil || m[3] == "" {
		return
	}
	value, _ := strconv.ParseFloat(m[2], 64)
	for _, f := range factors {
		g.all(Run, row, func(string) string { return m[1] + shortest(value*f) + m[3] })
	}
	for _, u := range mistaken(strings.TrimSpace(m[3])) {
		g.all(Run, row, func(string) string { return m[1] + m[2] + " " + u })
	}
}

// misdigits are the numbers that may be meant where a digit was typed that does
// not belong there or two stand in each other's place.
func misdigits(digits string) []string {
	var out []string
	for i, c := range digits {
		if c == '.' {
			continue
		}
		if rest := digits[:i] + digits[i+1:]; strings.ContainsAny(rest, "123456789") {
			out = append(out, tidy(rest))
		}
		if i+1 < len(digits) && digits[i+1] != '.' && digits[i+1] != digits[i] {
			out = append(out, tidy(digits[:i]+digits[i+1:i+2]+digits[i:i+1]+digits[i+2:]))
		}
	}
	return out
}

// tidy writes a number as people do: without a point that nothing follows.
func tidy(digits string) string {
	if v, err := strconv.ParseFloat(digits, 64); err == nil && v != 0 {
		return shortest(v)
	}
	return digits
}

// pointKind tells a slip by one place from one by several.
func pointKind(factor float64) Kind {
	if factor == 10 || factor == 0.1 {
		return Point
	}
	return Places
}

// shortest writes a number without the noise of a binary product: with ten
// significant digits.
func shortest(v float64) string {
	if r, err := strconv.ParseFloat(strconv.FormatFloat(v, 'g', 10, 64), 64); err == nil {
		v = r // else it is beyond what a number can hold
	}
	return strconv.FormatFloat(v, 'f', -1, 64)
}

// amount reads a number with its unit, in SI.
func amount(text string) (si float64, of units.Dimension, ok bool) {
	m := measured.FindStringSubmatch(text)
	if m == nil {
		return 0, of, false
	}
	u, known := units.Lookup(strings.TrimSpace(m[3]))
	if !known {
		return 0, of, false
	}
	v, err := strconv.ParseFloat(m[1]+m[2], 64)
	return (v + u.Offset) * u.Factor, u.Dim, err == nil
}

// mistaken are the units that people write for one.
func mistaken(symbol string) []string {
	var out []string
	for _, scale := range mistyped.Scales {
		if slices.Contains(scale, symbol) {
			out = append(out, scale...)
		}
	}
	u, _ := units.Lookup(symbol)
	for _, p := range mistyped.Pairs[u.Dim.String()] {
		switch symbol {
		case p.One:
			out = append(out, p.Other)
		case p.Other:
			out = append(out, p.One)
		}
	}
	return slices.DeleteFunc(out, func(other string) bool { return other == symbol })
}

// otherUnits are those that may be meant instead of a unit. Where none is
// written it is that of the numbers beside it, or one that a finding names.
func (g *generator) otherUnits(n *source.Node, symbol string) []string {
	if symbol == "" {
		return g.missingUnits(n)
	}
	return mistaken(symbol)
}

// unitKind tells a unit that the file uses from one that stands nowhere in it.
func (g *generator) unitKind(unit string) Kind {
	if g.units == nil {
		g.units = map[string]bool{}
		var walk func(n *source.Node)
		walk = func(n *source.Node) {
			if m := measured.FindStringSubmatch(n.Scalar); isLeaf(n) && m != nil {
				g.units[strings.TrimSpace(m[3])] = true
			}
			for _, item := range n.Items {
				walk(item)
			}
		}
		walk(g.file)
	}
	family := units.Metric
	if u := g.kit.At("header", "units"); u != nil && u.Scalar == "inch" {
		family = units.Inch
	}
	if g.units[unit] || units.IsUsual(unit, family) {
		return Unit
	}
	return Foreign
}

// missingUnits are the units of the numbers beside one without, where a finding
// stands at it.
func (g *generator) missingUnits(n *source.Node) []string {
	if g.clues.near(g.document, n.Pointer()) > exact {
		return nil
	}
	var out []string
	for _, other := range append(slices.Clone(n.Parent().Items), g.likes(n)...) {
		if m := measured.FindStringSubmatch(other.Scalar); m != nil && m[3] != "" && !slices.Contains(out, strings.TrimSpace(m[3])) {
			out = append(out, strings.TrimSpace(m[3]))
		}
	}
	return out
}

// likes are the values at the same place of the other items of the list.
func (g *generator) likes(n *source.Node) []*source.Node {
	thing := thingOf(n)
	list := thing.Parent()
	if list == nil || list.Kind != source.List {
		return nil
	}
	var out []*source.Node
	for _, other := range list.Items {
		if like := counterpart(n, thing, other); other != thing && like != nil && isLeaf(like) {
			out = append(out, like)
		}
	}
	return out
}

// group tries the slips that take in several numbers at once: a range or a
// position in the wrong unit, with its signs exchanged, with two components
// exchanged; and any two values of a group of one dimension exchanged.
func (g *generator) group(n *source.Node) {
	g.exchangeWithin(n)
	if len(n.Items) < 2 || len(n.Items) > 3 {
		return
	}
	var parts [][]string
	for _, item := range n.Items {
		m := measured.FindStringSubmatch(item.Scalar)
		if m == nil || item.Kind == source.Bool {
			return
		}
		parts = append(parts, m)
	}
	isRange := n.Get("from") != nil && n.Get("to") != nil
	if isRange || n.Kind == source.List {
		g.numbers(n, parts)
	}
	if n.Kind == source.List && len(parts) == 3 {
		g.vector(n)
	}
	if isRange {
		g.add(Sign, n, edit(n.Items[0], negated(parts[1])), edit(n.Items[1], negated(parts[0])))
	}
}

// numbers tries all numbers of a group with another unit or factor.
func (g *generator) numbers(n *source.Node, parts [][]string) {
	all := func(kind Kind, to func(m []string) string) {
		edits := make([]Edit, len(parts))
		for i, m := range parts {
			edits[i] = edit(n.Items[i], to(m))
		}
		g.add(kind, n, edits...)
	}
	if strings.TrimSpace(parts[0][3]) == "" {
		return
	}
	for _, m := range parts {
		if strings.TrimSpace(m[3]) != strings.TrimSpace(parts[0][3]) {
			return // in other units no slip is common to all
		}
	}
	for _, u := range g.otherUnits(n, strings.TrimSpace(parts[0][3])) {
		all(g.unitKind(u), func(m []string) string { return m[1] + m[2] + " " + u })
	}
	for _, f := range factors {
		all(pointKind(f), func(m []string) string {
			v, _ := strconv.ParseFloat(m[2], 64)
			return m[1] + shortest(v*f) + m[3]
		})
	}
}

// exchangeWithin tries any two scalars of a group in each other's place, where
// they are of one dimension, or two bodies.
func (g *generator) exchangeWithin(n *source.Node) {
	kind := Exchange
	if n.Kind == source.List {
		kind = Axis
	}
	for i, a := range n.Items {
		for _, b := range n.Items[i+1:] {
			_, x, ok := amount(a.Scalar)
			_, y, ok2 := amount(b.Scalar)
			alike := ok && ok2 && x == y || slices.Contains(bodyKeys, a.Key()) && slices.Contains(bodyKeys, b.Key())
			if alike && a.Kind == b.Kind && a.Scalar != b.Scalar {
				g.add(kind, n, edit(a, b.Scalar), edit(b, a.Scalar))
			}
		}
	}
}

func negated(m []string) string {
	if v, _ := strconv.ParseFloat(m[2], 64); v == 0 {
		return m[2] + m[3]
	}
	if m[1] == "-" {
		return m[2] + m[3]
	}
	return "-" + m[2] + m[3]
}

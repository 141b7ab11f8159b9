package facts

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"kitgauge/checker/kit"
	"kitgauge/checker/quantities/catalogue"
	"kitgauge/checker/source"
	"kitgauge/checker/units"
	"kitgauge/checker/value"
)

// Mention is a number that the description or the number of a part holds, with
// the figure of the entry that it speaks of.
type Mention struct {
	Text      value.Text `key:"text"`   // "15 mm3"
	Where     value.Text `key:"where"`  // description or number
	Member    value.Text `key:"member"` // "stroke volume"
	Stands    value.Text `key:"stands"` // what the entry states, as written
	Right     value.Text `key:"right"`  // what it would state if the text were right
	Agrees    value.Flag `key:"agrees"`
	TextWrong value.Flag `key:"text_wrong"` // the number of the part goes with the entry
	part      *kit.Part
	node      *source.Node
}

// Place names the part.
func (m *Mention) Place() string { return partName(m.part) }

// Source is the figure's place in the catalogue.
func (m *Mention) Source() *source.Node { return m.node }

// mentionsOf reads the description of an entry, and its number.
func mentionsOf(k *kit.Kit, entry any) []*Mention {
	part := kit.Common(entry)
	text := part.Description.V
	all := figures(entry)
	var out []*Mention
	told := map[string]bool{}
	for _, m := range worded(entry, text) {
		out, told[m.Member.V] = append(out, m), true
	}
	for _, n := range catalogue.Named(part.Kind.V) {
		i := indexFigure(all, n.Member)
		if i < 0 || !all[i].cell.Known {
			continue
		}
		said := numbersOf(text, all[i].dim)
		if len(said) != 1 {
			continue // none, or it cannot be told which is meant
		}
		told[n.Member] = true
		x := all[i]
		out = append(out, &Mention{
			TextWrong: value.Known(false), Text: value.Known(said[0].text), Where: value.Known("description"), Member: value.Known(x.name),
			Stands: value.Known(written(x.cell)), Right: value.Known(said[0].text),
			Agrees: value.Known(catalogue.Near(x.cell.V, said[0].si, n.Off)), part: part, node: x.cell.Node,
		})
	}
	if m := mentionInNumber(k, entry, all, told); m != nil {
		out = append(out, m)
	}
	return out
}

func indexFigure(all []figure, name string) int {
	for i, x := range all {
		if x.name == name {
			return i
		}
	}
	return -1
}

// said is a measure in a text.
type said struct {
	text string
	si   float64
}

var measured = regexp.MustCompile(`(?:^|[ ,(])([0-9]+(?:\.[0-9]+)?) ?([A-Za-z°][A-Za-z0-9]*)\b`)

// numbersOf finds the measures of a dimension in a text. A length in inches is
// left out, as "in" is a word.
func numbersOf(text string, dim units.Dimension) []said {
	var out []said
	for _, m := range measured.FindAllStringSubmatch(text, -1) {
		u, known := units.Lookup(m[2])
		if !known || u.Dim != dim || m[2] == "in" {
			continue
		}
		if si, err := units.Parse(m[1]+" "+m[2], dim); err == nil {
			out = append(out, said{m[1] + " " + m[2], si})
		}
	}
	return out
}

// numberedBy is the member that the number of a part may carry.
var numberedBy = map[string]string{"element": "stroke volume", "fuse": "rating", "cable": "area", "conduit": "inner", "tube": "outer"}

// mentionInNumber holds the member against the digits of the part's number, where all
// others of the series, two different ones at least, carry it in theirs.
func mentionInNumber(k *kit.Kit, entry any, all []figure, told map[string]bool) *Mention {
	part, key := kit.Common(entry), series(entry)
	member := numberedBy[part.Kind.V]
	i := indexFigure(all, member)
	own := digits(part.Number.V)
	if i < 0 || told[member] || !all[i].cell.Known || own == 0 || hollowWrong(all) {
		return nil
	}
	unit, seen := 0.0, map[float64]bool{}
	for _, other := range k.Parts.OfKind(part.Kind.V) {
		if other == entry || series(other) != key {
			continue
		}
		of := figures(other)
		v, n := of[i].cell, digits(kit.Common(other).Number.V)
		if !v.Known || n == 0 {
			continue
		}
		if unit != 0 && !catalogue.Near(v.V/n, unit, catalogue.Alike/2) {
			return nil // the numbers do not carry it
		}
		unit, seen[n] = v.V/n, true
	}
	if len(seen) < 2 {
		return nil
	}
	x := all[i]
	text := likeWritten(own*unit, x, k.Family())
	return &Mention{
		TextWrong: value.Known(false), Text: value.Known(text), Where: value.Known("number"), Member: value.Known(x.name),
		Stands: value.Known(written(x.cell)), Right: value.Known(text), Agrees: value.Known(catalogue.Near(x.cell.V, own*unit, catalogue.Printed)),
		part: part, node: x.cell.Node,
	}
}

// hollowWrong reports whether a part is wider inside than outside, which is
// more than one of the two can explain.
func hollowWrong(all []figure) bool {
	outer, inner := indexFigure(all, "outer"), indexFigure(all, "inner")
	return outer >= 0 && inner >= 0 && all[outer].cell.Known && all[inner].cell.Known && all[inner].cell.V >= all[outer].cell.V
}

// written is a value as the catalogue has it.
func written(v value.Number) string { return v.Node.Scalar }

// likeWritten writes a value in the unit in which the catalogue has the figure.
func likeWritten(si float64, x figure, family units.Family) string {
	if x.cell.Node != nil {
		symbol := strings.TrimLeft(x.cell.Node.Scalar, "+-0123456789./ ")
		if u, known := units.Lookup(symbol); known && u.Dim == x.dim {
			if text, err := units.FormatIn(si, symbol); err == nil {
				return text
			}
		}
	}
	return units.Format(si, x.dim, family)
}

// digits is the first run of digits in a part's number as a number, 0 where
// there is none.
func digits(number string) float64 {
	run := strings.FieldsFunc(number, func(r rune) bool { return r < '0' || r > '9' })
	if len(run) == 0 {
		return 0
	}
	n, err := strconv.ParseFloat(run[0], 64)
	if err != nil {
		return 0
	}
	return n
}

// What descriptions say of members that are no measures.
var (
	saysThickener = regexp.MustCompile(`\b(?:lithium|calcium|aluminium|barium|sodium)\b(?: (?:sulfonate )?complex\b| sulfonate\b)?|\b(?:(?:shear-stable )?polyurea|bentonite|clay|silica)\b`)
	saysStraight  = regexp.MustCompile(`(?i)\bstraight\b`)
	saysAngled    = regexp.MustCompile(`(?i)\b(?:angled?|elbow|swivel elbow|banjo)\b`)
	saysGrade     = regexp.MustCompile(`\bNLGI ?(000|00|[0-6])\b`)
	saysOutlets   = regexp.MustCompile(`\b([0-9]+) outlets\b`)
	saysTube      = regexp.MustCompile(`\btube ([0-9]+(?:\.[0-9]+)?)(?: mm)?(?:$|,)`)
	saysConduit   = regexp.MustCompile(`(?i)\bconduit (?:NW ?)?([0-9]+(?:\.[0-9]+)?)(?: mm)?(?:$|[ ,])`)
	saysWall      = regexp.MustCompile(`(?:^| )([0-9]+(?:\.[0-9]+)?) ?x ?([0-9]+(?:\.[0-9]+)?)(?: mm)?(?:$|,)`)
	saysThread    = regexp.MustCompile(`\bM[0-9]+(?:x[0-9.]*[0-9])?\b|\b(?:G|R|Rc) ?[0-9]+/[0-9]+\b|\b[0-9]+/[0-9]+-[0-9]+ (?:NPTF?|UNF|UNC)\b`)
)

// worded compares what is no measure: a grade, a count, a thread, a wall.
func worded(entry any, text string) []*Mention {
	switch e := entry.(type) {
	case *kit.Grease:
		var out []*Mention
		if m := saysThickener.FindString(strings.ToLower(text)); m != "" && e.Thickener.Known {
			has := strings.ToLower(e.Thickener.V)
			out = append(out, spoken(&e.Part, m, "thickener", e.Thickener.V, m, strings.HasPrefix(has, m) || strings.HasPrefix(m, has), e.Thickener.Node))
		}
		if m := saysGrade.FindStringSubmatch(text); m != nil && e.Grade.Known {
			out = append(out, spoken(&e.Part, m[0], "grade", e.Grade.V, m[1], m[1] == strings.TrimSpace(e.Grade.V), e.Grade.Node))
		}
		return out
	case *kit.Pump:
		if m := saysOutlets.FindStringSubmatch(text); m != nil && e.Outlets.Known {
			stands := strconv.FormatInt(e.Outlets.V, 10)
			return []*Mention{spoken(&e.Part, m[0], "outlets", stands, m[1], m[1] == stands, e.Outlets.Node)}
		}
	case *kit.Conduit:
		return conduitMention(e, text)
	case *kit.Bolt:
		return threadMention(&e.Part, text, "size", e.Size)
	case *kit.Fitting:
		return slices.Concat(threadMention(&e.Part, text, "thread", e.Thread), tubeMention(e, text), angleMention(e, text))
	case *kit.Tube:
		return wallMention(e, text)
	}
	return nil
}

// angleMention holds the angle of a fitting against what it is called. Of one
// that is called angled it is not known by how much.
func angleMention(f *kit.Fitting, text string) []*Mention {
	if !f.Angle.Known || f.Angle.V < 0 {
		return nil
	}
	straight, angled := saysStraight.FindString(text), saysAngled.FindString(text)
	switch {
	case (straight == "") == (angled == ""):
		return nil
	case straight != "":
		return []*Mention{spoken(&f.Part, straight, "angle", written(f.Angle), "0 deg", f.Angle.V == 0, f.Angle.Node)}
	case f.Angle.V > 0:
		return nil // a measure in the text is held against it
	}
	return []*Mention{spoken(&f.Part, angled, "angle", written(f.Angle), "the angle of its data sheet, 45 deg or 90 deg,", false, f.Angle.Node)}
}

func spoken(part *kit.Part, said, member, stands, right string, agrees bool, at *source.Node) *Mention {
	return &Mention{
		TextWrong: value.Known(false), Text: value.Known(said), Where: value.Known("description"), Member: value.Known(member),
		Stands: value.Known(stands), Right: value.Known(right), Agrees: value.Known(agrees), part: part, node: at,
	}
}

// threadMention holds the thread in a text against the one stated: "M8" leaves
// the pitch open, "M10x1" does not.
func threadMention(part *kit.Part, text, member string, thread value.Text) []*Mention {
	said := saysThread.FindString(text)
	if said == "" || !thread.Known {
		return nil
	}
	plain := func(s string) string { return strings.ToLower(strings.ReplaceAll(s, " ", "")) }
	want, stands := plain(said), plain(thread.V)
	agrees := stands == want || !strings.Contains(want, "x") && strings.HasPrefix(stands, want+"x")
	return []*Mention{spoken(part, said, member, thread.V, said, agrees, thread.Node)}
}

// tubeMention reads "tube 4".
func tubeMention(f *kit.Fitting, text string) []*Mention {
	m := saysTube.FindStringSubmatch(text)
	if m == nil || !f.TubeOuter.Known {
		return nil
	}
	mm, err := strconv.ParseFloat(m[1], 64)
	if err != nil {
		return nil
	}
	right := m[1] + " mm"
	return []*Mention{spoken(&f.Part, strings.Trim(m[0], ", "), "tube outer", written(f.TubeOuter), right, catalogue.Near(mm/1000, f.TubeOuter.V, catalogue.Alike), f.TubeOuter.Node)}
}

// conduitMention reads "conduit 14", the nominal width, near the inner diameter,
// where the part's number goes with the entry and that does not.
func conduitMention(c *kit.Conduit, text string) []*Mention {
	m := saysConduit.FindStringSubmatch(text)
	if m == nil || !c.Inner.Known || !catalogue.Near(digits(c.Number.V)/1000, c.Inner.V, catalogue.Nominal) {
		return nil // where the number says otherwise too, it is held against that
	}
	mm, err := strconv.ParseFloat(m[1], 64)
	if err != nil || catalogue.Near(mm/1000, c.Inner.V, catalogue.Nominal) {
		return nil
	}
	out := spoken(&c.Part, strings.Trim(m[0], ", "), "inner", written(c.Inner), m[1]+" mm", false, c.Description.Node)
	out.TextWrong = value.Known(true)
	return []*Mention{out}
}

// wallMention reads "4 x 0.75": the outer diameter and the wall, or the inner
// one, in mm. A tube without a wall is another rule's.
func wallMention(t *kit.Tube, text string) []*Mention {
	m := saysWall.FindStringSubmatch(text)
	if m == nil || !t.Outer.Known || !t.Inner.Known || t.Inner.V >= t.Outer.V {
		return nil
	}
	a, err := strconv.ParseFloat(m[1], 64)
	b, err2 := strconv.ParseFloat(m[2], 64)
	if err != nil || err2 != nil {
		return nil
	}
	said := m[1] + " x " + m[2]
	fits := func(mm, v float64) bool { return catalogue.Near(mm/1000, v, catalogue.Printed) }
	if !fits(max(a, b), t.Outer.V) && !fits(a, t.Outer.V) {
		return []*Mention{spoken(&t.Part, said, "outer", written(t.Outer), m[1]+" mm", false, t.Outer.Node)}
	}
	bore := fits(b, t.Inner.V) || fits(a, t.Inner.V) || fits(b, (t.Outer.V-t.Inner.V)/2) || fits(a-2*b, t.Inner.V)
	right := fmt.Sprintf("%.4g mm", a-2*b)
	if 2*b >= a {
		right = m[2] + " mm"
	}
	return []*Mention{spoken(&t.Part, said, "inner", written(t.Inner), right, bore, t.Inner.Node)}
}

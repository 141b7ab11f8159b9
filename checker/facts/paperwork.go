package facts

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"
	"unicode"

	"kitgauge/checker/kit"
	"kitgauge/checker/source"
	"kitgauge/checker/value"
)

// KitPaperwork is whether the documents go with the kit.
type KitPaperwork struct {
	Papers      []*IssuedDocument
	Rows        []*CallOutRow
	ListRows    []*ListRow
	Granted     []*GrantedConcession
	TitleGaps   []string    `key:"title_block_gaps"`
	DateIsADay  value.Flag  `key:"date_is_a_day"`
	SamePerson  value.Flag  `key:"same_person"` // drew and checked it
	SheetRows   value.Count `key:"sheet_rows"`
	SafetyShown value.Flag  `key:"safety_notice_stated"`

	used *inUse
}

// PointPaperwork is what a point's name says.
type PointPaperwork struct {
	SameName  value.Count  `key:"same_name"` // how many points up to this one have the name
	NameFirst value.Text   `key:"name_first"`
	NamedSide value.Text   `key:"named_side"` // left, right, both or none
	LiesSide  value.Text   `key:"lies_side"`  // left or right
	OffCentre value.Number `key:"off_centre" dim:"length"`
	NamesPart value.Flag   `key:"names_part"` // beside side and end
}

// LinePaperwork is what sheet and markers say of a line.
type LinePaperwork struct {
	Rows          value.Count `key:"rows"` // of the call-out sheet
	Unmarked      value.Text  `key:"unmarked"`
	StrangeMarker value.Text  `key:"strange_marker"` // "" where both bear the line's number
}

// IssuedDocument is one of the documents that go with the kit.
type IssuedDocument struct {
	kit.Document
	Present    value.Flag `key:"present"`
	SameNumber value.Text `key:"same_number"` // the earlier document with its number, or ""
	title      string
	node       *source.Node
}

// Place names the document.
func (d *IssuedDocument) Place() string { return "the " + d.title }

// Source is the document's place in the file, or that where it is missing.
func (d *IssuedDocument) Source() *source.Node { return d.node }

// CallOutRow is a row of the call-out sheet with the line that it stands for.
type CallOutRow struct {
	*kit.Row
	HasLine    value.Flag  `key:"has_line"`
	SameLine   value.Count `key:"same_line"`   // how many rows up to this one stand for the line
	PointNamed value.Flag  `key:"point_named"` // the line's point is known and has a name
	PointName  value.Text  `key:"point_name"`
	number     int
}

// Place names the row by its number from the top.
func (r *CallOutRow) Place() string { return fmt.Sprintf("call-out sheet, row %d", r.number) }

// Source is the row's place in the file.
func (r *CallOutRow) Source() *source.Node { return r.Node }

// GrantedConcession is a concession with what it leaves open. Whether it
// matches anything, and whether it has run out, depends on findings and on a
// day, which are not the kit's.
type GrantedConcession struct {
	*kit.Concession
	Gaps       []string   `key:"gaps"`
	UntilIsDay value.Flag `key:"until_is_a_day"`
	OwnHand    value.Flag `key:"by_who_drew"` // granted by whoever drew the kit
	number     int
}

// Place names the concession by its number from the top.
func (c *GrantedConcession) Place() string { return fmt.Sprintf("concession %d", c.number) }

// Source is the concession's place in the file.
func (c *GrantedConcession) Source() *source.Node { return c.Node }

// paperwork compares the documents with the kit.
func (f *Kit) paperwork() {
	f.titleBlock()
	f.documents()
	f.names()
	f.callOutSheet()
	f.markers()
	f.partsList()
	f.concessions()
}

// titleBlock looks for the fields that ISO 7200 asks for. Number, revision,
// title and status are those without which a file is no kit: its shape is
// checked before.
func (f *Kit) titleBlock() {
	h := &f.Kit.Header
	for _, field := range []struct {
		name string
		text value.Text
	}{{"who owns the document", h.Owner}, {"who drew it", h.DrawnBy}, {"when it was issued", h.Date}} {
		if field.text.Node == nil {
			f.TitleGaps = append(f.TitleGaps, field.name)
		}
	}
	f.DateIsADay = isDay(h.Date, "the date of the kit")
	f.SamePerson = value.Known(person(h.DrawnBy.V) == person(h.CheckedBy.V))
}

// isDay reports whether the calendar has the day.
func isDay(t value.Text, what string) value.Flag {
	if !t.Known {
		return value.Unknown[bool](t.Reason(what))
	}
	_, err := time.Parse(time.DateOnly, t.V)
	return value.Known(err == nil)
}

// person makes two spellings of one name alike: "I. Sandvik", "i sandvik".
func person(name string) string {
	return strings.Map(func(r rune) rune {
		if !unicode.IsLetter(r) {
			return -1
		}
		return unicode.ToLower(r)
	}, name)
}

func (f *Kit) documents() {
	docs := &f.Kit.Documents
	holder := docs.Node
	if holder == nil {
		holder = f.Kit.Node
	}
	titles := map[string]string{}
	for _, d := range []struct {
		title string
		kit.Document
	}{{"schematic", docs.Schematic}, {"call-out sheet", docs.CallOutSheet}, {"instructions", docs.Instructions}} {
		paper := &IssuedDocument{Document: d.Document, title: d.title, node: d.Node, Present: value.Known(d.Node != nil)}
		if paper.node == nil {
			paper.node = holder
		}
		paper.SameNumber = value.Known(titles[d.Number.V])
		if d.Number.Known && titles[d.Number.V] == "" {
			titles[d.Number.V] = d.title
		}
		f.Papers = append(f.Papers, paper)
	}
	f.SafetyShown = value.Known(strings.TrimSpace(docs.SafetyNotice.V) != "")
	if docs.SafetyNotice.Node != nil && !docs.SafetyNotice.Known {
		f.SafetyShown = value.Unknown[bool](docs.SafetyNotice.Why)
	}
}

// names reads what the names of the points say of their sides. The vehicle's
// frame has y to the left (ISO 8855).
func (f *Kit) names() {
	count, first := map[string]int64{}, map[string]string{}
	for _, p := range f.Points {
		words := nameWords(p.Name.V)
		key := strings.Join(words, " ")
		if count[key]++; count[key] == 1 {
			first[key] = p.ID.Or("?")
		}
		p.SameName, p.NameFirst = value.Known(count[key]), value.Known(first[key])
		var named string
		named, p.NamesPart.V = readName(words)
		p.NamedSide, p.NamesPart.Known = value.Known(named), true
		y := p.Position.Y
		if !y.Known {
			why := y.Reason("the position of " + p.Place())
			p.OffCentre, p.LiesSide = value.Unknown[float64](why), value.Unknown[string](why)
			continue
		}
		p.OffCentre, p.LiesSide = value.Known(math.Abs(y.V)), value.Known("left")
		if y.V < 0 {
			p.LiesSide = value.Known("right")
		}
	}
}

// NamedSide tells which side of the vehicle a point's name says: left, right,
// both or none.
func NamedSide(name string) string {
	side, _ := readName(nameWords(name))
	return side
}

// nameWords are the words of a name in lower case, without what joins them.
func nameWords(name string) []string {
	return strings.FieldsFunc(strings.ToLower(name), func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) })
}

// sideWords are those that name a side, with the side; near side and off side
// are left out, as they change with the side of the road. Words for an end or
// for the middle name no side, and no part either.
var sideWords = map[string]string{
	"left": "left", "lefthand": "left", "lh": "left",
	"right": "right", "righthand": "right", "rh": "right",
	"front": "", "rear": "", "centre": "", "center": "", "middle": "",
	"upper": "", "lower": "", "top": "", "bottom": "", "inner": "", "outer": "",
	"hand": "", "side": "", "point": "", "grease": "", "nipple": "",
}

// readName tells which side the words name, and whether anything is left of
// them that could name a part.
func readName(words []string) (side string, part bool) {
	side = "none"
	for _, w := range words {
		named, known := sideWords[w]
		switch {
		case !known:
			part = part || strings.IndexFunc(w, unicode.IsLetter) >= 0
		case named == "" || named == side:
		case side == "none":
			side = named
		default:
			side = "both"
		}
	}
	return side, part
}

// callOutSheet joins the rows of the sheet with the lines.
func (f *Kit) callOutSheet() {
	lines := map[int64]*Line{}
	for _, l := range f.Lines {
		l.Rows = value.Known[int64](0)
		if l.Number.Known && lines[l.Number.V] == nil {
			lines[l.Number.V] = l
		}
	}
	rows := f.Kit.Documents.CallOutSheet.Rows
	f.SheetRows = value.Known(int64(len(rows)))
	for i, r := range rows {
		row := &CallOutRow{Row: r, number: i + 1, PointNamed: value.Known(false)}
		f.Rows = append(f.Rows, row)
		row.HasLine, row.SameLine = value.Known(false), value.Known[int64](0)
		if !r.Line.Known {
			row.HasLine = value.Unknown[bool](r.Line.Reason("the line of " + row.Place()))
			continue
		}
		l := lines[r.Line.V]
		if l == nil {
			continue
		}
		l.Rows.V++
		row.HasLine, row.SameLine = value.Known(true), l.Rows
		if p := l.Point.To; p != nil {
			row.PointNamed, row.PointName = value.Known(p.Name.Known), p.Name
		}
	}
}

// markers holds the markers at both ends of a line against its number.
func (f *Kit) markers() {
	for _, l := range f.Lines {
		var bare, strange []string
		for _, end := range []struct {
			name   string
			marker value.Text
		}{{"pump", l.PumpMarker}, {"point", l.PointMarker}} {
			switch {
			case end.marker.Node == nil:
				bare = append(bare, end.name)
			case end.marker.Known && l.Number.Known && !bears(end.marker.V, l.Number.V):
				strange = append(strange, fmt.Sprintf("the marker at the %s says %q", end.name, end.marker.V))
			}
		}
		l.Unmarked = value.Known(strings.Join(bare, " and at the "))
		l.StrangeMarker = value.Known(strings.Join(strange, ", "))
	}
}

// bears reports whether a marker has the number in it as a number of its own:
// "7", "L7" and "7/34" bear a 7, "17" does not.
func bears(marker string, number int64) bool {
	digits := strings.FieldsFunc(marker, func(r rune) bool { return r < '0' || r > '9' })
	for _, d := range digits {
		if n, err := strconv.ParseInt(d, 10, 64); err == nil && n == number {
			return true
		}
	}
	return false
}

func (f *Kit) concessions() {
	for i, c := range f.Kit.Concessions {
		g := &GrantedConcession{Concession: c, number: i + 1, UntilIsDay: isDay(c.Until, "the last day of the concession")}
		g.OwnHand = value.Known(person(c.GrantedBy.V) != "" && person(c.GrantedBy.V) == person(f.Kit.Header.DrawnBy.V))
		for _, field := range []struct {
			name string
			text value.Text
		}{{"why", c.Reason}, {"who granted it", c.GrantedBy}, {"until when", c.Until}} {
			if field.text.Node == nil || field.text.Known && strings.TrimSpace(field.text.V) == "" {
				g.Gaps = append(g.Gaps, field.name)
			}
		}
		f.Granted = append(f.Granted, g)
	}
}

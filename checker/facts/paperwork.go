package facts

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode"

	"kitgauge/checker/kit"
	"kitgauge/checker/person"
	"kitgauge/checker/quantities/survey"
	"kitgauge/checker/source"
	"kitgauge/checker/value"
)

// KitPaperwork is whether the documents go with the kit.
type KitPaperwork struct {
	Papers      []*IssuedDocument
	Rows        []*CallOutRow
	Granted     []*GrantedConcession
	PapersWait  value.Flag  `key:"papers_wait"` // a draft may lack papers until it goes to review
	TitleGaps   []string    `key:"title_block_gaps"`
	DateIsADay  value.Flag  `key:"date_is_a_day"`
	PapersOf    value.Text  `key:"papers_of"`     // the kit after which all papers are named, where that is another
	Held        value.Count `key:"held_stations"` // stations where a tie or clip without a number holds
	Holders     value.Count `key:"holders"`       // ties and clips without a number: at stations, and between them
	TieListed   value.Flag  `key:"tie_listed"`
	SamePerson  value.Flag  `key:"same_person"` // who drew it may have checked it
	SheetRows   value.Count `key:"sheet_rows"`
	SafetyShown value.Flag  `key:"safety_notice_stated"`
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
	NamedAfter value.Text `key:"named_after"` // the kit after which it is named, where that is another
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

// GrantedConcession is a concession with what it leaves open. Whether it
// matches anything, and whether it has run out, depends on findings and on a
// day, which are not the kit's.
type GrantedConcession struct {
	*kit.Concession
	Gaps            []string   `key:"gaps"`
	UntilIsDay      value.Flag `key:"until_is_a_day"`
	GrantedByDrawer value.Flag `key:"granted_by_drawer"` // who granted it may have drawn the kit
	number          int
}

// Place names the concession by its number from the top.
func (c *GrantedConcession) Place() string { return fmt.Sprintf("concession %d", c.number) }

// paperwork compares the documents with the kit.
func paperwork(k *kit.Kit) KitPaperwork {
	h := &k.Header
	p := KitPaperwork{
		Papers: documents(k), Rows: callOutRows(k), Granted: concessions(k),
		TitleGaps:  gaps(field{"who owns the document", h.Owner}, field{"who drew it", h.DrawnBy}, field{"when it was issued", h.Date}),
		DateIsADay: isDay(h.Date, "the date of the kit"), SamePerson: isDrawer(k, h.CheckedBy, "who checked the kit"),
		PapersWait: value.Known(h.Status.V == "draft"),
		SheetRows:  value.Known(int64(len(k.Documents.CallOutSheet.Rows))),
	}
	p.PapersOf = namedAfter(k, p.Papers)
	p.Held, p.TieListed = held(k), tieListed(k)
	p.Holders = value.Known(taken["tie"](k) + taken["clip"](k))
	notice := k.Documents.SafetyNotice
	p.SafetyShown = value.Known(strings.TrimSpace(notice.V) != "")
	if notice.Node != nil && !notice.Known {
		p.SafetyShown = value.Unknown[bool](notice.Why)
	}
	return p
}

// field is a text that has to be stated: of the title block those that ISO
// 7200 asks for. Number, revision, title and status are those without which a
// file is no kit: its shape is checked before.
type field struct {
	name string
	text value.Text
}

// gaps names the fields that say nothing.
func gaps(fields ...field) []string {
	var names []string
	for _, f := range fields {
		if f.text.Node == nil {
			names = append(names, f.name)
		}
	}
	return names
}

// isDay reports whether the calendar has the day.
func isDay(t value.Text, what string) value.Flag {
	if !t.Known {
		return value.Unknown[bool](t.Reason(what))
	}
	_, err := time.Parse(time.DateOnly, t.V)
	return value.Known(err == nil)
}

// isDrawer reports whether the one named may be whoever drew the kit.
func isDrawer(k *kit.Kit, other value.Text, what string) value.Flag {
	return value.Compute(func(n *value.Need) (bool, error) {
		return person.Same(n.Text("who drew the kit", k.Header.DrawnBy), n.Text(what, other)), nil
	})
}

// namedAfter marks the documents whose numbers begin with the number of
// another kit: as many letters and digits in the same places as in the number
// of this one, and others. Where all of them are named after one other kit, it
// is returned.
func namedAfter(k *kit.Kit, papers []*IssuedDocument) value.Text {
	own := k.Header.Number.V
	common, all := "", true
	for i, d := range papers {
		d.NamedAfter = value.Known("")
		stem := d.Number.V[:min(len(own), len(d.Number.V))]
		if own != "" && stem != own && form(stem) == form(own) {
			d.NamedAfter.V = stem
		}
		all = all && d.NamedAfter.V != "" && (i == 0 || stem == common)
		common = stem
	}
	if !all || len(papers) < 2 {
		common = ""
	}
	return value.Known(common)
}

// form is a number with 0 for every digit and A for every letter.
func form(number string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case unicode.IsDigit(r):
			return '0'
		case unicode.IsLetter(r):
			return 'A'
		}
		return r
	}, number)
}

// held counts the stations where a tie or clip holds that the kit does not
// name by number.
func held(k *kit.Kit) value.Count {
	return value.Known(stationsWith(k, func(s *kit.Station) int64 {
		return one((s.Hold.V == "tie" || s.Hold.V == "clip") && s.Part.ID.Node == nil)
	}))
}

// tieListed reports whether the parts list has a tie or a clip. A row whose part is not known
// may be one.
func tieListed(k *kit.Kit) value.Flag {
	listed := slices.ContainsFunc(k.PartsList, func(l *kit.ListedPart) bool {
		return l.Entry == nil || l.Entry.Kind.V == "tie" || l.Entry.Kind.V == "clip"
	})
	return value.Known(listed)
}

func documents(k *kit.Kit) []*IssuedDocument {
	docs := &k.Documents
	holder := docs.Node
	if holder == nil {
		holder = k.Node
	}
	var papers []*IssuedDocument
	titles := map[string]string{}
	for _, d := range []struct {
		title string
		kit.Document
	}{{"schematic", docs.Schematic}, {"call-out sheet", docs.CallOutSheet}, {"instructions", docs.Instructions}} {
		paper := &IssuedDocument{
			Document: d.Document, title: d.title, node: cmp.Or(d.Node, holder),
			Present: value.Known(d.Node != nil), SameNumber: value.Known(titles[d.Number.V]),
		}
		if d.Number.Known && titles[d.Number.V] == "" {
			titles[d.Number.V] = d.title
		}
		papers = append(papers, paper)
	}
	return papers
}

// pointPaperwork reads what the names of the points say of their sides. The
// vehicle's frame has y to the left (ISO 8855).
func pointPaperwork(k *kit.Kit) []PointPaperwork {
	papers := make([]PointPaperwork, len(k.Points))
	count, first := map[string]int64{}, map[string]string{}
	for i, p := range k.Points {
		words := nameWords(p.Name.V)
		key := strings.Join(words, " ")
		if count[key]++; count[key] == 1 {
			first[key] = p.ID.Or("?")
		}
		side, part := readName(words)
		paper := PointPaperwork{
			SameName: value.Known(count[key]), NameFirst: value.Known(first[key]),
			NamedSide: value.Known(side), NamesPart: value.Known(part),
		}
		value.Fill(func(n *value.Need) error {
			y := n.Number("the position of "+pointPlace(p), p.Position.Y)
			paper.OffCentre, paper.LiesSide = value.Known(math.Abs(y)), value.Known("left")
			if y < 0 {
				paper.LiesSide = value.Known("right")
			}
			return nil
		}, &paper.OffCentre, &paper.LiesSide)
		papers[i] = paper
	}
	return papers
}

// nameWords are the words of a name in lower case, without what joins them.
func nameWords(name string) []string {
	return strings.FieldsFunc(strings.ToLower(name), func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) })
}

// endWords are words for an end or for the middle: they name no part.
var endWords = []string{
	"front", "rear", "centre", "center", "middle", "upper", "lower", "top", "bottom", "inner", "outer",
	"hand", "side", "point", "grease", "nipple",
}

// readName tells which side the words name, and whether anything is left of
// them that could name a part.
func readName(words []string) (side string, part bool) {
	side = "none"
	for i, w := range words {
		named := ""
		if len(w) > 1 { // a letter alone may number a part
			named = survey.Side(words, i)
		}
		switch {
		case named == "" && !slices.Contains(endWords, w):
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

// numbered finds each line by its number: the first that has it.
func numbered(k *kit.Kit) map[int64]*kit.Line {
	lines := map[int64]*kit.Line{}
	for _, l := range k.Lines {
		if l.Number.Known && lines[l.Number.V] == nil {
			lines[l.Number.V] = l
		}
	}
	return lines
}

// callOutRows joins the rows of the sheet with the lines.
func callOutRows(k *kit.Kit) []*CallOutRow {
	lines, seen := numbered(k), map[int64]int64{}
	unread := unreadOf(k.Lines, func(l *kit.Line) value.Count { return l.Number })
	var rows []*CallOutRow
	for i, r := range k.Documents.CallOutSheet.Rows {
		row := &CallOutRow{
			Row: r, number: i + 1, PointNamed: value.Known(false), HasLine: value.Known(false), SameLine: value.Known[int64](0),
		}
		rows = append(rows, row)
		if !r.Line.Known {
			row.HasLine = value.Unknown[bool](r.Line.Reason("the line of " + row.Place()))
			continue
		}
		l := lines[r.Line.V]
		if l == nil {
			if unread != "" {
				row.HasLine = value.Unknown[bool](unread)
			}
			continue
		}
		seen[r.Line.V]++
		row.HasLine, row.SameLine = value.Known(true), value.Known(seen[r.Line.V])
		if p := l.Point.To; p != nil {
			row.PointNamed, row.PointName = value.Known(p.Name.Known), p.Name
		}
	}
	return rows
}

// linePaperwork counts the rows of the call-out sheet for each line, and holds
// the markers at both of its ends against its number.
func linePaperwork(k *kit.Kit) []LinePaperwork {
	lines, rows := numbered(k), map[*kit.Line]int64{}
	for _, r := range k.Documents.CallOutSheet.Rows {
		if l := lines[r.Line.V]; r.Line.Known && l != nil {
			rows[l]++
		}
	}
	unread := unreadOf(k.Documents.CallOutSheet.Rows, func(r *kit.Row) value.Count { return r.Line })
	papers := make([]LinePaperwork, len(k.Lines))
	for i, l := range k.Lines {
		var bare, strange []string
		for _, end := range []field{{"pump", l.PumpMarker}, {"point", l.PointMarker}} {
			switch {
			case end.text.Node == nil:
				bare = append(bare, end.name)
			case end.text.Known && l.Number.Known && !bears(end.text.V, l.Number.V):
				strange = append(strange, fmt.Sprintf("the marker at the %s says %q", end.name, end.text.V))
			}
		}
		papers[i] = LinePaperwork{
			Rows: value.Known(rows[l]), Unmarked: value.Known(strings.Join(bare, " and at the ")),
			StrangeMarker: value.Known(strings.Join(strange, ", ")),
		}
		if rows[l] == 0 && unread != "" {
			papers[i].Rows = value.Unknown[int64](unread)
		}
	}
	return papers
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

func concessions(k *kit.Kit) []*GrantedConcession {
	var granted []*GrantedConcession
	stated := func(t value.Text) value.Text {
		if t.Known && strings.TrimSpace(t.V) == "" {
			return value.Text{}
		}
		return t
	}
	for i, c := range k.Concessions {
		g := &GrantedConcession{
			Concession: c, number: i + 1, UntilIsDay: isDay(c.Until, "the last day of the concession"),
			Gaps: gaps(field{"where it holds", stated(c.Place)}, field{"why", stated(c.Reason)}, field{"who granted it", stated(c.GrantedBy)}, field{"until when", stated(c.Until)}),
		}
		g.GrantedByDrawer = isDrawer(k, c.GrantedBy, "who granted "+g.Place())
		granted = append(granted, g)
	}
	return granted
}

// Package compare says what differs between two revisions of a kit: in the
// kit file and in the parts that it uses, in the trade's terms; in what is
// computed from them; and in what the rules find. Things are matched by what
// they are called, never by their place in a list, so that sorting a file is
// no change; the order of a route and of the procedure is one. Comments and
// the way in which a value is written are not compared: 0.9 m is 900 mm.
package compare

import (
	"slices"

	"kitgauge/checker/facts"
	"kitgauge/checker/finding"
	"kitgauge/checker/kit"
	"kitgauge/checker/source"
	"kitgauge/checker/units"
)

// Revision is a kit as it was, or as it is.
type Revision struct {
	File string
	// Shaped is false where the file is not of the shape of a kit: then parts
	// of it cannot be compared.
	Shaped   bool
	Facts    *facts.Kit
	Findings []finding.Finding
}

// Kind says what became of something.
type Kind string

// The kinds of change.
const (
	Added   Kind = "added"
	Removed Kind = "removed"
	Changed Kind = "changed"
	Moved   Kind = "moved" // to another place in an order that counts
)

// Comparison is what differs between two revisions.
type Comparison struct {
	Old, New Title
	Changes  []Change // in the kit file and its parts, by section
	Figures  []Figure // computed values that moved
	Findings []Finding
}

// Title names a revision.
type Title struct {
	File     string `json:"file"`
	Number   string `json:"number"`
	Revision string `json:"revision"`
	Title    string `json:"title"`
	Status   string `json:"status"`
	Shaped   bool   `json:"shaped"`
}

// Change is one difference of the kit file or of a part that it uses. Texts
// from a kit stand in it as they are written there.
type Change struct {
	Kind    Kind   `json:"kind"`
	Section string `json:"section"`       // of the kit file: "lines"; "parts" for a figure of the catalogue
	Place   string `json:"place"`         // "line 7"; "" for what belongs to the kit as a whole
	Member  string `json:"member"`        // "cut length"; "" where the thing itself was added, removed or moved
	Text    string `json:"text"`          // "line 7 now 55 mm longer (2655 mm to 2710 mm)"
	Old     *State `json:"old,omitempty"` // nil where it was not stated
	New     *State `json:"new,omitempty"` // nil where it is not stated
}

// State is what was stated, and where.
type State struct {
	Text string `json:"text"`
	source.Pos
	Pointer string `json:"pointer"` // JSON Pointer (RFC 6901) in its file
}

// Of compares two revisions. Values are shown in the unit family of the new
// one.
func Of(old, new Revision) Comparison {
	family := new.Facts.Family()
	d := &differ{family: family}
	d.kit(old.Facts.Kit, new.Facts.Kit)
	d.parts(old.Facts, new.Facts)
	return Comparison{
		Old: title(old), New: title(new),
		Changes:  d.changes,
		Figures:  moved(old.Facts.Figures(), new.Facts.Figures(), family),
		Findings: findings(old, new),
	}
}

func title(r Revision) Title {
	h := &r.Facts.Kit.Header
	return Title{File: r.File, Number: h.Number.V, Revision: h.Revision.V, Title: h.Title.V, Status: h.Status.V, Shaped: r.Shaped}
}

// Same reports whether nothing differs. Two revisions of which one could not
// be read in full are never the same.
func (c *Comparison) Same() bool {
	return c.Whole() && len(c.Changes)+len(c.Figures)+len(c.Findings) == 0
}

// Whole reports whether both revisions could be compared in full.
func (c *Comparison) Whole() bool { return c.Old.Shaped && c.New.Shaped }

// Sections lists the sections of the changes, in the order in which they come.
func (c *Comparison) Sections() []string {
	var names []string
	for _, change := range c.Changes {
		if !slices.Contains(names, change.Section) {
			names = append(names, change.Section)
		}
	}
	return names
}

// parts compares the figures of the parts that both revisions use or list:
// what the catalogue changed behind the kit.
func (d *differ) parts(old, new *facts.Kit) {
	d.section = "parts"
	before := partsOf(old)
	for _, p := range partsOf(new).list {
		if was := before.of[p.Number.V]; was != nil {
			d.part(was, p)
		}
	}
}

func (d *differ) part(old, new *kit.Part) {
	at := place{text: "part " + new.Number.V, node: [2]*source.Node{old.Node, new.Node}}
	was, is := kit.Typed(old), kit.Typed(new)
	if was == nil || is == nil || pointee(was).Type() != pointee(is).Type() {
		was, is = old, new // the figures of different kinds cannot be compared
	}
	d.group(at, pointee(was), pointee(is), measure{}, measure{})
}

// partSet is the parts of a kit by number, in the order in which it names
// them.
type partSet struct {
	list []*kit.Part
	of   map[string]*kit.Part
}

func partsOf(k *facts.Kit) partSet {
	s := partSet{of: map[string]*kit.Part{}}
	add := func(p *kit.Part) {
		if p != nil && p.Number.Known && s.of[p.Number.V] == nil {
			s.list, s.of[p.Number.V] = append(s.list, p), p
		}
	}
	for _, subject := range k.Subjects("part") {
		if p, is := subject.(*facts.UsedPart); is {
			add(p.Part)
		}
	}
	for _, p := range k.PartsList {
		add(p.Entry)
	}
	return s
}

// measure is how a number is shown.
type measure struct {
	dim    units.Dimension
	spread bool // a difference of temperatures
}

func (m measure) format(si float64, f units.Family) string {
	if m.spread {
		if text, err := units.FormatIn(si, "K"); err == nil {
			return text
		}
	}
	return units.Format(si, m.dim, f)
}

package kit

import (
	"fmt"
	"sort"
	"strings"
	"sync/atomic"

	"kitgauge/checker/decode"
	"kitgauge/checker/source"
	"kitgauge/checker/units"
	"kitgauge/checker/value"
)

// File is one catalogue file: its parts, and the files that it includes.
type File struct {
	Node     *source.Node
	Title    value.Text   `key:"title"`
	Revision value.Text   `key:"revision"`
	Include  []value.Text `key:"include" refers:"file"`
	parts    []holder
	unread   *source.Node // what of it could not be read, so that parts may be missing; nil where all could
}

// Unread is what of the file could not be read, so that parts may be missing;
// nil where all could.
func (f *File) Unread() *source.Node { return f.unread }

// holder is any kind of part.
type holder interface{ base() *Part }

// kinds makes a part by the name of its kind.
var kinds = map[string]func() holder{
	"pump":      func() holder { return new(Pump) },
	"element":   func() holder { return new(Element) },
	"tube":      func() holder { return new(Tube) },
	"conduit":   func() holder { return new(Conduit) },
	"fitting":   func() holder { return new(Fitting) },
	"fuse":      func() holder { return new(Fuse) },
	"cable":     func() holder { return new(Cable) },
	"connector": func() holder { return new(Connector) },
	"grease":    func() holder { return new(Grease) },
	"bolt":      func() holder { return new(Bolt) },
	"tie":       func() holder { return new(Tie) },

	"clip":        func() holder { return new(Tie) },
	"grommet":     func() holder { return new(Tie) },
	"blank":       func() holder { return new(Blank) },
	"marker":      func() holder { return new(Piece) },
	"fuse-holder": func() holder { return new(Piece) },
	"bracket":     func() holder { return new(Piece) },
}

// Kinds lists the kinds of part, in alphabetical order.
func Kinds() []string {
	names := make([]string, 0, len(kinds))
	for k := range kinds {
		names = append(names, k)
	}
	sort.Strings(names)
	return names
}

// IsCatalogue reports whether a document is a parts catalogue and not a kit.
func IsCatalogue(root *source.Node) bool {
	return root.Get("parts") != nil && root.Get("header") == nil
}

// ReadFile reads one catalogue file.
func ReadFile(doc *source.Document) (*File, []*source.Problem) {
	head := doc.Root
	f := &File{Node: head}
	if head.Kind != source.Map {
		f.unread = head
		return f, []*source.Problem{{Pos: head.Pos(), Message: "this is not a parts catalogue", Remedy: "a catalogue has title, revision and parts", Node: head}}
	}
	problems := decode.Into(head, f)
	list := head.Get("parts")
	if list == nil || list.Kind != source.List {
		f.unread = head
		return f, append(problems, &source.Problem{Pos: head.Pos(), Message: "the catalogue has no list of parts", Remedy: "write parts: with an item for each", Node: head})
	}
	for _, item := range list.Items {
		kind := item.Get("kind")
		if kind == nil || kinds[kind.Scalar] == nil {
			f.unread = item
			continue // the JSON Schema reports it
		}
		p := kinds[kind.Scalar]()
		problems = append(problems, decode.Into(item, p)...)
		f.parts = append(f.parts, p)
		if !p.base().Number.Known {
			f.unread = item
		}
	}
	return f, problems
}

// Catalogue is the parts of several files, by number.
type Catalogue struct {
	files  []string
	parts  map[string]holder
	byKind map[string][]string // the numbers
	unread string              // why not all files could be read, "" where they could
	missed atomic.Bool         // a part was looked for that may be in what could not
}

// NewCatalogue joins files; a part number given twice is a problem. Of a part
// that is not in them nothing is known where another could not be read, for the
// reason unread.
func NewCatalogue(files []*File, unread string) (*Catalogue, []*source.Problem) {
	c := &Catalogue{parts: map[string]holder{}, byKind: map[string][]string{}, unread: unread}
	var problems []*source.Problem
	for _, f := range files {
		c.files = append(c.files, shortName(f.Node.Pos().File))
		for _, p := range f.parts {
			number := p.base().Number
			if !number.Known {
				continue
			}
			if first, twice := c.parts[number.V]; twice {
				problems = append(problems, &source.Problem{
					Pos: number.Node.Pos(), Node: number.Node,
					Message: fmt.Sprintf("part %q is already at %s", number.V, first.base().Node.Pos()),
					Remedy:  "give it a number of its own, or remove one of the two",
				})
				continue
			}
			c.parts[number.V] = p
			of := p.base().Kind.V
			c.byKind[of] = append(c.byKind[of], number.V)
		}
	}
	return c, problems
}

// Unread reports whether a reason is that a catalogue could not be read.
func (c *Catalogue) Unread(why string) bool { return why != "" && why == c.unread }

// Missed reports whether a part was looked for that no file has, and that may be
// in one that could not be read.
func (c *Catalogue) Missed() bool { return c.missed.Load() }

// Part returns the entry with that number, nil where there is none.
func (c *Catalogue) Part(number string) *Part {
	if p, ok := c.parts[number]; ok {
		return p.base()
	}
	return nil
}

// Entry returns the entry with that number as its kind of part has it (*Pump,
// *Tube), nil where there is none.
func (c *Catalogue) Entry(number string) any {
	if p, ok := c.parts[number]; ok {
		return p
	}
	return nil
}

// OfKind returns the entries of one kind, in the order of the files.
func (c *Catalogue) OfKind(kind string) []any {
	var entries []any
	for _, n := range c.ofKind(kind) {
		entries = append(entries, c.parts[n])
	}
	return entries
}

// Common returns what an entry has in common with all others.
func Common(entry any) *Part { return entry.(holder).base() }

func shortName(file string) string { return file[strings.LastIndexByte(file, '/')+1:] }

// find resolves a reference to a part of the kind wanted.
func find[T any](c *Catalogue, s *speller, r *Ref[T], kind string) string {
	if !r.ID.Known {
		return ""
	}
	s.use("part", r.ID.V)
	p, ok := c.parts[r.ID.V]
	switch {
	case !ok && c.unread != "":
		r.Why, r.unread = c.unread, true
		c.missed.Store(true)
		return "" // what is wrong is said of the catalogue
	case len(c.files) == 0:
		r.Why = fmt.Sprintf("no catalogue could be read, so part %q is not known", r.ID.V)
	case !ok:
		hint, meant := s.nearest(r.ID.V, c.ofKind(kind))
		r.Why, r.meant = fmt.Sprintf("no part %q in %s", r.ID.V, strings.Join(c.files, ", "))+hint, meant
	default:
		if to, is := p.(any).(*T); is {
			r.To = to
			return ""
		}
		r.Why = fmt.Sprintf("part %q is %s; %s is needed here", r.ID.V, units.Article(p.base().Kind.V), units.Article(kind))
	}
	return r.Why
}

// ofKind lists the part numbers of one kind.
func (c *Catalogue) ofKind(kind string) []string { return c.byKind[kind] }

// Kin lists the numbers of the parts of the same kind as a part, in the order
// of the files; nil where there is no such part.
func (c *Catalogue) Kin(number string) []string {
	p, ok := c.parts[number]
	if !ok {
		return nil
	}
	return c.ofKind(p.base().Kind.V)
}

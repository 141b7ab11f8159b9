// Package editor answers what an editor asks of a kit's text while somebody
// types it: what may be written here, what this is, where it is written, where
// else it is named, and what it is called from now on. It knows no protocol:
// places are bytes of a text, from 0, and texts are UTF-8.
//
// What a member refers to, which words it takes and in which units it is
// measured stands in the model (package kit) and in the schemas. What a check
// has computed is handed in, and not computed twice. A text that cannot be
// read just now is looked at by its brackets and indents: what is broken in one
// place keeps nothing from being answered in another.
package editor

import (
	"strings"

	"kitgauge/checker/engine"
	"kitgauge/checker/facts"
	"kitgauge/checker/source"
)

// Files reads a file by its path: what is open in the editor first, then the
// disk.
type Files interface {
	ReadFile(path string) ([]byte, error)
}

// Options is what a View is handed in beside its text. All of it may be left
// out.
type Options struct {
	// Before is the view of the text as it was before the last change: what it
	// has read of other files is not looked through anew where it is the same.
	Before *View
	// Facts is what the last check computed of the kit, of this text or of one
	// before it; Result.Facts of package checker.
	Facts *facts.Kit
	// Margins is how near the rules of some packs, all where none is named, come
	// to their limits at some places of the kit that Facts is of: MarginsAt of
	// package checker. It is asked only for what shows margins.
	Margins func(at func(*source.Node) bool, packs ...string) []engine.Margin
	// Open lists where a rule finds something that nobody has permitted, as the
	// last checks of the kits have it for which the file is. Nil lists nothing.
	Open func(rule string) []string
	// Packs are the rule packs in use: Checker.Config(path).Packs, or
	// Checker.Packs().
	Packs []*engine.Pack
	// Kits are the paths of kits that may use the same parts: those that are
	// open, or all of the tree. References to a part and its renaming go over
	// them.
	Kits []string
	// Tree lists the paths of the catalogues and the rule packs of the tree, to
	// be named in a file. It is asked only where one of them can stand.
	Tree func() []string
}

// Open takes a look at the text of a kit, a catalogue, a file of concessions,
// of settings, a rule pack or its fault cards: its name says which, by the
// endings of package files.
func Open(path string, text []byte, f Files, o Options) *View { return open(path, text, f, o) }

// Place is a piece of a file: the bytes from From up to To.
type Place struct {
	Path     string
	From, To int
}

// Sort is what a completion stands for.
type Sort int

// The sorts of completion.
const (
	Key  Sort = iota // a member that can stand here
	Word             // one of a list of words
	Name             // an id or a number of a thing of the kit
	Part             // a part of the catalogue
	Unit             // a unit behind a number
	Item             // a group or a list with the first of what it holds, or with all that it needs
	File             // a file that can be named
)

// Completion is one thing that can be written at a place.
type Completion struct {
	Sort     Sort
	Label    string // as it is listed
	Detail   string // beside the label, in a few words
	Doc      string // in whole sentences, as Markdown
	Required bool   // of a key: the file is not whole without it
	// From to To of the text is what Insert takes the place of; what is typed
	// already is part of it.
	From, To int
	Insert   string
	// Caret is where in Insert one goes on typing; len(Insert) is behind it.
	Caret int
	// Stops are the places in Insert that are filled in one after the other, where
	// there are several.
	Stops []Stop
	// Gaps are the pieces of Insert that stand for values which nobody stated:
	// where stops cannot be shown they are left out, and asked for.
	Gaps []Stop
}

// Bare is Insert without what stands for values.
func (c *Completion) Bare() string {
	var b strings.Builder
	done := 0
	for _, gap := range c.Gaps {
		b.WriteString(c.Insert[done:gap.From])
		done = gap.To
	}
	return b.String() + c.Insert[done:]
}

// Stop is a place in a text that is written for somebody to fill in, with what
// stands there until then.
type Stop struct{ From, To int }

// shift moves what is said of Insert by what is put before it.
func (c *Completion) shift(by int) {
	c.Caret += by
	for _, list := range [][]Stop{c.Stops, c.Gaps} {
		for i := range list {
			list[i].From += by
			list[i].To += by
		}
	}
}

// Hover is what is said of a place.
type Hover struct {
	Place
	Text string // Markdown
}

// Change is the piece of a file that another takes the place of.
type Change struct {
	Place
	With string
}

// Symbol is a thing of the file.
type Symbol struct {
	Name     string // "line 9"
	Detail   string // "Front spring shackle"
	Kind     string // the word for it: "line", "station", "part"; "" for a section
	Whole    Place  // all of it
	Named    Place  // what names it
	Children []Symbol
}

// Link is a place that names a file.
type Link struct {
	Place
	To string // the path of the file
}

// Fold is a piece of the text that can be put away: from the end of its first
// line to the end of its last.
type Fold struct {
	Place
	Remark bool // it is a run of remarks
}

// Figure is what a check has computed of what stands at a place: it is shown
// behind byte At.
type Figure struct {
	At   int
	Text string // "slack 54.9 of 50 mm"
	Doc  string // in whole sentences, as Markdown
}

// Completions lists what can be written at a byte, what is missing first.
func (v *View) Completions(at int) []Completion { return v.completions(at) }

// Hover says what stands at a byte; false where there is nothing to say.
func (v *View) Hover(at int) (Hover, bool) { return v.hover(at) }

// Definition lists where that is written which a byte names.
func (v *View) Definition(at int) []Place { return v.definition(at) }

// References lists where that is named which stands at a byte, where it is
// written among them, in the order of files and bytes.
func (v *View) References(at int) []Place { return v.references(at) }

// RenameRange is the piece of the text that a new name would take the place
// of, and the name that stands there; the error says why nothing can be
// renamed at a byte.
func (v *View) RenameRange(at int) (Place, string, error) { return v.renameRange(at) }

// Rename lists the changes that give what stands at a byte another name,
// everywhere; the error says why it cannot have it. All else stays byte for
// byte.
func (v *View) Rename(at int, name string) ([]Change, error) { return v.rename(at, name) }

// Symbols lists the things of the file by number and name, in the order of the
// file.
func (v *View) Symbols() []Symbol { return v.symbols() }

// Links lists the files that the text names.
func (v *View) Links() []Link { return v.links() }

// Folds lists what can be put away.
func (v *View) Folds() []Fold { return v.folds() }

// Figures lists what a check has computed of what stands between two bytes.
func (v *View) Figures(from, to int) []Figure { return v.figures(from, to) }

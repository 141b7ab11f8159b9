// Package dossier writes what a quality reviewer signs with in hand: one HTML
// file that holds the verdict, the findings with their working, how near each
// rule is to its limit, the drawings, the sheets, the procedure, and the
// digests of everything that went in.
//
// The file needs nothing else: no script, no font, no picture, no network. It
// follows the light or dark setting of whoever reads it, is printed black on
// white on A4 and Letter, and holds no time: the same input gives the same
// bytes. Its Content-Security-Policy lets its own style sheet through and
// nothing else, so that even a text that slipped through every escape could do
// nothing.
package dossier

import (
	"bytes"
	_ "embed"
	"errors"
	"fmt"
	"html/template"
	"io"
	"strings"
	"sync"

	"kitgauge/checker"
	"kitgauge/checker/compare"
	"kitgauge/checker/facts"
	"kitgauge/checker/report"
	"kitgauge/checker/report/webpage"
	"kitgauge/checker/visible"
)

// Input is what a dossier is made from.
type Input struct {
	// Run is the check of one kit, with its margins and figures.
	Run report.Run
	// Facts is the kit with everything computed; nil where it could not be
	// read. Then the drawings and sheets are left out, and said to be.
	Facts *facts.Kit
	// Files are the texts that went into the check.
	Files []checker.Input
	// Changes are what the settings change, and LeftOut the built-in rule
	// packs that were not used.
	Changes []checker.Change
	LeftOut []string
	// Against is the comparison with an older revision; nil where none is
	// wanted.
	Against *compare.Comparison
	// Release is the release record beside the kit; nil where there is none.
	Release *Release
	// Full adds what a reviewer seldom turns over: every margin, every span
	// drawn, every computed quantity and every digest.
	Full bool
}

//go:embed style.css
var screenStyle string

//go:embed print.css
var printStyle string

//go:embed page.tmpl
var pageText string

// pageTemplate is parsed when the first dossier is written: most runs of the
// program write none.
var pageTemplate = sync.OnceValue(func() *template.Template { return template.Must(template.New("page").Parse(pageText)) })

// Write writes the dossier. The same input gives the same bytes.
func Write(w io.Writer, in Input) error {
	if len(in.Run.Kits) != 1 {
		return errors.New("a dossier is about one kit")
	}
	p, err := newPage(&in)
	if err != nil {
		return err
	}
	visible.All(p)
	p.shorten()
	var b bytes.Buffer
	if err := pageTemplate().Execute(&b, p); err != nil {
		return fmt.Errorf("writing the dossier: %w", err)
	}
	_, err = w.Write(append(bytes.TrimSpace(b.Bytes()), '\n'))
	return err
}

// page is the model of the whole file.
type page struct {
	Name     string // "WS-0207 revision C"
	Title    string
	Block    []named
	Sections []section
	Policy   string
	Style    template.CSS
}

// named is a text with its name.
type named struct{ Name, Text string }

// section is one part of the dossier, with the template and the model of its
// body.
type section struct {
	ID, Title, Note string
	Number          int
	Landscape       bool   // printed across
	Drawn           bool   // a sheet of drawing: printed as large as the paper lets it
	With            string // the section on whose pages it is printed; "" for pages of its own
	template        string
	Model           any
}

func newPage(in *Input) (*page, error) {
	k := &in.Run.Kits[0]
	p := &page{Name: title(k.Number, k.Revision), Title: k.Title, Block: block(in)}
	drawn := &drawings{}
	if in.Facts != nil {
		drawn = draw(in)
	}
	entries := newEntries(in, drawn)
	p.add(section{ID: "verdict", Title: "Verdict", template: "verdict", Model: newVerdict(in, entries)})
	p.add(section{ID: "findings", Title: "Findings", Note: entries.note(), template: "findings", Model: entries.open()})
	p.add(section{ID: "concessions", Title: "Concessions and known findings", Note: entries.settledNote(), With: "findings", template: "concessions", Model: entries.settled(in)})
	p.changed(in)
	p.drawn(in, drawn)
	p.add(section{ID: "procedure", Title: "Procedure", template: "procedure", Model: newProcedure(in.Facts)})
	p.add(section{ID: "inputs", Title: "What went in", With: "procedure", template: "inputs", Model: newInputs(in)})
	p.Sections[0].Model.(*verdict).InputsNumber = len(p.Sections)
	if in.Full {
		p.appendix(in, drawn)
	}
	p.style(drawn.style)
	return p, nil
}

// changed adds what differs from an older revision, or from the release.
func (p *page) changed(in *Input) {
	var m *changes
	switch {
	case in.Against != nil:
		m = newChanges(in.Against)
	case in.Release != nil && in.Release.Fault == "":
		m = releaseChanges(in.Release)
	default:
		return
	}
	p.add(section{ID: "changes", Title: m.title, Note: m.note, With: "findings", template: "changes", Model: m})
}

// drawn adds the drawings and the sheets.
func (p *page) drawn(in *Input, d *drawings) {
	if in.Facts == nil {
		return
	}
	for _, sheet := range d.sheets {
		p.add(section{ID: sheet.ID, Title: sheet.Title, Landscape: !sheet.Upright, Drawn: true, template: "sheet", Model: sheet})
	}
	if len(d.found) > 0 {
		p.add(section{ID: "span-drawings", Title: "Free spans with findings", Note: fmt.Sprint(len(d.found)), template: "span-drawings", Model: &spansPage{List: d.found}})
	}
	const first = "spans" // the sheets follow on the same pages
	if d.all > 0 {
		p.add(section{ID: first, Title: "Free spans", Note: d.note(), template: "tables", Model: newSpans(in, d)})
	}
	for _, s := range newSheets(in.Facts) {
		if d.all > 0 {
			s.With = first
		}
		p.add(s)
	}
}

// appendix adds what is left out of a dossier unless it is asked for.
func (p *page) appendix(in *Input, d *drawings) {
	k := &in.Run.Kits[0]
	p.add(section{ID: "margins", Title: "Margins", template: "margins", Model: newMargins(in)})
	if rest := d.rest(); len(rest.List) > 0 {
		p.add(section{ID: "more-spans", Title: "Free spans without findings", Note: fmt.Sprint(len(rest.List)), template: "span-drawings", Model: rest})
	}
	p.add(section{ID: "quantities", Title: "Computed quantities", Landscape: true, template: "tables", Model: newFigures(k.Figures)})
}

// shorten keeps short columns of every table on one line.
func (p *page) shorten() {
	for i := range p.Sections {
		if m, is := p.Sections[i].Model.(interface{ tablesOf() []table }); is {
			for _, t := range m.tablesOf() {
				t.shorten()
			}
		}
	}
}

func (p *page) add(s section) {
	s.Number = len(p.Sections) + 1
	p.Sections = append(p.Sections, s)
}

// Body writes the body of a section.
func (p *page) Body(id string) (template.HTML, error) {
	for i := range p.Sections {
		if s := &p.Sections[i]; s.ID == id {
			var b strings.Builder
			err := pageTemplate().ExecuteTemplate(&b, s.template, s.Model)
			return template.HTML(b.String()), err // the template has escaped it
		}
	}
	return "", fmt.Errorf("there is no section %q", id)
}

// style puts the style sheet together, and the policy that lets it through.
func (p *page) style(drawings string) {
	text := screenStyle + drawings + printStyle + p.pages()
	p.Style = template.CSS(text) // it is ours, but for strings that CSSString made harmless
	p.Policy = webpage.Policy(text)
}

// pages are the rules for the printed pages: each section begins a new one,
// and its title stands at the head of all of them.
func (p *page) pages() string {
	var b strings.Builder
	const font = "font:7.5pt 'Liberation Sans',Arial,sans-serif"
	fmt.Fprintf(&b, "@page{margin:17mm 15mm 16mm;@bottom-left{content:%s;%s}@bottom-right{content:\"page \" counter(page) \" of \" counter(pages);%s}}\n",
		webpage.CSSString(p.Name+": dossier, "+p.unsigned()+"written by kitgauge, which assists and does not approve"), font, font)
	var with strings.Builder
	heads, order := map[string]string{}, []*section{}
	for i := range p.Sections {
		s := &p.Sections[i]
		name := s.With
		if name == "" {
			name = s.ID
			order = append(order, s)
		} else {
			heads[name] += ", "
		}
		heads[name] += fmt.Sprintf("%d %s", s.Number, s.Title)
		fmt.Fprintf(&with, "#%s{page:%s}", s.ID, name)
	}
	for _, s := range order {
		across := ""
		switch {
		case s.Drawn:
			across = "margin:12mm 9mm 11mm;"
			if s.Landscape {
				across = "size:landscape;" + across
			}
		case s.Landscape:
			across = "size:landscape;margin:14mm 11mm 13mm;"
		}
		fmt.Fprintf(&b, "@page %s{%s@top-left{content:%s;%s}}\n", s.ID, across, webpage.CSSString(heads[s.ID]), font)
	}
	fmt.Fprintf(&b, "@media print{body{page:%s}%s}\n", p.Sections[0].ID, with.String())
	return b.String()
}

// unsigned is what the foot of every page says of a kit that is not to be
// signed.
func (p *page) unsigned() string {
	if v, is := p.Sections[0].Model.(*verdict); is && len(v.Unsigned) > 0 {
		if v.Class == "outside" {
			return "outside the gate, not to be signed, "
		}
		return "not to be signed, "
	}
	return ""
}

// title names a revision of a kit.
func title(number, revision string) string {
	switch {
	case number == "" && revision == "":
		return "a kit without a number"
	case revision == "":
		return number
	}
	return strings.TrimSpace(number + " revision " + revision)
}

// block is the title block, with the fields of ISO 7200.
func block(in *Input) []named {
	k := &in.Run.Kits[0]
	list := []named{{"Status", k.Status}}
	if in.Facts != nil {
		h := &in.Facts.Header
		list = append(list, named{"Legal owner", h.Owner.V}, named{"Drawn by", h.DrawnBy.V}, named{"Checked by", h.CheckedBy.V}, named{"Date", h.Date.V})
		for _, note := range []named{{"Note", h.Note.V}, {"Note on the feed", in.Facts.Feed.Note.V}} {
			if note.Text != "" {
				list = append(list, note)
			}
		}
	}
	list = append(list, named{"File", k.Label()}, named{"Checked with", "kitgauge " + in.Run.Version})
	for i := range list {
		if list[i].Text == "" {
			list[i].Text = "not stated"
		}
	}
	return list
}

// Package booklet writes what the person who fits a kit works from: one HTML
// file with the cautions, what to have at hand, every step with its lines and
// with pictures of where, and boxes to tick and to sign. It is read on a phone
// under the vehicle and printed on A4 and Letter. It names no rule: what is
// wrong with a kit is for the dossier, and a kit outside the gate is not to be
// fitted, as its first page says.
//
// The words stand in one table, a column a language; texts of the kit are not
// translated. The file needs nothing else, and holds no time: the same input
// gives the same bytes.
package booklet

import (
	"bytes"
	_ "embed"
	"errors"
	"fmt"
	"html/template"
	"io"
	"strings"

	"kitgauge/checker/facts"
	"kitgauge/checker/finding"
	"kitgauge/checker/report"
	"kitgauge/checker/report/webpage"
	"kitgauge/checker/visible"
)

// Input is what a booklet is made from.
type Input struct {
	// Run is the check of one kit.
	Run report.Run
	// Facts is the kit with everything computed.
	Facts *facts.Kit
	// Language has the words; nil is the program's own English.
	Language *Language
}

//go:embed style.css
var style string

//go:embed page.tmpl
var pageText string

// Write writes the booklet. The same input gives the same bytes.
func Write(w io.Writer, in Input) error {
	if len(in.Run.Kits) != 1 || in.Facts == nil {
		return errors.New("a booklet is about one kit that can be read")
	}
	if in.Language == nil {
		in.Language, _ = own().Language("en")
	}
	m := &maker{kit: in.Facts, words: in.Language}
	p := m.page(&in)
	if m.err != nil {
		return m.err
	}
	visible.All(p)
	pages, err := template.New("page").Funcs(template.FuncMap{"t": in.Language.word, "n": in.Language.number}).Parse(pageText)
	if err != nil {
		return fmt.Errorf("the page of the booklet: %w", err)
	}
	var b bytes.Buffer
	if err := pages.Execute(&b, p); err != nil {
		return fmt.Errorf("writing the booklet: %w", err)
	}
	_, err = w.Write(append(bytes.TrimSpace(b.Bytes()), '\n'))
	return err
}

// maker turns a kit into the model of its booklet, in the words of a language.
type maker struct {
	kit      *facts.Kit
	words    *Language
	pictures int
	err      error // the first word that the table lacks
}

// t is a word with its blanks filled in.
func (m *maker) t(key string, fill ...string) string {
	text, err := m.words.word(key, fill...)
	if err != nil && m.err == nil {
		m.err = err
	}
	return text
}

// page is the model of the whole file.
type page struct {
	Lang     string
	Name     string // "WS-0207 Revision C"
	Title    string
	Vehicle  string
	Datum    string
	Refused  []string // why the kit is not to be fitted; none where it may be
	Passed   string
	Note     string  // of the header
	Known    []named // findings that do not count, and are open
	Weakened string  // what the settings take from the rules
	Block    []named
	Notice   string // the kit's own
	Tools    []string
	Parts    []part
	Overview template.HTML
	Missed   string // names without room in the picture
	Steps    []*step
	Rest     *layWork // lines that no step lays
	Policy   string
	Style    template.CSS
}

// named is a text with its name.
type named struct{ Name, Text string }

func (m *maker) page(in *Input) *page {
	k, h := &in.Run.Kits[0], &in.Facts.Header
	p := &page{Lang: m.words.Code, Title: h.Title.V, Vehicle: in.Facts.Vehicle.Description.V, Datum: in.Facts.Vehicle.Datum.V, Note: h.Note.V, Notice: in.Facts.Documents.SafetyNotice.V}
	p.Name = h.Number.V
	if h.Revision.V != "" {
		p.Name += " " + m.t("revision", "revision", h.Revision.V)
	}
	p.Refused, p.Known = m.refused(in.Run.Refusals(k)), m.known(k)
	if w := k.Weakened; w != nil {
		p.Weakened = m.t("weakened", "what", w.Where())
	}
	if len(p.Refused) == 0 {
		p.Passed = m.t("passed", "version", in.Run.Version)
	}
	for _, b := range []struct{ word, text string }{
		{"status", h.Status.V}, {"owner", h.Owner.V}, {"drawn_by", h.DrawnBy.V}, {"checked_by", h.CheckedBy.V}, {"date", h.Date.V},
	} {
		if b.text == "" {
			b.text = m.t("not_stated")
		}
		p.Block = append(p.Block, named{m.t(b.word), b.text})
	}
	p.Tools, p.Parts = m.tools(), m.parts()
	p.Overview, p.Missed = m.overview()
	p.Steps, p.Rest = m.steps()
	m.style(p)
	return p
}

// refused says why a kit is not to be fitted.
func (m *maker) refused(list []report.Refusal) []string {
	var says []string
	for _, why := range list {
		c := why.Counts
		fill := map[report.RefusalKind][]string{
			report.Outside:     {"critical", itoa(c.Critical), "major", itoa(c.Major), "unknown", itoa(c.NotEvaluated)},
			report.LeftOut:     {"packs", strings.Join(why.Names, ", ")},
			report.Unexplained: {"packs", strings.Join(why.Names, ", ")},
			report.LowerGate:   {"gate", why.Gate.String()},
		}[why.Kind]
		says = append(says, m.t("why_"+string(why.Kind), fill...))
	}
	return says
}

// known lists the known findings, which the gate lets through.
func (m *maker) known(k *report.Kit) []named {
	var list []named
	for _, f := range report.BySeverity(k.Findings, finding.Known) {
		list = append(list, named{f.Place, f.Message})
	}
	return list
}

// style puts the style sheet together, with what stands at the foot of the
// printed pages, and the policy that lets it through.
func (m *maker) style(p *page) {
	const font = "font:8pt 'Liberation Sans',Arial,sans-serif"
	footer := m.t("footer")
	if len(p.Refused) > 0 {
		footer = m.t("not_to_be_fitted") + ", " + footer
	}
	foot := fmt.Sprintf("@page{margin:14mm 15mm 15mm;@bottom-left{content:%s;%s}@bottom-right{content:%s counter(page) %s counter(pages);%s}}\n",
		webpage.CSSString(p.Name+": "+m.t("booklet")+", "+footer), font, webpage.CSSString(m.t("page")+" "), webpage.CSSString(" "+m.t("of_pages")+" "), font)
	p.Style = template.CSS(style + foot) // it is ours, but for strings that CSSString made harmless
	p.Policy = webpage.Policy(style + foot)
}

package checker

import (
	"fmt"
	"slices"
	"strings"
	"sync"

	"kitgauge/checker/edit"
	"kitgauge/checker/finding"
	"kitgauge/checker/report"
	"kitgauge/checker/slip"
	"kitgauge/checker/source"
)

// at finds the value that stands at a place of the kit, of one of its catalogues
// or of the concessions beside it; nil where none is known.
func (c *Checker) at(r *Result, pos source.Pos, pointer string) *source.Node {
	doc := c.edited(r, pos)
	if doc == nil || doc.Root == nil {
		return nil
	}
	n := doc.Root.Lookup(pointer)
	if n == nil || n.Pos() != pos && n.KeyPos() != pos {
		return nil // what is found is told at another place
	}
	return n
}

// end is the place behind what stands at a place: a value or, where that is the
// place of a key, the key. It is no place where it cannot be told.
func (c *Checker) end(r *Result, pos source.Pos, pointer string) source.Pos {
	n := c.at(r, pos, pointer)
	switch {
	case n == nil:
		return source.Pos{}
	case n.Pos() == pos:
		return n.End()
	}
	from, to, ok := n.KeySpan()
	if !ok {
		return source.Pos{}
	}
	pos.Column += len([]rune(string(n.Document().Text[from:to])))
	return pos
}

// correction is what the edits of a finding come to in the file in which they
// are made; nil where it has none.
func (c *Checker) correction(r *Result, f *finding.Finding) *report.Correction {
	if f.Status != finding.Violated || len(f.Edits) == 0 {
		return nil
	}
	doc := c.edited(r, f.Pos)
	if doc == nil || doc.Root == nil {
		return nil
	}
	original := r.original(doc)
	out := &report.Correction{Kind: report.Safe, Title: title(f, doc.Root), File: f.Pos.File, Changes: f.Edits}
	if f.Choice {
		out.Kind = report.Decision
	}
	if !original.Plain(f.Edits) && r.crowded() {
		out.Doubt = "there are too many edits to work out where each is made: run kitgauge fix"
		return out
	}
	pieces, err := original.Splices(f.Edits...)
	if err != nil {
		out.Doubt = "it cannot be made: " + err.Error()
		return out
	}
	for _, s := range pieces {
		out.Pieces = append(out.Pieces, report.Piece{Splice: s, Start: doc.PosOf(s.From), End: doc.PosOf(s.To)})
	}
	out.Doubt = r.doubt(f)
	return out
}

// edited is the document in which the edits of a finding are made: that of the
// kit, of a catalogue, or of the concessions beside it.
func (c *Checker) edited(r *Result, pos source.Pos) *source.Document {
	if doc := c.text(r, pos); doc != nil {
		return doc
	}
	for _, in := range r.Inputs {
		if in.Role == RoleConcessions && in.Name == c.options.beneath(pos.File) {
			if docs, _ := source.Parse(pos.File, in.Text); len(docs) > 0 {
				return docs[0]
			}
		}
	}
	return nil
}

// drafts keep what is worked out once for the edits of a kit.
type drafts struct {
	mu        sync.Mutex
	originals map[string]*edit.Original // by file
	counted   bool
	many      bool // edits for which the text would be read again
}

func (r *Result) original(doc *source.Document) *edit.Original {
	r.drafts.mu.Lock()
	defer r.drafts.mu.Unlock()
	o := r.drafts.originals[doc.File]
	if o == nil {
		o = edit.Of(doc)
		if r.drafts.originals == nil {
			r.drafts.originals = map[string]*edit.Original{}
		}
		r.drafts.originals[doc.File] = o
	}
	return o
}

// mostReread is how many bytes are read again to work out, for one kit, what
// the edits that add and take out make of the text.
const mostReread = 8 << 20

// crowded reports whether the edits of a kit would take more.
func (r *Result) crowded() bool {
	kit := r.original(r.Text)
	r.drafts.mu.Lock()
	defer r.drafts.mu.Unlock()
	bytes := 0
	for i := 0; i < len(r.Findings) && !r.drafts.counted; i++ {
		if f := &r.Findings[i]; f.Status == finding.Violated && len(f.Edits) > 0 && !kit.Plain(f.Edits) {
			bytes += (1 + len(f.Edits)) * len(r.Text.Text)
			r.drafts.many = r.drafts.many || bytes > mostReread
		}
	}
	r.drafts.counted = true
	return r.drafts.many
}

// doubt is why fix does not make the edits of a finding unasked, or would not
// if they followed from the rest of the file; "" where nothing speaks against
// them.
func (r *Result) doubt(f *finding.Finding) string {
	switch {
	case f.Pos.File != r.File:
		return "it stands in another file than the kit: look who else uses that"
	case f.Follows != "":
		for i := range r.Findings {
			if cause := &r.Findings[i]; cause.Fingerprint == f.Follows {
				return fmt.Sprintf("it follows from another finding, which comes first: %s, %s", cause.Rule, cause.Place)
			}
		}
	case len(r.Findings) > mostWeighed:
		return fmt.Sprintf("more than %d findings stand, and which of them come first is not looked for", mostWeighed)
	}
	if rule := r.disputed(f); rule != "" {
		return restsOn + rule
	}
	if r.Slips != nil && !written(f) && explained(r, f, r.Slips.Best) {
		return slipFirst + ": " + says(r.Slips)
	}
	return ""
}

func says(s *slip.Report) string { return strings.Join(s.Says(), "; ") }

// title says in words what is done: as the remedy does, where its first clause
// is more than a word before a value and names all that is written, else from
// the edits.
func title(f *finding.Finding, root *source.Node) string {
	clause := f.Remedy
	for _, end := range []string{"; ", ", ", ": "} {
		clause, _, _ = strings.Cut(clause, end)
	}
	if !strings.HasPrefix(f.Rule, "file/") && strings.Count(clause, " ") > 1 && tells(clause, f.Edits) {
		return clause
	}
	var parts []string
	for _, c := range f.Edits[:min(len(f.Edits), mostTold)] {
		parts = append(parts, inWords(c, root))
	}
	if more := len(f.Edits) - mostTold; more > 0 {
		parts = append(parts, fmt.Sprintf("and %d more", more))
	}
	return strings.Join(parts, ", ")
}

// mostTold is how many changes a title tells.
const mostTold = 2

// tells reports whether a clause names all that changes write.
func tells(clause string, changes []edit.Change) bool {
	return !strings.Contains(clause, " or ") && !strings.Contains(clause, " and ") && !slices.ContainsFunc(changes, func(c edit.Change) bool {
		word := c.Key
		if v := valueOf(c); v != nil && v.Kind < source.List {
			word = v.Scalar
		}
		return word == "" || !strings.Contains(clause, word)
	})
}

// valueOf is what a change writes; nil where it writes no value.
func valueOf(c edit.Change) *source.Node {
	docs, _ := source.Parse("", []byte(c.Value))
	if len(docs) == 0 {
		return nil
	}
	return docs[0].Root
}

// inWords is a change in words: "set cut length to 2792 mm".
func inWords(c edit.Change, root *source.Node) string {
	keys := source.Keys(c.At)
	key := spoken(keys[len(keys)-1])
	switch c.Do {
	case edit.Rename:
		return fmt.Sprintf("write %s in the place of %s", c.Key, keys[len(keys)-1])
	case edit.Remove:
		n := root.Lookup(c.At)
		if n != nil && n.Parent().Kind == source.List {
			key = inside(n)
		}
		return "take out " + key
	case edit.Insert:
		return fmt.Sprintf("add to the %s: %s", spoken(keys[len(keys)-2]), inside(valueOf(c)))
	}
	return fmt.Sprintf("set %s to %s", key, inside(valueOf(c)))
}

func spoken(key string) string { return strings.ReplaceAll(key, "_", " ") }

// inside is a value as a person writes it: without brackets and quotes.
func inside(n *source.Node) string {
	if n == nil {
		return "nothing"
	}
	if n.Kind < source.List {
		return n.Scalar
	}
	var parts []string
	for i, item := range n.Items {
		part := inside(item)
		if n.Kind == source.Map {
			part = spoken(n.Members[i].Key) + " " + part
		}
		parts = append(parts, part)
	}
	return strings.Join(parts, ", ")
}

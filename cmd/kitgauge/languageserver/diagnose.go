package languageserver

import (
	"bytes"
	"cmp"
	"fmt"
	"maps"
	"regexp"
	"slices"
	"strings"

	"kitgauge/checker"
	"kitgauge/checker/files"
	"kitgauge/checker/finding"
	"kitgauge/checker/report"
	"kitgauge/checker/slip"
	"kitgauge/checker/source"
)

// diagnosis turns a judgement into what an editor shows, file by file.
type diagnosis struct {
	*judgement
	related bool // the editor shows places that belong to a finding
	list    map[string][]shown
}

// shown is a diagnostic with the finding or the slip that it shows, nil for what
// is neither, and the judgement that it stands in.
type shown struct {
	diagnostic
	finding *finding.Finding
	slip    *slip.Explanation
	result  *checker.Result
	of      *judgement
}

// diagnose lists what was found, by path: the likely slip first, then causes,
// then the rest in the order of the file.
func (s *server) diagnose(j *judgement) map[string][]shown {
	s.mu.Lock()
	d := &diagnosis{judgement: j, related: s.client.Capabilities.TextDocument.PublishDiagnostics.RelatedInformation}
	s.mu.Unlock()
	d.list = map[string][]shown{j.place.path(j.place.name): {}}
	for _, p := range j.faults {
		d.fault(p)
	}
	for _, r := range j.results {
		d.result(r)
	}
	return d.list
}

func (d *diagnosis) add(file string, one shown) {
	path := d.place.path(file)
	d.list[path] = append(d.list[path], one)
}

// fault tells a fault for which nothing else could be looked at.
func (d *diagnosis) fault(p *source.Problem) {
	file := cmp.Or(p.Pos.File, d.place.name)
	one := diagnostic{Severity: severityError, Code: codeOf(file), Source: program, Message: report.Visible(p.Message)}
	if p.Remedy != "" {
		one.Message += "\nremedy: " + report.Visible(p.Remedy)
	}
	t := d.textOf(file)
	if t == nil && p.Node != nil {
		t = newText(p.Node.Document().Text, d.text.encoding)
	}
	one.Range = rangeOf(t, p.Pos, endOf(p))
	d.add(file, shown{diagnostic: one})
	if d.checker != nil && d.place.path(file) != d.place.path(d.place.name) {
		one.Range, one.Message = span{}, fmt.Sprintf("this kit cannot be checked: %s: %s", p.Pos, one.Message)
		d.add(d.place.name, shown{diagnostic: one})
	}
}

// codeOf is the rule that a file breaks which kits read: that of the check of a
// kit where it has one.
func codeOf(file string) string {
	switch {
	case files.IsCatalogueName(file):
		return "file/catalogue"
	case strings.HasSuffix(file, files.ConcessionsEnding):
		return "file/concessions"
	}
	return "file/unread"
}

// endOf is the place behind what a problem is about; no place where it cannot be
// told.
func endOf(p *source.Problem) source.Pos {
	n := p.Node
	switch {
	case n == nil:
	case n.Pos() == p.Pos:
		return n.End()
	case n.KeyPos() == p.Pos:
		if from, to, ok := n.KeySpan(); ok {
			end := p.Pos
			end.Column += len([]rune(string(n.Document().Text[from:to])))
			return end
		}
	}
	return source.Pos{}
}

// rangeOf is the range of a text from a place to another in the same line; to
// the end of the line where that is farther, and of a word where it is not
// known.
func rangeOf(t *text, from, to source.Pos) span {
	if t == nil { // of a file that cannot be read
		at := position{max(from.Line-1, 0), max(from.Column-1, 0)}
		return span{at, at}
	}
	line := max(from.Line, 1)
	start := t.column(line, from.Column)
	rest := t.line(start.Line)[t.inWhole(start)-t.lines[start.Line]:]
	end := start
	switch {
	case to.Line == from.Line && to.Line > 0:
		end = t.column(line, to.Column)
	case to.Line > from.Line:
		end.Character += t.encoding.width(string(bytes.TrimRight(withoutRemark(rest), " \t")))
	default:
		end.Character += t.encoding.width(string(word.Find(rest)))
	}
	return span{start, end}
}

// word is what is marked where it is not known how far a fault goes.
var word = regexp.MustCompile(`^(?:[\pL\pN_/.-]+|\S)`)

func withoutRemark(line []byte) []byte {
	if i := bytes.Index(line, []byte(" #")); i >= 0 {
		return line[:i]
	}
	return line
}

const lookFirst = "look at the vehicle before anything is changed"

// result tells what was found in a kit.
func (d *diagnosis) result(r *checker.Result) {
	for i, says := range r.Slips.Says() {
		best := &r.Slips.Best[i]
		at := best.Edits[0]
		d.add(cmp.Or(at.Pos.File, r.File), shown{diagnostic: diagnostic{
			Range: d.span(r, at.Pos, at.Pointer), Severity: severityWarning, Code: "slip", Source: program,
			Message: report.Visible(says) + "\n" + lookFirst,
		}, slip: best, result: r, of: d.judgement})
	}
	byPrint := map[string]*finding.Finding{}
	for i := range r.Findings {
		byPrint[r.Findings[i].Fingerprint] = &r.Findings[i]
	}
	for _, first := range []bool{true, false} {
		for i := range r.Findings {
			if f := &r.Findings[i]; first == (f.Cause && f.Follows == "") {
				d.finding(r, f, byPrint[f.Follows])
			}
		}
	}
}

// program is the source of all that is told.
const program = "kitgauge"

// severityOf is how an editor marks a finding: critical findings as errors,
// major ones as warnings, minor ones as information. What could not be judged or
// is permitted is a hint.
func severityOf(f *finding.Finding) int {
	switch {
	case f.Status != finding.Violated:
		return severityHint
	case f.Severity == finding.Critical:
		return severityError
	case f.Severity == finding.Major:
		return severityWarning
	}
	return severityInformation
}

// finding tells a finding, which may follow from another.
func (d *diagnosis) finding(r *checker.Result, f, cause *finding.Finding) {
	pos := r.At(f)
	one := diagnostic{
		Range: d.span(r, pos, f.Pointer), Severity: severityOf(f), Code: f.Rule, Source: program,
		Message: messageOf(f), CodeDescription: address(f.Basis),
	}
	more := slices.Clone(f.Related)
	if cause != nil {
		more = append(more, finding.Place{Pos: r.At(cause), Pointer: cause.Pointer, Says: "it follows from " + cause.Rule + ": " + cause.Message})
	}
	if f.Concession != nil && f.Concession.Pos.Line > 0 {
		more = append(more, finding.Place{Pos: f.Concession.Pos, Says: "this concession permits it"})
	}
	for _, p := range more {
		p.Says = report.Visible(p.Says)
		if !d.related {
			one.Message += fmt.Sprintf("\nsee %s: %s", p.Pos, p.Says)
			continue
		}
		path := d.place.path(cmp.Or(p.Pos.File, r.File))
		one.Related = append(one.Related, related{location{uriOf(path), d.span(r, p.Pos, p.Pointer)}, p.Says})
	}
	d.add(pos.File, shown{one, f, nil, r, d.judgement})
}

// span is the range of the value at a place.
func (d *diagnosis) span(r *checker.Result, pos source.Pos, pointer string) span {
	file := cmp.Or(pos.File, r.File)
	return rangeOf(d.textOf(file), pos, r.EndOf(pos, pointer))
}

// messageOf says what is wrong, by how much, what would be right and on what
// that rests.
func messageOf(f *finding.Finding) string {
	lines := []string{f.Place + ": " + f.Message}
	if f.Place == "the file" || f.Place == "" {
		lines[0] = f.Message
	}
	switch f.Status {
	case finding.Known:
		lines[0] = "known: " + lines[0]
	case finding.Conceded:
		lines[0] = "conceded: " + lines[0]
		if c := f.Concession; c != nil {
			lines = append(lines, fmt.Sprintf("granted by %s until %s: %s", c.GrantedBy, c.Until, c.Reason))
		}
	}
	if f.Value != nil && f.Limit != nil && f.Margin != nil {
		lines = append(lines, fmt.Sprintf("value %s, limit %s, margin %s", f.Value.Text, f.Limit.Text, f.Margin.Text))
	}
	if f.Remedy != "" {
		lines = append(lines, "remedy: "+f.Remedy)
	}
	if f.Basis != "" {
		lines = append(lines, "basis: "+f.Basis)
	}
	for i, line := range lines { // what stands in a file breaks no line
		lines[i] = report.Visible(line)
	}
	return strings.Join(lines, "\n")
}

var webAddress = regexp.MustCompile(`https?://[^\s()<>"']+[^\s()<>"'.,;:]`)

// address is where the basis of a rule can be read; nil where it names none.
func address(basis string) *codeDescription {
	if href := webAddress.FindString(basis); href != "" {
		return &codeDescription{href}
	}
	return nil
}

// tell gives the editor what was found of a document, and takes back what was
// told of it before; of one that was closed there is nothing.
func (s *server) tell(d *document, j *judgement) {
	list := map[string][]shown{}
	if j != nil {
		list = s.diagnose(j)
	}
	s.telling.Lock()
	defer s.telling.Unlock()
	s.mu.Lock()
	if j != nil && (s.documents[d.path] != d || d.text != j.text) {
		s.mu.Unlock()
		return // it was closed meanwhile, or typed in and is judged again
	}
	touched := map[string]bool{}
	for path := range s.given {
		if _, was := s.given[path][d.path]; was {
			touched[path] = true
			delete(s.given[path], d.path)
		}
	}
	for path, more := range list {
		touched[path] = true
		if s.given[path] == nil {
			s.given[path] = map[string][]shown{}
		}
		s.given[path][d.path] = more
	}
	var publish []publishParams
	for _, path := range slices.Sorted(maps.Keys(touched)) {
		publish = append(publish, s.told(path))
	}
	s.mu.Unlock()
	for _, p := range publish {
		s.notify("textDocument/publishDiagnostics", p)
	}
}

// told is all that is told of a file, what several kits find once. The lock is
// held.
func (s *server) told(path string) publishParams {
	p := publishParams{URI: uriOf(path)}
	if d := s.documents[path]; d != nil {
		p.URI = d.uri
		if version := d.version; !d.due {
			p.Version = &version // of another the version is not certain
		}
	}
	list := []diagnostic{}
	for _, one := range s.shownAt(path) {
		list = append(list, one.diagnostic)
	}
	p.Diagnostics = gravest(list)
	return p
}

// shownAt is what is shown in a file, once where several kits find it: what is
// wrong with a file by itself stands behind what kits find there. The lock is
// held.
func (s *server) shownAt(path string) []shown {
	type key struct {
		code, message string
		at            span
	}
	var list []shown
	seen := map[key]bool{}
	own := s.given[path][path]
	for _, by := range slices.Sorted(maps.Keys(s.given[path])) {
		if by == path {
			continue
		}
		for _, one := range s.given[path][by] {
			first, _, _ := strings.Cut(one.Message, "\n")
			if k := (key{one.Code, first, one.Range}); !seen[k] {
				seen[k], seen[key{one.Code, "", one.Range}] = true, true
				list = append(list, one)
			}
		}
	}
	own = slices.DeleteFunc(slices.Clone(own), func(one shown) bool { return one.finding == nil && seen[key{one.Code, "", one.Range}] })
	return append(own, list...)
}

// gravest keeps as many as an editor is given, the gravest, in their order.
func gravest(list []diagnostic) []diagnostic {
	if len(list) <= mostTold {
		return list
	}
	order := slices.Clone(list)
	slices.SortStableFunc(order, func(a, b diagnostic) int { return cmp.Compare(a.Severity, b.Severity) })
	worst := order[mostTold-1].Severity
	room := mostTold
	for _, one := range order {
		if one.Severity < worst {
			room--
		}
	}
	kept := list[:0:0]
	for _, one := range list {
		if one.Severity < worst {
			kept = append(kept, one)
		} else if one.Severity == worst && room > 0 {
			kept = append(kept, one)
			room--
		}
	}
	return append(kept, diagnostic{
		Severity: kept[0].Severity, Code: "file/listed", Source: program,
		Message: fmt.Sprintf("%d more are found, none graver than those that are shown: kitgauge check lists them", len(list)-len(kept)),
	})
}

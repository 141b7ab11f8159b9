package languageserver

import (
	"bytes"
	"cmp"
	"fmt"
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
	list    map[string]share
	uri     func(path string) string
}

// shown is a diagnostic with the finding or the slip that it shows, nil for what
// is neither, and the judgement that it stands in.
type shown struct {
	diagnostic
	finding *finding.Finding
	slip    *slip.Explanation
	result  *checker.Result
	of      *judgement
	file    string // in which it is shown, by the name that the check has for it
}

// diagnose lists what was found, by path: the likely slip first, then causes,
// then the rest in the order of the file.
func (s *server) diagnose(j *judgement) map[string]share {
	s.mu.Lock()
	d := &diagnosis{judgement: j, related: s.client.Capabilities.TextDocument.PublishDiagnostics.RelatedInformation, uri: s.uriFor}
	s.mu.Unlock()
	d.list = map[string]share{j.place.path(j.place.name): {of: j.text, version: j.version}}
	for _, p := range j.faults {
		d.fault(p)
	}
	for _, r := range j.results {
		d.result(r)
	}
	return d.list
}

func (d *diagnosis) add(file string, of *text, one shown) {
	path := d.place.path(file)
	it := d.list[path]
	it.of = cmp.Or(it.of, of)
	one.of, one.file = d.judgement, file
	it.list = append(it.list, one)
	d.list[path] = it
}

// fault tells a fault for which nothing else could be looked at.
func (d *diagnosis) fault(p *source.Problem) {
	file := cmp.Or(p.Pos.File, d.place.name)
	one := diagnostic{Severity: severityOfCode(codeOf(file)), Code: codeOf(file), Source: program, Message: report.Visible(p.Message)}
	if p.Remedy != "" {
		one.Message += "\nremedy: " + report.Visible(p.Remedy)
	}
	t := d.textOf(file)
	if t == nil && p.Node != nil {
		t = newText(p.Node.Document().Text, d.text.encoding)
	}
	one.Range = rangeOf(t, p.Pos, endOf(p))
	d.add(file, t, shown{diagnostic: one})
	if path := d.place.path(file); d.checker != nil && path != d.place.path(d.place.name) {
		at := p.Pos
		if name, err := files.Relative(d.place.dir, path); err == nil {
			at.File = name
		}
		if d.related {
			one.Related = []related{{location{d.uri(path), one.Range}, "the fault stands here"}}
		}
		one.Range, one.Message = span{}, fmt.Sprintf("this kit cannot be checked: %s: %s", at, one.Message)
		d.add(d.place.name, d.text, shown{diagnostic: one})
	}
}

// severityOfCode is how an editor marks what is wrong with a file that kits read:
// as where a kit finds it. Where that keeps every kit from being checked it is an
// error.
func severityOfCode(code string) int {
	if code == codeUnread {
		return severityError
	}
	return severityOf(&finding.Finding{Status: finding.Violated, Severity: finding.Major})
}

// codeUnread is the code of what no rule of a kit tells: settings or a rule pack
// that cannot be read.
const codeUnread = "file/unread"

// codeOf is the rule that a file breaks which kits read: that of the check of a
// kit where it has one.
func codeOf(file string) string {
	switch {
	case files.IsCatalogueName(file):
		return "file/catalogue"
	case strings.HasSuffix(file, files.ConcessionsEnding):
		return "file/concessions"
	}
	return codeUnread
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
		d.add(cmp.Or(at.Pos.File, r.File), d.textOf(cmp.Or(at.Pos.File, r.File)), shown{diagnostic: diagnostic{
			Range: d.span(r, at.Pos, at.Pointer), Severity: severityWarning, Code: "slip", Source: program,
			Message: report.Visible(says) + "\n" + lookFirst,
		}, slip: best, result: r})
	}
	byPrint := map[string]*finding.Finding{}
	for i := range r.Findings {
		byPrint[r.Findings[i].Fingerprint] = &r.Findings[i]
	}
	begun, missing := d.begun(r), lacks(r)
	lacking := saying(missing)
	hidden, remedies := unkind(r)
	for _, first := range []bool{true, false} {
		for i := range r.Findings {
			if f := &r.Findings[i]; first == (f.Cause && f.Follows == "") && !begun[f] && !hidden[f] {
				d.finding(r, f, byPrint[f.Follows], also{lacking[f], remedies[f]})
			}
		}
		if first {
			d.unstated(r, missing)
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

// also is what a finding stands for beside itself.
type also struct {
	lack   *lack  // what is not stated; nil where it says nothing of that kind
	remedy string // of those that it stands for; "" where its own is right
}

// finding tells a finding, which may follow from another.
func (d *diagnosis) finding(r *checker.Result, f, cause *finding.Finding, more also) {
	pos, pointer, says := r.At(f), f.Pointer, *f
	says.Remedy = cmp.Or(more.remedy, f.Remedy)
	one := diagnostic{Severity: severityOf(f), Code: f.Rule, Source: program, Message: messageOf(&says), CodeDescription: address(f.Basis)}
	if l := more.lack; l != nil {
		if f.Place == "the kit" {
			pos, pointer = l.pos, l.pointer // where it has to be stated
		}
		if l.severity() < one.Severity {
			one.Severity = l.severity()
			one.Message += "\n" + l.checks()
		}
	}
	one.Range = d.span(r, pos, pointer)
	one.Related = d.relatedTo(r, f, cause, &one)
	d.add(pos.File, d.textOf(pos.File), shown{diagnostic: one, finding: f, result: r})
}

// relatedTo are the places that belong to a finding; an editor that shows none is
// told of them in the message.
func (d *diagnosis) relatedTo(r *checker.Result, f, cause *finding.Finding, one *diagnostic) (list []related) {
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
		list = append(list, related{location{d.uri(path), d.span(r, p.Pos, p.Pointer)}, p.Says})
	}
	return list
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

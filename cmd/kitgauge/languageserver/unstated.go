package languageserver

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"kitgauge/checker"
	"kitgauge/checker/finding"
	"kitgauge/checker/report"
	"kitgauge/checker/source"
)

// lack is something that is not stated, with the checks that could not be
// evaluated for it.
type lack struct {
	what, thing string // "tube", "line 1"
	list        []*finding.Finding
	worst       finding.Severity
}

// notStated ends a reason of that kind: "the tube of line 1 is not stated".
const notStated = " is not stated"

// lacks lists what is not stated in a kit, in the order of the file.
func lacks(r *checker.Result) (list []*lack) {
	by := map[string]*lack{}
	for i := range r.Findings {
		f := &r.Findings[i]
		why, is := strings.CutSuffix(strings.TrimPrefix(f.Message, "not evaluated: the "), notStated)
		what, thing, _ := strings.Cut(why, " of ")
		if f.Status != finding.NotEvaluated || !is || thing == "" {
			continue
		}
		l := by[why]
		if l == nil {
			l = &lack{what: what, thing: thing}
			by[why], list = l, append(list, l)
		}
		l.list, l.worst = append(l.list, f), max(l.worst, f.Severity)
	}
	return list
}

// unstated tells once, at the thing, what is not stated of it and keeps checks
// from being evaluated: each of them is a hint alone, which many editors do not
// list, and yet stands against the gate. What a finding tells is not told again.
func (d *diagnosis) unstated(r *checker.Result) {
	if slices.ContainsFunc(r.Findings, func(f finding.Finding) bool { return f.Rule == "file/syntax" }) {
		return // what is stated may not have been read
	}
	for _, l := range lacks(r) {
		pos, pointer := l.at(r)
		if l.told(r, pointer) {
			continue
		}
		one := diagnostic{
			Range: d.span(r, pos, pointer), Severity: max(severityWarning, severityOf(&finding.Finding{Status: finding.Violated, Severity: l.worst})),
			Code: codeUnjudged, Source: program, Message: report.Visible(l.says()) + "\nremedy: state it",
		}
		if d.related {
			for _, f := range l.list[:min(len(l.list), mostRelated)] {
				at := r.At(f)
				one.Related = append(one.Related, related{location{d.uri(d.place.path(cmp.Or(at.File, r.File))), d.span(r, at, f.Pointer)}, report.Visible("not evaluated: " + f.Rule + ", " + f.Place)})
			}
		}
		file := cmp.Or(pos.File, r.File)
		d.add(file, d.textOf(file), shown{diagnostic: one})
	}
}

// codeUnjudged is the code of what keeps checks from being evaluated.
const codeUnjudged = "file/not-evaluated"

// mostRelated is how many of the checks are named beside what keeps them from
// being evaluated.
const mostRelated = 10

func (l *lack) says() string {
	checks := "check is not evaluated, which counts"
	if len(l.list) > 1 {
		checks = "checks are not evaluated, which count"
	}
	return fmt.Sprintf("%s: the %s%s, so that %d %s up to %s", l.thing, l.what, notStated, len(l.list), checks, l.worst)
}

// at is the place of the thing: a section of the file, or where something is said
// of it; else where the first check is not evaluated.
func (l *lack) at(r *checker.Result) (source.Pos, string) {
	if key, is := strings.CutPrefix(l.thing, "the "); is && r.Text.Root != nil {
		if n := r.Text.Root.Get(key); n != nil {
			return n.KeyPos(), n.Pointer()
		}
	}
	at := l.list[0]
	of := func(f *finding.Finding) bool { return f.Place == l.thing && r.At(f).File == r.File }
	for i := range r.Findings {
		if f := &r.Findings[i]; of(f) && (!of(at) || f.Pos.Line < at.Pos.Line) {
			at = f
		}
	}
	return r.At(at), at.Pointer
}

// told reports whether a finding as grave says it of the same: that the member is
// missing or has no value, or that none is stated.
func (l *lack) told(r *checker.Result, pointer string) bool {
	word, _, _ := strings.Cut(l.what, " ")
	return slices.ContainsFunc(r.Findings, func(f finding.Finding) bool {
		switch {
		case f.Status != finding.Violated || f.Severity < finding.Major:
			return false
		case strings.HasPrefix(f.Rule, "file/"):
			return f.Pointer != "" && (f.Pointer == pointer || strings.HasPrefix(f.Pointer, pointer+"/"))
		}
		return strings.HasPrefix(f.Place, l.thing) && strings.Contains(f.Message, word) && strings.HasSuffix(f.Message, "stated")
	})
}

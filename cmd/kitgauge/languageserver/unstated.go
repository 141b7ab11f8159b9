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
	pos         source.Pos       // of the thing
	pointer     string           // to it
	saidBy      *finding.Finding // that says the same; nil where none does
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
	for _, l := range list {
		l.pos, l.pointer = l.at(r)
		l.saidBy = l.said(r)
	}
	return list
}

// unstated tells once, at the thing, what is not stated of it and keeps checks
// from being evaluated: each of them is a hint alone, which many editors do not
// list, and yet stands against the gate. What a finding tells is not told again.
func (d *diagnosis) unstated(r *checker.Result, list []*lack) {
	if slices.ContainsFunc(r.Findings, func(f finding.Finding) bool { return f.Rule == "file/syntax" }) {
		return // what is stated may not have been read
	}
	for _, l := range list {
		if l.saidBy != nil {
			continue
		}
		one := diagnostic{
			Range: d.span(r, l.pos, l.pointer), Severity: l.severity(),
			Code: codeUnjudged, Source: program, Message: report.Visible(l.says()) + "\nremedy: state it",
		}
		if d.related {
			for _, f := range l.list[:min(len(l.list), mostRelated)] {
				at := r.At(f)
				one.Related = append(one.Related, related{location{d.uri(d.place.path(cmp.Or(at.File, r.File))), d.span(r, at, f.Pointer)}, report.Visible("not evaluated: " + f.Rule + ", " + f.Place)})
			}
		}
		file := cmp.Or(l.pos.File, r.File)
		d.add(file, d.textOf(file), shown{diagnostic: one})
	}
}

// codeUnjudged is the code of what keeps checks from being evaluated.
const codeUnjudged = "file/not-evaluated"

// mostRelated is how many of the checks are named beside what keeps them from
// being evaluated.
const mostRelated = 10

// severity is how an editor marks it.
func (l *lack) severity() int {
	return max(severityWarning, severityOf(&finding.Finding{Status: finding.Violated, Severity: l.worst}))
}

func (l *lack) says() string {
	return fmt.Sprintf("%s: the %s%s, so that %s", l.thing, l.what, notStated, l.checks())
}

// checks says how many are not evaluated for it.
func (l *lack) checks() string {
	checks := "check is not evaluated, which counts"
	if len(l.list) > 1 {
		checks = "checks are not evaluated, which count"
	}
	return fmt.Sprintf("%d %s up to %s", len(l.list), checks, l.worst)
}

// at is the place of the thing: a section of the file, a part in its catalogue, or where something is said
// of it; else where the first check is not evaluated.
func (l *lack) at(r *checker.Result) (source.Pos, string) {
	if key, is := strings.CutPrefix(l.thing, "the "); is && r.Text.Root != nil {
		if n := r.Text.Root.Get(key); n != nil {
			return n.KeyPos(), n.Pointer()
		}
	}
	if n := l.part(r); n != nil {
		return n.Pos(), n.Pointer()
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

// part is the part that the thing is, in the catalogue that states it; nil where
// it is none.
func (l *lack) part(r *checker.Result) *source.Node {
	number, is := strings.CutPrefix(l.thing, "part ")
	if !is || r.Facts == nil || r.Facts.Kit == nil || r.Facts.Kit.Parts == nil {
		return nil
	}
	if p := r.Facts.Kit.Parts.Part(number); p != nil {
		return p.Node
	}
	return nil
}

// said is a finding that says it of the same: that the member is missing or has
// no value, or that none is stated; nil where none does.
func (l *lack) said(r *checker.Result) *finding.Finding {
	word, _, _ := strings.Cut(l.what, " ")
	pos, pointer := l.pos, l.pointer
	within := func(at, of string) bool { return at == of || strings.HasPrefix(at, of+"/") }
	i := slices.IndexFunc(r.Findings, func(f finding.Finding) bool {
		switch {
		case f.Status != finding.Violated:
			return false
		case strings.HasPrefix(f.Rule, "file/"):
			missing := strings.HasPrefix(f.Message, word+" is missing from ") && within(pointer, f.Pointer)
			return f.Severity >= finding.Major && f.Pointer != "" && r.At(&f).File == pos.File && (within(f.Pointer, pointer) || missing)
		case strings.HasPrefix(f.Message, "no "+word+" is stated for "+l.thing+","):
			return true
		}
		return strings.HasPrefix(f.Place, l.thing) && strings.Contains(f.Message, word) && strings.HasSuffix(f.Message, "stated")
	})
	if i < 0 {
		return nil
	}
	return &r.Findings[i]
}

// saying is what is not stated that each finding says, the first of each.
func saying(list []*lack) map[*finding.Finding]*lack {
	by := map[*finding.Finding]*lack{}
	for _, l := range list {
		if f := l.saidBy; f != nil && by[f] == nil {
			by[f] = l
		}
	}
	return by
}

// unkind tells what follows from a joint whose kind is missing: that its range is
// not in the unit of the kind that is taken for granted. The finding that says the
// kind is missing gets the remedy, and stands for the others.
func unkind(r *checker.Result) (hidden map[*finding.Finding]bool, remedies map[*finding.Finding]string) {
	hidden, remedies = map[*finding.Finding]bool{}, map[*finding.Finding]string{}
	for i := range r.Findings {
		missing := &r.Findings[i]
		if missing.Rule != "file/shape" || !strings.HasPrefix(missing.Message, "kind is missing from this joint") {
			continue
		}
		for j := range r.Findings {
			f := &r.Findings[j]
			if f.Rule == "file/value" && strings.HasPrefix(f.Pointer, missing.Pointer+"/") && strings.Contains(f.Remedy, "write kind: ") {
				hidden[f], remedies[missing] = true, f.Remedy
			}
		}
	}
	return hidden, remedies
}

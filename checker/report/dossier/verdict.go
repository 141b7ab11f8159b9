package dossier

import (
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"kitgauge/checker/engine"
	"kitgauge/checker/finding"
	"kitgauge/checker/report"
)

// verdict is what the reviewer wants to know first.
type verdict struct {
	Class        string // "within", "outside" or "open"
	Says         string
	Counts       string
	Tally        []named
	Slips        []string // what one slip may explain
	Mind         []string // what limits the verdict
	Grave        []graveLine
	Nearest      []marginRow // where nothing grave is found
	Full         bool        // all margins are in the dossier
	Since        *since
	Caution      string
	Unsigned     []string // why it is not to be signed
	InputsNumber int
}

func newVerdict(in *Input, e *entries) *verdict {
	k := &in.Run.Kits[0]
	c := k.Counts(in.Run.Gate)
	v := &verdict{Class: "within", Says: capital(c.Verdict(in.Run.Gate)), Caution: report.Caution}
	switch {
	case c.Unreadable > 0 || in.Run.Gate == finding.None:
		v.Class = "open"
	case c.OutsideGate+c.OutsideGateUnknown > 0:
		v.Class = "outside"
	}
	v.Counts = fmt.Sprintf("%s made %s", report.Count(c.Rules, "rule", "rules"), report.Count(c.Checks, "check", "checks"))
	if c.NotEvaluated > 0 {
		v.Counts += fmt.Sprintf(", and %d more could not be evaluated", c.NotEvaluated)
	}
	if c.Waiting > 0 {
		v.Counts += fmt.Sprintf("; %d wait until the kit goes to review", c.Waiting)
	}
	v.Counts += "."
	for _, t := range []struct {
		n    int
		name string
		must bool
	}{
		{c.Critical, "critical", true}, {c.Major, "major", true}, {c.Minor, "minor", true}, {c.None, "without severity", false},
		{c.NotEvaluated, "not evaluated", true}, {c.Conceded, "conceded", true}, {c.Known, "known", true},
	} {
		if t.must || t.n > 0 {
			v.Tally = append(v.Tally, named{t.name, fmt.Sprint(t.n)})
		}
	}
	for _, says := range k.Slips.Says() {
		v.Slips = append(v.Slips, capital(says)+".")
	}
	if rest := k.Slips.Rest(); rest != "" {
		v.Slips = append(v.Slips, capital(rest)+".")
	}
	v.Mind = mind(in, c)
	v.Full = in.Full
	if v.Grave = e.grave(); len(v.Grave) == 0 {
		v.Nearest = nearest(in)
	}
	v.Since = newSince(in)
	for _, why := range in.Run.Refusals(k) {
		v.Unsigned = append(v.Unsigned, why.String())
		if first := bounded[why.Kind]; first != "" && v.Class == "within" {
			v.Class, v.Says = "open", first+c.Verdict(in.Run.Gate)
		}
	}
	return v
}

// bounded is what goes before a verdict that says less than it seems to.
var bounded = map[report.RefusalKind]string{
	report.LeftOut: "Judged in part: ", report.Unexplained: "Judged in part: ", report.LowerGate: "Judged by a lower gate: ", report.KnownOpen: "But for known findings, ",
}

// mind lists what bounds the verdict: what was not looked at, and what was
// looked at with other limits than the usual.
func mind(in *Input, c report.Counts) []string {
	var list []string
	k := &in.Run.Kits[0]
	if c.Unreadable > 0 {
		list = append(list, "The file could not be read in full, or does not have the shape of a kit: parts of it were not checked, and what is missing may also be missing below.")
	}
	if len(in.LeftOut) > 0 {
		list = append(list, "Not all rule packs were used. Left out: "+strings.Join(in.LeftOut, ", ")+".")
	}
	if n := len(in.Changes); n > 0 {
		list = append(list, fmt.Sprintf("The settings differ from the packs in %s; they are listed with their reasons where it says what went in.", report.Count(n, "limit or severity", "limits or severities")))
	}
	if w := k.Weakened; w != nil {
		list = append(list, "Weakened by settings: "+w.Where()+".")
	}
	if by := in.Run.JudgedBy(); by != "" {
		list = append(list, capital(by)+".")
	}
	if in.Run.On != "" {
		list = append(list, "Concessions are judged as of "+in.Run.On+".")
	}
	return list
}

// nearest are the rules that come nearest to their limits without reaching
// them.
func nearest(in *Input) []marginRow {
	const shown = 5
	inside := slices.DeleteFunc(report.NearestFirst(in.Run.Kits[0].Margins), func(m engine.Margin) bool { return beyond(m) || onLimit(m) })
	return marginRows(in, inside[:min(len(inside), shown)])
}

func capital(text string) string {
	first, size := utf8.DecodeRuneInString(text)
	if size == 0 {
		return ""
	}
	return strings.ToUpper(string(first)) + text[size:]
}

package finding

import (
	"fmt"
	"slices"
	"strings"
)

// MostListed is how many findings of one kit are listed, and MostOfRule how
// many of one rule and severity: one for each line of the largest kit. Nobody
// mends so many before the next check; what is not listed is counted.
const (
	MostListed = 10_000
	MostOfRule = 2_000
)

// Omitted counts findings that are not listed: those of one rule, one
// severity and one status.
type Omitted struct {
	Rule     string
	Severity Severity
	Status   Status
	Count    int
}

// partlyListed are the rules whose findings are not all listed.
func partlyListed(out []Omitted) map[string]bool {
	rules := map[string]bool{}
	for _, o := range out {
		rules[o.Rule] = true
	}
	return rules
}

// Settled reports whether findings of the status do not count against the gate.
func (s Status) Settled() bool { return s == Conceded || s == Known }

func (s Status) open() bool { return s == Violated || s == NotEvaluated }

// Cut takes out what is more than the most that is listed, and says what it
// took out. What counts against the gate stays before what is conceded or
// known, and the graver before the less grave; of what is alike stays what
// comes first. The order is kept.
func Cut(list []Finding, most int) (kept []Finding, out []Omitted) {
	if len(list) <= most {
		return list, nil
	}
	rank := func(f *Finding) int {
		if f.Status.open() {
			return len(severityNames) + int(f.Severity)
		}
		return int(f.Severity)
	}
	count := make([]int, 2*len(severityNames))
	for i := range list {
		count[rank(&list[i])]++
	}
	room := make([]int, len(count)) // that each rank has in the list
	for r, left := len(count)-1, most; r >= 0; r-- {
		room[r] = min(count[r], left)
		left -= room[r]
	}
	for _, f := range list {
		if r := rank(&f); room[r] > 0 {
			room[r]--
			kept = append(kept, f)
		} else {
			out = append(out, Omitted{f.Rule, f.Severity, f.Status, 1})
		}
	}
	return kept, out
}

// InWords tells how many findings are not listed, the gravest first: "3
// critical, 1 minor, 2 conceded or known". The severity is that of the gravest
// that counts against the gate, None where there is none.
func InWords(out []Omitted) (words string, worst Severity) {
	var open [len(severityNames)]int
	settled := 0
	for _, o := range out {
		if !o.Status.open() {
			settled += o.Count
			continue
		}
		open[o.Severity] += o.Count
		worst = max(worst, o.Severity)
	}
	var parts []string
	for s, n := range slices.Backward(open[:]) {
		if n > 0 {
			parts = append(parts, fmt.Sprintf("%d %s", n, Severity(s)))
		}
	}
	if settled > 0 {
		parts = append(parts, fmt.Sprintf("%d conceded or known", settled))
	}
	return strings.Join(parts, ", "), worst
}

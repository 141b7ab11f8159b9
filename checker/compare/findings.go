package compare

import (
	"cmp"
	"slices"

	"kitgauge/checker/finding"
)

// Finding is a finding that came, went, or is of another severity or status.
type Finding struct {
	Kind Kind             // Added, Removed or Changed
	Old  *finding.Finding // nil where it came
	New  *finding.Finding // nil where it went
	Text string           // what changed: "minor to major, violated to conceded"; "" else
}

// Shown is the finding as it is, or as it was where it went.
func (f *Finding) Shown() *finding.Finding {
	if f.New != nil {
		return f.New
	}
	return f.Old
}

// findings compares by fingerprint; what is left over, because a check could
// be evaluated in one revision only, by rule and place. What came is first,
// then what changed, then what went; the gravest first.
func findings(old, new Revision) []Finding {
	before := slices.Clone(old.Findings)
	if a, b := old.Facts.Header.Number.V, new.Facts.Header.Number.V; a != b {
		refinger(before, b)
	}
	after := slices.Clone(new.Findings)
	came, went := pairFindings(before, after)
	var list []Finding
	for i := range after {
		switch f, was := &after[i], came[i]; {
		case was == nil:
			list = append(list, Finding{Kind: Added, New: f})
		case was.Severity != f.Severity || was.Status != f.Status:
			list = append(list, Finding{Kind: Changed, Old: was, New: f, Text: fromTo(was, f)})
		}
	}
	for _, f := range went {
		list = append(list, Finding{Kind: Removed, Old: f})
	}
	rank := []Kind{Added, Changed, Removed}
	slices.SortStableFunc(list, func(a, b Finding) int {
		return cmp.Or(cmp.Compare(slices.Index(rank, a.Kind), slices.Index(rank, b.Kind)), cmp.Compare(b.Shown().Severity, a.Shown().Severity))
	})
	return list
}

// refinger gives findings the fingerprints that they would have in a kit of
// another number: a kit that was taken over under a new number is compared
// with what it came from.
func refinger(list []finding.Finding, number string) {
	status := make([]finding.Status, len(list))
	for i := range list {
		status[i] = list[i].Status
		if status[i].Settled() {
			list[i].Status = finding.Violated // fingerprints are taken before that
		}
	}
	finding.Fingerprint(number, list)
	for i := range list {
		list[i].Status = status[i]
	}
}

// pairFindings finds for each finding what it was, and what went.
func pairFindings(before, after []finding.Finding) (was []*finding.Finding, went []*finding.Finding) {
	was = make([]*finding.Finding, len(after))
	taken := make([]bool, len(before))
	for _, key := range []func(*finding.Finding) string{
		func(f *finding.Finding) string { return f.Fingerprint },
		func(f *finding.Finding) string { return f.Rule + "\x00" + f.Identity },
	} {
		waiting := map[string][]int{}
		for i := range before {
			if !taken[i] {
				waiting[key(&before[i])] = append(waiting[key(&before[i])], i)
			}
		}
		for i := range after {
			queue := waiting[key(&after[i])]
			if was[i] != nil || len(queue) == 0 {
				continue
			}
			was[i], taken[queue[0]] = &before[queue[0]], true
			waiting[key(&after[i])] = queue[1:]
		}
	}
	for i := range before {
		if !taken[i] {
			went = append(went, &before[i])
		}
	}
	return was, went
}

func fromTo(old, new *finding.Finding) string {
	text := ""
	if old.Severity != new.Severity {
		text = old.Severity.String() + " to " + new.Severity.String()
	}
	if old.Status != new.Status {
		text = join(text, ", ", old.Status.String()+" to "+new.Status.String())
	}
	return text
}

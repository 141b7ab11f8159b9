package report

import "kitgauge/checker/finding"

// Ordered is the findings of a kit as a page numbers them.
type Ordered struct {
	List    []finding.Finding
	numbers map[identity]int
}

// identity is what tells findings apart: the fingerprint does within one kit,
// but for what was made up.
type identity struct {
	fingerprint, rule, identity, message string
	status                               finding.Status
}

func identityOf(f *finding.Finding) identity {
	return identity{f.Fingerprint, f.Rule, f.Identity, f.Message, f.Status}
}

// Ordered lists the findings: those that count first, the gravest first.
func (k *Kit) Ordered() *Ordered {
	o := &Ordered{numbers: map[identity]int{}}
	for _, status := range []finding.Status{finding.Violated, finding.NotEvaluated, finding.Conceded, finding.Known} {
		o.List = append(o.List, BySeverity(k.Findings, status)...)
	}
	for i := range o.List {
		o.numbers[identityOf(&o.List[i])] = i + 1
	}
	return o
}

// Number is that of a finding, from 1; 0 where it is none of them.
func (o *Ordered) Number(f *finding.Finding) int { return o.numbers[identityOf(f)] }

package report

import (
	"fmt"
	"slices"
	"strings"

	"kitgauge/checker/finding"
)

// Refusal is a reason why a kit is neither to be signed off nor to be fitted.
type Refusal struct {
	Kind   RefusalKind
	Names  []string         // of the rule packs that are left out
	Gate   finding.Severity // that the settings set, where the caller's is lower
	Counts Counts
}

// RefusalKind tells reasons apart.
type RefusalKind string

// The kinds of reasons, in the order in which they are told.
const (
	Unshaped    RefusalKind = "unshaped"    // parts of it were not checked
	NoGate      RefusalKind = "no_gate"     // nothing could be outside it
	Outside     RefusalKind = "outside"     // the gate
	LeftOut     RefusalKind = "left_out"    // rule packs, for this run
	Unexplained RefusalKind = "unexplained" // rule packs that settings leave out without a reason
	LowerGate   RefusalKind = "lower_gate"  // for this run
	KnownOpen   RefusalKind = "known"       // findings at or above the gate
	Draft       RefusalKind = "draft"
)

// Refusals lists why a kit of the run is neither to be signed off nor to be
// fitted; nothing where it may be.
func (r Run) Refusals(k *Kit) []Refusal {
	c := k.Counts(r.Gate)
	var list []Refusal
	for _, one := range []struct {
		is  bool
		why Refusal
	}{
		{!k.Shaped, Refusal{Kind: Unshaped}},
		{k.Shaped && r.Gate == finding.None, Refusal{Kind: NoGate}},
		{k.Shaped && c.OutsideGate+c.OutsideGateUnknown > 0, Refusal{Kind: Outside}},
		{len(k.LeftOut) > 0, Refusal{Kind: LeftOut, Names: k.LeftOut}},
		{len(k.Unexplained) > 0, Refusal{Kind: Unexplained, Names: k.Unexplained}},
		{r.Gate != finding.None && r.Lowered != finding.None, Refusal{Kind: LowerGate, Gate: r.Lowered}},
		{len(k.KnownAtOrAbove(r.Gate)) > 0, Refusal{Kind: KnownOpen}},
		{k.Status == "draft", Refusal{Kind: Draft}},
	} {
		if one.is {
			one.why.Counts = c
			list = append(list, one.why)
		}
	}
	return list
}

// String says the reason of a kit in words: "it is a draft".
func (r Refusal) String() string {
	switch r.Kind {
	case Unshaped:
		return "it was not checked in full"
	case NoGate:
		return "no gate is set, so nothing could be outside it"
	case Outside:
		return "it is outside the gate"
	case LeftOut:
		return "this check left out rule packs: " + strings.Join(r.Names, ", ")
	case Unexplained:
		return "the settings leave out rule packs without a reason: " + strings.Join(r.Names, ", ")
	case LowerGate:
		return fmt.Sprintf("this check took a lower gate than the usual one, %s", r.Gate)
	case KnownOpen:
		return "known findings at or above the gate are still open"
	}
	return "it is a draft"
}

// KnownAtOrAbove lists the known findings that would be outside the gate if
// they were not known, the gravest first.
func (k *Kit) KnownAtOrAbove(gate finding.Severity) []finding.Finding {
	return slices.DeleteFunc(BySeverity(k.Findings, finding.Known), func(f finding.Finding) bool { return gate == finding.None || f.Severity < gate })
}

// Package finding holds what a check found: facts only. How a finding looks
// is for the packages below report.
package finding

import (
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"slices"

	"kitgauge/checker/edit"
	"kitgauge/checker/source"
	"kitgauge/checker/spelling"
)

// Severity is the class of a nonconformity as quality inspection uses it
// (ISO 2859-1). The zero Severity is none, so that a forgotten one shows.
type Severity uint8

// The severities, in rising order.
const (
	None     Severity = iota
	Minor             // departs from good practice
	Major             // the kit will not do its job or cannot be fitted
	Critical          // can injure somebody or destroy a component
)

var severityNames = [...]string{"none", "minor", "major", "critical"}

// String is the word used in packs, options and output.
func (s Severity) String() string { return severityNames[s] }

// Severities lists the words, in rising order, none first.
func Severities() []string { return severityNames[:] }

// ParseSeverity is the inverse of String.
func ParseSeverity(word string) (Severity, error) {
	for i, name := range severityNames {
		if name == word {
			return Severity(i), nil
		}
	}
	return None, fmt.Errorf("%q is no severity: it is critical, major, minor or none", word)
}

// Status says what became of the check behind a finding.
type Status uint8

// The statuses. The zero Status is invalid.
const (
	_            Status = iota
	Violated            // the rule does not hold
	NotEvaluated        // something that the rule needs is not known
	Conceded            // the rule does not hold, and a concession permits it
	Known               // the rule does not hold, and the record of known findings holds it
)

// String is the word used in output.
func (s Status) String() string {
	return [...]string{"", "violated", "not evaluated", "conceded", "known"}[s]
}

// Amount is a number with its unit, as computed and as shown.
type Amount struct {
	SI        float64 // in SI units
	Dimension string  // "length", "plain number", ...
	Text      string  // in the kit's own unit family: "412 mm"
}

// Term is one part of an expression with the value it had.
type Term struct {
	Expression string `json:"expression"`
	Value      string `json:"value"`
}

// Finding is one rule that does not hold at one place, or could not be
// evaluated there.
type Finding struct {
	Rule        string
	Title       string
	Severity    Severity
	Status      Status
	Pos         source.Pos
	Pointer     string // JSON Pointer (RFC 6901) of the value concerned
	Identity    string // a path that survives reordering of the file
	Place       string // in the trade's words: "line 7"
	Message     string // what is wrong here
	Remedy      string // what to do, with a number in it where there is one
	Nearest     string // of a name that leads nowhere, the one that is written most alike
	Value       *Amount
	Limit       *Amount
	Margin      *Amount // how far the value is inside the limit; negative when outside
	Working     []Term
	Basis       string
	Own         Severity // of the rule by its pack; None where no pack has it
	Fingerprint string
	Concession  *Concession // the permission, where the status is Conceded
	Cause       bool        // of others: it is about a value on which they rest
	LastCause   bool        // only where nothing else is
	Follows     string      // the fingerprint of the finding from which it follows, "" where it stands for itself
	// Edits are changes of the kit file that remove it together; none where there
	// are none that a program can make. Choice tells that somebody has to decide
	// on them: they do not follow from the rest of the file.
	Edits   []edit.Change
	Choice  bool
	Related []Place // what else belongs to it: the line that has the outlet already
}

// Place is a place of a file that belongs to a finding.
type Place struct {
	Pos     source.Pos
	Pointer string // JSON Pointer of the value
	Says    string // what it has to do with the finding
}

// Concession is the permission to release what does not conform (ISO 9000).
type Concession struct {
	Reason    string
	GrantedBy string
	Until     string     // the last day on which it holds: 2026-11-25
	Severity  string     // for which it was granted; "" where it does not say
	Value     string     // for which it was granted; "" where it does not say
	Pos       source.Pos // where it is written
}

// Key is what makes a finding the same in two checks of a kit.
type Key struct{ Rule, Identity, Place string }

// Count counts the findings of some statuses, by their keys.
func Count(list []Finding, of ...Status) map[Key]int {
	out := map[Key]int{}
	for i := range list {
		if f := &list[i]; slices.Contains(of, f.Status) {
			out[f.Key()]++
		}
	}
	return out
}

// Key returns that of the finding.
func (f *Finding) Key() Key { return Key{f.Rule, f.Identity, f.Place} }

// Sort orders findings by place in the file, then rule, then the rest, numbers
// as numbers, so that the same input always gives the same bytes.
func Sort(list []Finding) {
	slices.SortStableFunc(list, func(a, b Finding) int {
		return cmp.Or(
			cmp.Compare(a.Pos.File, b.Pos.File),
			cmp.Compare(a.Pos.Line, b.Pos.Line),
			cmp.Compare(a.Pos.Column, b.Pos.Column),
			cmp.Compare(a.Rule, b.Rule),
			spelling.Natural(a.Identity, b.Identity),
			spelling.Natural(a.Place, b.Place),
			spelling.Natural(a.Message, b.Message),
		)
	})
}

// Fingerprint sets the fingerprints of the findings of one kit. A fingerprint
// rests on the kit's number, the rule and the identity of the place, not on
// lines, list positions or values; where several findings share all three,
// their order in the sorted list tells them apart.
func Fingerprint(kit string, list []Finding) {
	seen := map[string]int{}
	for i := range list {
		f := &list[i]
		key := kit + "\x00" + f.Rule + "\x00" + f.Identity + "\x00" + f.Status.String()
		seen[key]++
		if n := seen[key]; n > 1 {
			key += fmt.Sprintf("\x00%d", n)
		}
		sum := sha256.Sum256([]byte(key))
		f.Fingerprint = hex.EncodeToString(sum[:16])
	}
}

// AtOrAbove reports whether the finding is outside the gate. A rule that could
// not be evaluated counts with its own severity; what is conceded or known
// does not count; gate None lets all through.
func (f *Finding) AtOrAbove(gate Severity) bool {
	return f.Status.open() && gate != None && f.Severity >= gate
}

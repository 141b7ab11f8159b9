// Package report holds what every output format is given: the results of one
// run over one or several kits, what they count up to, and what the gate makes
// of them. The formats stand in the packages below and know nothing of each
// other; a test feeds all of them the same findings.
package report

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"kitgauge/checker/engine"
	"kitgauge/checker/files"
	"kitgauge/checker/finding"
	"kitgauge/checker/slip"
	"kitgauge/checker/source"
)

// Kit is the result of one kit as the formats need it.
type Kit struct {
	File     string
	Document int // from 0, in its file
	// StreamLine is the line of the stream on which the kit stands, from 1; 0
	// where it is a file.
	StreamLine int
	Number     string
	Revision   string
	Title      string
	Status     string
	// Shaped is false where the file could not be read or is not of the shape
	// of a kit, so that parts of it were not checked.
	Shaped       bool
	Findings     []finding.Finding
	Rules        int             // that were looked at
	Checks       int             // rule at a place where it applies
	NotEvaluated int             // of the checks
	Waiting      int             // of the checks: they do not hold, and need not until the kit goes to review
	Margins      []engine.Margin // the least of each rule; nil where not asked for
	Figures      []Figures       // the computed quantities; nil where not asked for
	Slips        *slip.Report    // what one slip may explain; nil where none was looked for
	Weakened     *Weakened       // what the settings take from the rules and the gate; nil where nothing
	LeftOut      []string        // the rule packs that the caller left out
	Unexplained  []string        // the rule packs that the settings leave out without a reason
	// Line gives the text of a line of the kit or of one of its catalogues,
	// without its end; "" where it is not known. Nil knows no line.
	Line func(pos source.Pos) string
	// End gives the place behind the value, or the key, that begins at a place
	// and has a JSON Pointer; no place where it is not known. Nil knows none.
	End func(pos source.Pos, pointer string) source.Pos
	// Correct gives what the edits of a finding come to; nil where it has none.
	// Nil knows none.
	Correct func(f *finding.Finding) *Correction
	// Around gives no more of a line than so many characters on either side of
	// a place, and the column of the place in that. Nil cuts what Line gives.
	Around func(pos source.Pos, reach int) (text string, column int)
}

// EndOf is the place behind what begins at a place; no place where it is not
// known.
func (k *Kit) EndOf(pos source.Pos, pointer string) source.Pos {
	if k.End == nil || pos.Line == 0 {
		return source.Pos{}
	}
	return k.End(pos, pointer)
}

// Correction is what the edits of a finding come to; nil where it has none that
// a program can make.
func (k *Kit) Correction(f *finding.Finding) *Correction {
	if k.Correct == nil {
		return nil
	}
	return k.Correct(f)
}

// Weakened is what settings take from the rule packs as they are, and from the
// usual gate.
type Weakened struct {
	Settings []string // the files, the outermost first
	Says     []string // in words: "2 of 16 packs left out: flow, power", "gate none"
}

// String names what is weakened, "" where nothing is.
func (w *Weakened) String() string {
	if w == nil {
		return ""
	}
	return strings.Join(w.Says, "; ")
}

// Where names what is weakened and the settings that do it.
func (w *Weakened) Where() string {
	if w == nil {
		return ""
	}
	return w.String() + " (" + strings.Join(w.Settings, ", ") + ")"
}

// Weakened lists what the settings of the kits weaken, each once.
func (r Run) Weakened() []*Weakened {
	var list []*Weakened
	seen := map[string]bool{}
	for i := range r.Kits {
		if w := r.Kits[i].Weakened; w != nil && !seen[w.Where()] {
			seen[w.Where()] = true
			list = append(list, w)
		}
	}
	return list
}

// Figures are the computed quantities of one thing: a line, a span, the pump.
type Figures struct {
	Kind    string // "span"
	Place   string // "bundle FL, span chassis to front axle"
	Figures []Figure
}

// Figure is one computed quantity, or the reason why there is none.
type Figure struct {
	Name   string // "loop radius"
	Amount finding.Amount
	Why    string // "" where the amount is known
}

// Names lists the quantities of several things, in the order in which they
// come: the columns of a table.
func Names(things []Figures) []string {
	var names []string
	for _, thing := range things {
		for _, f := range thing.Figures {
			if !slices.Contains(names, f.Name) {
				names = append(names, f.Name)
			}
		}
	}
	return names
}

// NearestFirst returns margins sorted by how near they come to their limits.
// The list given is left as it is.
func NearestFirst(list []engine.Margin) []engine.Margin {
	list = slices.Clone(list)
	slices.SortStableFunc(list, func(a, b engine.Margin) int {
		return cmp.Or(cmp.Compare(a.Share, b.Share), cmp.Compare(a.Rule, b.Rule))
	})
	return list
}

// Excerpt returns the text of the line at pos, "" where it is not known.
func (k *Kit) Excerpt(pos source.Pos) string {
	if k.Line == nil || pos.Line == 0 {
		return ""
	}
	return k.Line(pos)
}

// reach is how many characters on either side of a place an excerpt is made
// from: a kit in JSON may stand on one line.
const reach = 1000

// Near is the excerpt at pos without what is far from it, and the column of
// pos in that.
func (k *Kit) Near(pos source.Pos) (text string, column int) {
	if k.Around != nil && pos.Line > 0 {
		return k.Around(pos, reach)
	}
	line := k.Excerpt(pos)
	if len(line) <= reach {
		return line, pos.Column
	}
	from, to, first, at := 0, len(line), 1, 1
	for i := range line { // at is the column of the code point at i
		if at == pos.Column-reach {
			from, first = i, at
		}
		if at == pos.Column+reach {
			to = i
			break
		}
		at++
	}
	return line[from:to], pos.Column - first + 1
}

// Label is the kit's file, with the document where the file holds several.
func (k *Kit) Label() string {
	if k.Document > 0 {
		return fmt.Sprintf("%s, document %d", k.File, k.Document+1)
	}
	return k.File
}

// At is the place of a finding; the kit's file where it has none.
func (k *Kit) At(f *finding.Finding) source.Pos {
	pos := f.Pos
	pos.File = cmp.Or(pos.File, k.File)
	return pos
}

// Run is everything that one call of the program checked.
type Run struct {
	Kits    []Kit
	Gate    finding.Severity
	Lowered finding.Severity // the gate of the settings, or the usual one, where the caller set a lower one; none where it did not
	Version string
	On      string          // the day for which concessions were judged: 2026-11-25; "" where there were none to judge
	Rules   []Rule          // the rules in use, sorted by id
	Gone    []finding.Entry // known findings that are no longer found, sorted
	Policy  string          // the place by which the kits were judged; "" where it is the tree that holds them
	Passed  []string        // what looks like a kit and was not read, with the reason
}

// Rule is what a format tells of a rule beside its findings.
type Rule struct {
	ID       string
	Title    string
	Severity finding.Severity
	Why      string
	Basis    string
}

// JudgedBy says of where that is by which the kits were judged, where it is not
// from the tree that holds them; "" where it is.
func (r Run) JudgedBy() string {
	if r.Policy == "" {
		return ""
	}
	return "settings, packs, concessions and known findings are those of " + r.Policy
}

// The exit statuses.
const (
	ExitWithin   = 0 // every kit is within the gate
	ExitOutside  = 1 // there is a finding at or above the gate
	ExitUnshaped = 2 // a kit could not be read or is not of the shape of a kit
)

// Exit is the status with which the program ends.
func (r Run) Exit() int { return r.Counts().Exit() }

// Exit is the status with which the program ends after kits that add up to
// the counts.
func (c Counts) Exit() int {
	switch {
	case c.Unreadable > 0:
		return ExitUnshaped
	case c.OutsideGate > 0 || c.OutsideGateUnknown > 0:
		return ExitOutside
	}
	return ExitWithin
}

// Tally is what findings add up to, with the names that the JSON output has for
// it.
type Tally struct {
	// rules that do not hold, by severity
	Critical int `json:"critical"`
	Major    int `json:"major"`
	Minor    int `json:"minor"`
	None     int `json:"none"`

	NotEvaluated int `json:"not_evaluated"` // checks for which something was not known
	Conceded     int `json:"conceded"`      // rules that do not hold, with permission; not among those above
	Known        int `json:"known"`         // findings that the record of known ones holds; not among those above

	OutsideGate        int `json:"outside_gate"`               // rules that do not hold, at or above the gate
	OutsideGateUnknown int `json:"outside_gate_not_evaluated"` // checks not evaluated, at or above the gate

	Rules  int `json:"rules"` // that were looked at; of several kits the most in one
	Checks int `json:"checks"`

	Waiting int `json:"waiting,omitempty"` // checks that do not hold, and need not until the kit goes to review
}

// Counts is what one kit, or all kits, add up to.
type Counts struct {
	Tally
	Kits         int `json:"kits"`          // always Clean + WithFindings + Unreadable
	Clean        int `json:"clean"`         // checked in full, nothing found
	WithFindings int `json:"with_findings"` // checked in full, with findings
	Unreadable   int `json:"unreadable"`    // not readable, or not of the shape of a kit
}

// Findings is the number of rules that do not hold, of all severities, but for
// those that are conceded or known.
func (c Counts) Findings() int { return c.Critical + c.Major + c.Minor + c.None }

// Counts counts the findings of one kit.
func (k *Kit) Counts(gate finding.Severity) Counts {
	c := Counts{Kits: 1, Tally: Tally{Rules: k.Rules, Checks: k.Checks, NotEvaluated: k.NotEvaluated, Waiting: k.Waiting}}
	for i := range k.Findings {
		c.count(&k.Findings[i], gate)
	}
	switch {
	case !k.Shaped:
		c.Unreadable = 1
	case len(k.Findings) > 0:
		c.WithFindings = 1
	default:
		c.Clean = 1
	}
	return c
}

func (c *Counts) count(f *finding.Finding, gate finding.Severity) {
	outside := f.AtOrAbove(gate)
	switch f.Status {
	case finding.NotEvaluated:
		if outside {
			c.OutsideGateUnknown++
		}
		return
	case finding.Conceded:
		c.Conceded++
		return
	case finding.Known:
		c.Known++
		return
	}
	if outside {
		c.OutsideGate++
	}
	switch f.Severity {
	case finding.Critical:
		c.Critical++
	case finding.Major:
		c.Major++
	case finding.Minor:
		c.Minor++
	default:
		c.None++
	}
}

// Counts adds up all kits of the run.
func (r Run) Counts() Counts {
	var sum Counts
	for i := range r.Kits {
		sum.Add(r.Kits[i].Counts(r.Gate))
	}
	return sum
}

// Add adds the counts of further kits.
func (c *Counts) Add(d Counts) {
	c.Critical += d.Critical
	c.Major += d.Major
	c.Minor += d.Minor
	c.None += d.None
	c.NotEvaluated += d.NotEvaluated
	c.Waiting += d.Waiting
	c.Conceded += d.Conceded
	c.Known += d.Known
	c.OutsideGate += d.OutsideGate
	c.OutsideGateUnknown += d.OutsideGateUnknown
	c.Rules = max(c.Rules, d.Rules)
	c.Checks += d.Checks
	c.Kits += d.Kits
	c.Clean += d.Clean
	c.WithFindings += d.WithFindings
	c.Unreadable += d.Unreadable
}

// Verdict says in words how the counts stand to the gate: "within the gate
// (major)", "outside the gate: 2 findings at or above major".
func (c Counts) Verdict(gate finding.Severity) string {
	switch {
	case c.Unreadable > 0 && c.Kits == 1:
		return "no verdict: the kit was not checked in full"
	case c.Unreadable > 0:
		return fmt.Sprintf("no verdict: %d of %d kits not checked in full", c.Unreadable, c.Kits)
	case gate == finding.None:
		return "no gate is set"
	case c.OutsideGate > 0 && c.OutsideGateUnknown > 0:
		return fmt.Sprintf("outside the gate: %s and %s not evaluated at or above %s",
			Count(c.OutsideGate, "finding", "findings"), Count(c.OutsideGateUnknown, "check", "checks"), gate)
	case c.OutsideGate > 0:
		return fmt.Sprintf("outside the gate: %s at or above %s", Count(c.OutsideGate, "finding", "findings"), gate)
	case c.OutsideGateUnknown > 0:
		return fmt.Sprintf("outside the gate: %s not evaluated at or above %s", Count(c.OutsideGateUnknown, "check", "checks"), gate)
	}
	return fmt.Sprintf("within the gate (%s)", gate)
}

// Caution goes with every report that a person reads.
const Caution = "This check does not approve a kit: the vehicle maker's instructions, local codes and licensed practice come first."

// Count writes a number with its noun: "1 finding", "2 findings".
func Count(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

// BySeverity returns the findings with the given status, the most severe
// first, and within a severity causes first, then in the order of
// [finding.Sort]. A cause is as severe here as the gravest of what follows from
// it. The list given is left as it is.
func BySeverity(list []finding.Finding, status finding.Status) []finding.Finding {
	grave := Grave(list)
	var out []finding.Finding
	for _, f := range list {
		if f.Status == status {
			out = append(out, f)
		}
	}
	finding.Sort(out)
	cause := func(f finding.Finding) int {
		if f.Cause && f.Rule == "file/catalogue" {
			return -1 // the rest is only as good as the catalogue
		}
		if f.Cause || files.IsCatalogueName(f.Pos.File) {
			return 0
		}
		return 1
	}
	slices.SortStableFunc(out, func(a, b finding.Finding) int {
		return cmp.Or(cmp.Compare(grave[b.Fingerprint], grave[a.Fingerprint]), cmp.Compare(cause(a), cause(b)))
	})
	return out
}

// Grave gives for each fingerprint how grave a finding is with all that follows
// from it.
func Grave(list []finding.Finding) map[string]finding.Severity {
	grave := map[string]finding.Severity{}
	for _, f := range list {
		grave[f.Fingerprint] = max(grave[f.Fingerprint], f.Severity)
		if f.Follows != "" && !f.Status.Settled() {
			grave[f.Follows] = max(grave[f.Follows], f.Severity)
		}
	}
	return grave
}

// Standing returns the findings of BySeverity that stand for themselves: those
// that follow from another, which is open too, are shown with it.
func Standing(list []finding.Finding, status finding.Status) []finding.Finding {
	open := map[string]bool{}
	for _, f := range list {
		if f.Follows == "" && !f.Status.Settled() {
			open[f.Fingerprint] = true
		}
	}
	return slices.DeleteFunc(BySeverity(list, status), func(f finding.Finding) bool { return f.Follows != "" && open[f.Follows] })
}

// Following returns the findings that follow from another, by the fingerprint
// of that one, the most severe first.
func Following(list []finding.Finding) map[string][]finding.Finding {
	out := map[string][]finding.Finding{}
	for _, status := range []finding.Status{finding.Violated, finding.NotEvaluated} {
		for _, f := range BySeverity(list, status) {
			if f.Follows != "" {
				out[f.Follows] = append(out[f.Follows], f)
			}
		}
	}
	return out
}

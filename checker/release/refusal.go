package release

import (
	"fmt"
	"path/filepath"
	"strings"
	"time"

	"kitgauge/checker/finding"
	"kitgauge/checker/person"
	"kitgauge/checker/report"
)

// Refusals says why a kit cannot be signed off by a key under a name: nothing
// where it can. Without signers, only the name given is compared with who drew
// the kit.
func (c *Candidate) Refusals(key *Key, signer string, trust Trust) []string {
	list := c.kitRefusals()
	at, err := endOf(c.options.On)
	if err != nil {
		return append(list, err.Error())
	}
	if err := checkReason(c.options.OnReason); err != nil {
		list = append(list, err.Error())
	}
	if why, _ := trust.refusal(key.blob(), signer, at); why != "" {
		list = append(list, fmt.Sprintf("the key %s is not allowed to sign as %s: %s", key.Fingerprint(), signer, why))
	}
	names := []string{signer}
	if trust.Signers != nil {
		names = append(names, trust.Signers.namesOf(key.blob())...)
	}
	return append(list, drewIt(c.DrawnBy(), names)...)
}

// kitRefusals are the reasons that lie in the kit.
func (c *Candidate) kitRefusals() []string {
	kit := &c.Result.Kit
	if !kit.Shaped {
		return []string{"the kit was not checked in full: " + unshaped(kit.Findings)}
	}
	var list []string
	counts := kit.Counts(c.gate())
	switch {
	case c.gate() == finding.None:
		list = append(list, "the settings set no gate (gate: none), so nothing could be outside it")
	case counts.OutsideGate > 0 || counts.OutsideGateUnknown > 0:
		list = append(list, "the kit is "+counts.Verdict(c.gate()))
	}
	if out := c.Result.Unexplained; len(out) > 0 {
		list = append(list, "the settings leave out without a reason: "+strings.Join(out, ", ")+"; write each under leave_out with its reason, as in leave_out: {"+out[0]+": {reason: ...}}")
	}
	switch kit.Status {
	case "for-review", "released":
	case "draft":
		list = append(list, "the kit is a draft: set its status to released, or to for-review, first")
	default:
		list = append(list, fmt.Sprintf("the status of the kit is %q: it has to be for-review or released", report.Visible(kit.Status)))
	}
	for _, in := range c.inputs() {
		if err := checkName(in); err != nil {
			list = append(list, "verification could not find what went in again: "+err.Error())
		}
	}
	return list
}

// unshaped is the first fault of the file itself.
func unshaped(list []finding.Finding) string {
	for _, f := range list {
		if strings.HasPrefix(f.Rule, "file/") && f.Rule != "file/reference" {
			return report.Visible(f.Pos.String() + ": " + f.Message)
		}
	}
	return "correct it first (kitgauge check)"
}

// drewIt compares who drew the kit with all names of the signer.
func drewIt(drawn string, names []string) []string {
	if !person.Named(drawn) {
		return []string{"the kit does not say who drew it (drawn_by in the header), so it cannot be told whether the signer did"}
	}
	for _, name := range names {
		if person.Same(drawn, name) {
			return []string{fmt.Sprintf("%s drew the kit, and by the name of %s may be the signer: somebody else has to sign, or the two names have to be told apart", report.Visible(drawn), report.Visible(name))}
		}
	}
	return nil
}

// endOf is the last second of a day, at which keys are judged: one that
// expires during the day has expired on it.
func endOf(day string) (time.Time, error) {
	t, err := time.ParseInLocation(finding.Day, day, time.Local)
	if err != nil {
		return t, fmt.Errorf("%q is no day: write it as in 2026-11-25", day)
	}
	return t.AddDate(0, 0, 1).Add(-time.Second), nil
}

// Principal is the name under which a key signs: the one given, else the only
// one that the signers have for it.
func Principal(given string, key *Key, signers *Signers) (string, error) {
	if given == "" && signers != nil {
		if given = signers.principalOf(key.blob()); given == "" {
			return "", fmt.Errorf("%s does not have exactly one name for the key %s: say who signs", signers.File, key.Fingerprint())
		}
	}
	return given, checkPrincipal(given)
}

// inDir is the path of an input, as a person names it who named the kit so.
func inDir(kit, name string) string {
	return report.Visible(filepath.ToSlash(filepath.Join(filepath.Dir(kit), filepath.FromSlash(name))))
}

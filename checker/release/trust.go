package release

import (
	"fmt"
	"strings"
	"time"

	"kitgauge/checker/finding"
	"kitgauge/checker/person"
	"kitgauge/checker/report"
)

// Trust is what tells which keys may sign for whom.
type Trust struct {
	Signers  *Signers // nil where nobody vouches for any key
	Revoked  *Revoked // nil where no key is revoked
	Patterns bool     // a name that the signers have by a pattern alone is one of theirs
}

// refusal says why a key does not vouch for a signer at a moment; "" where it
// does, or where there are no signers and it is not revoked. exact is false
// where the signers have the name by a pattern alone, and that is taken.
func (t *Trust) refusal(key []byte, signer string, at time.Time) (why string, exact bool) {
	if why := t.Revoked.refusal(key); why != "" || t.Signers == nil {
		return why, true
	}
	why, exact = t.Signers.allow(key, signer, at)
	if why == "" && !exact && !t.Patterns {
		return fmt.Sprintf("%s has the name by a pattern alone, so that who signed is the signer's own word: write one line a person, or ask for patterns (--patterns)", t.Signers.File), false
	}
	return why, exact
}

// remarks are what a reader of the sign-off has to know and nothing speaks
// against: that the signer is not who the title block says checked the kit.
func (c *Candidate) remarks(signer string) []string {
	checked := c.CheckedBy()
	if !person.Named(checked) || person.Same(checked, signer) {
		return nil
	}
	return []string{fmt.Sprintf("the title block says that %s checked the kit (checked_by); by name that is not the signer, %s", report.Visible(checked), signer)}
}

// The days around today on which a sign-off is dated without a word for it. A
// day ahead is for who lives ahead of the machine's clock.
const (
	daysBack  = 7
	daysAhead = 1
)

// CheckDay refuses a day of a sign-off that is far from today and for which no
// reason is given.
func CheckDay(on, today, reason string) error {
	a, err := time.Parse(finding.Day, on)
	if err != nil {
		return fmt.Errorf("%q is no day: write it as in 2026-11-25", on)
	}
	b, err := time.Parse(finding.Day, today)
	if err != nil {
		return fmt.Errorf("%q is no day: write it as in 2026-11-25", today)
	}
	apart := int(a.Sub(b).Hours() / 24)
	if -daysBack <= apart && apart <= daysAhead || strings.TrimSpace(reason) != "" {
		return nil
	}
	return fmt.Errorf("%s is more than %d days before today or after it (today is %s): leave it out, or say why (--on-reason), which goes into the record", on, daysBack, today)
}

// checkReason holds the reason for a day to what fits on a line.
func checkReason(reason string) error {
	switch {
	case len(reason) > 500:
		return fmt.Errorf("the reason for the day is longer than 500 bytes")
	case reason != report.Visible(reason) || strings.TrimSpace(reason) != reason:
		return fmt.Errorf("the reason for the day is not one line of plain text")
	}
	return nil
}

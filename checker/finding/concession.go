package finding

import (
	"fmt"
	"strings"
	"time"

	"kitgauge/checker/source"
)

// Given is a concession as it is written in a kit file or beside it.
type Given struct {
	Rule      string
	Place     string // the trade's place of the finding, or its JSON Pointer
	Reason    string
	GrantedBy string
	Until     string
	Node      *source.Node
	Never     bool          // nothing that the rule finds can be conceded
	Longest   time.Duration // for which it may still run; 0 where that is open
	Misspelt  bool          // there is no such rule
	Nearest   string        // the rule that may be meant then, or ""
}

// The findings that concessions themselves give rise to.
const (
	ConcessionExpired    = "concession/expired"
	ConcessionUnused     = "concession/unused"
	ConcessionImpossible = "concession/impossible"
	ConcessionForbidden  = "concession/not-allowed"
	ConcessionTooLong    = "concession/too-long"
	ConcessionMisspelt   = "concession/no-such-rule"
)

// ConcessionRules lists their ids and titles.
var ConcessionRules = map[string]string{
	ConcessionExpired:    "A concession has not expired",
	ConcessionUnused:     "A concession covers something",
	ConcessionImpossible: "A concession covers only what could be evaluated",
	ConcessionForbidden:  "What protects people is not conceded",
	ConcessionTooLong:    "A concession does not run for too long",
	ConcessionMisspelt:   "A concession names a rule that there is",
}

// Day is the form of dates: 2026-11-25.
const Day = time.DateOnly

// Concede applies concessions to the findings of a kit as of a day, and adds
// the findings that the concessions themselves give rise to. A finding that
// is covered keeps its place in the list, with the status Conceded; it is
// never removed. What could not be read or evaluated cannot be conceded, and a
// concession that is not complete covers nothing. Of a concession for a rule
// whose findings are not all listed nobody can say that it covers nothing.
func Concede(list []Finding, omitted []Omitted, given []Given, on string) []Finding {
	byRule := map[string][]int{}
	for i := range list {
		byRule[list[i].Rule] = append(byRule[list[i].Rule], i)
	}
	partly := partlyListed(omitted)
	for i := range given {
		g := &given[i]
		if !g.complete() {
			continue
		}
		if more := g.apply(list, byRule[g.Rule], on); more != nil && !(more.Rule == ConcessionUnused && partly[g.Rule]) {
			byRule[more.Rule] = append(byRule[more.Rule], len(list))
			list = append(list, *more)
		}
	}
	Sort(list)
	return list
}

// complete reports whether a concession says all that it has to; the paperwork
// pack reports one that does not.
func (g *Given) complete() bool {
	for _, text := range []string{g.Rule, g.Place, g.Reason, g.GrantedBy} {
		if strings.TrimSpace(text) == "" {
			return false
		}
	}
	_, err := time.Parse(Day, g.Until)
	return err == nil
}

// apply gives what the concession covers its status, and returns the finding
// that the concession itself gives rise to, or nil. The findings of its rule
// stand in the list at of.
func (g *Given) apply(list []Finding, of []int, on string) *Finding {
	covered, impossible := g.matches(list, of)
	switch {
	case g.Misspelt:
		remedy := "take the concession out, or name the rule as a finding does"
		if g.Nearest != "" {
			remedy = fmt.Sprintf("write %s if that is meant", g.Nearest)
		}
		return g.finding(ConcessionMisspelt, Major, fmt.Sprintf("there is no rule %s", g.Rule), remedy)
	case g.Never:
		return g.finding(ConcessionForbidden, Critical,
			fmt.Sprintf("%s guards people, or the granting of concessions itself, and cannot be conceded", g.Rule), "take the concession out and correct the kit")
	case len(covered) > 0 && g.tooLong(on):
		return g.finding(ConcessionTooLong, Major,
			fmt.Sprintf("the concession for %s at %s runs until %s, longer than %.0f days", g.Rule, g.Place, g.Until, g.Longest.Hours()/24),
			fmt.Sprintf("have it granted until %s at most, or change the drawing", lastDay(on, g.Longest)))
	case len(covered) > 0 && g.Until < on: // days in this form compare as text
		return g.finding(ConcessionExpired, Major,
			fmt.Sprintf("the concession for %s at %s ended on %s", g.Rule, g.Place, g.Until), "correct the kit, or have the concession granted anew")
	case len(covered) > 0:
		for _, i := range covered {
			list[i].Status = Conceded
			list[i].Concession = &Concession{Reason: g.Reason, GrantedBy: g.GrantedBy, Until: g.Until, Pos: g.Node.Pos()}
		}
		return nil
	case impossible:
		return g.finding(ConcessionImpossible, Major,
			fmt.Sprintf("%s at %s could not be read or evaluated, and what is not known cannot be conceded", g.Rule, g.Place), "state what is missing, then judge the result")
	}
	return g.finding(ConcessionUnused, Minor,
		fmt.Sprintf("nothing is found by %s at %s", g.Rule, g.Place), "take the concession out")
}

// lastDay is the last day of a term that begins on a day.
func lastDay(on string, term time.Duration) string {
	from, err := time.Parse(Day, on)
	if err != nil {
		return on // cannot be: a term is judged only from a day
	}
	return from.Add(term).Format(Day)
}

// tooLong reports whether the concession still runs for longer than it may.
func (g *Given) tooLong(on string) bool {
	until, err := time.Parse(Day, g.Until)
	from, err2 := time.Parse(Day, on)
	return g.Longest > 0 && err == nil && err2 == nil && until.Sub(from) > g.Longest
}

// matches finds what the concession covers, and whether there is something
// that it would cover if that could be conceded.
func (g *Given) matches(list []Finding, of []int) (covered []int, impossible bool) {
	for _, i := range of {
		f := &list[i]
		if f.Place != g.Place && f.Pointer != g.Place {
			continue
		}
		if f.Status == Violated && !strings.HasPrefix(f.Rule, "file/") && !strings.HasPrefix(f.Rule, "concession/") {
			covered = append(covered, i)
		} else if f.Status != Conceded {
			impossible = true
		}
	}
	return covered, impossible
}

func (g *Given) finding(rule string, severity Severity, message, remedy string) *Finding {
	return &Finding{
		Rule: rule, Title: ConcessionRules[rule], Severity: severity, Status: Violated,
		Pos: g.Node.Pos(), Pointer: g.Node.Pointer(), Identity: g.Node.Identity() + "/" + g.Rule + "/" + g.Place,
		Place: "concession for " + g.Rule, Message: message, Remedy: remedy,
		Basis: "ISO 9000 (concession: permission to release what does not conform)",
	}
}

package finding

import (
	"fmt"
	"slices"
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
	State     // for which it was granted
	Node      *source.Node
	Share     float64       // by which the margin may be worse
	Nobody    bool          // granted by nobody whose name can be seen
	ByDrawer  bool          // who granted it may have drawn the kit
	Drawer    string        // who did; "" where the kit does not say
	Told      bool          // a rule in use finds that the drawer granted it
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
	ConcessionOutgrown   = "concession/outgrown"
	ConcessionByDrawer   = "concession/by-the-drawer"
	ConcessionByNobody   = "concession/by-nobody"
)

// ConcessionRules lists their ids and titles.
var ConcessionRules = map[string]string{
	ConcessionExpired:    "A concession has not expired",
	ConcessionUnused:     "A concession covers something",
	ConcessionImpossible: "A concession covers only what could be evaluated",
	ConcessionForbidden:  "What protects people is not conceded",
	ConcessionTooLong:    "A concession does not run for too long",
	ConcessionMisspelt:   "A concession names a rule that there is",
	ConcessionOutgrown:   "What is conceded is no worse than when it was granted",
	ConcessionByDrawer:   "A concession is granted by somebody other than who drew the kit",
	ConcessionByNobody:   "A concession says by a name that can be seen who granted it",
}

// Day is the form of dates: 2026-11-25.
const Day = time.DateOnly

// Concede applies concessions to the findings of a kit as of a day, and adds
// the findings that the concessions themselves give rise to. A finding that
// is covered keeps its place in the list, with the status Conceded; it is
// never removed. What could not be read or evaluated cannot be conceded, and a
// concession that is not complete, or was not read in full, covers nothing. Of a concession for a rule
// whose findings are not all listed nobody can say that it covers nothing.
func Concede(list []Finding, omitted []Omitted, given []Given, on string) []Finding {
	byRule := map[string][]int{}
	for i := range list {
		byRule[list[i].Rule] = append(byRule[list[i].Rule], i)
	}
	partly := partlyListed(omitted)
	for i := range given {
		g := &given[i]
		if !g.complete() || g.misread(list) {
			continue
		}
		for _, more := range g.apply(list, byRule[g.Rule], on) {
			if more.Rule == ConcessionUnused && partly[g.Rule] {
				continue
			}
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

// misread reports whether something of the concession could not be read, which a
// finding tells: nobody knows then for what it was granted.
func (g *Given) misread(list []Finding) bool {
	if g.Node == nil {
		return false
	}
	at, file := g.Node.Pointer(), g.Node.Pos().File
	return slices.ContainsFunc(list, func(f Finding) bool {
		return strings.HasPrefix(f.Rule, "file/") && f.Status == Violated && f.Pos.File == file && (f.Pointer == at || strings.HasPrefix(f.Pointer, at+"/"))
	})
}

// apply gives what the concession covers its status, and returns the findings
// that the concession itself gives rise to. The findings of its rule stand in
// the list at of.
func (g *Given) apply(list []Finding, of []int, on string) []*Finding {
	covered, impossible := g.matches(list, of)
	if why := g.void(len(covered) > 0, on); why != nil {
		return []*Finding{why}
	}
	switch {
	case len(covered) > 0 && g.ByDrawer && g.Told:
		return nil
	case len(covered) > 0:
		return g.cover(list, covered)
	case impossible:
		return []*Finding{g.finding(ConcessionImpossible, Major,
			fmt.Sprintf("%s at %s could not be read or evaluated, and what is not known cannot be conceded", g.Rule, g.Place), "state what is missing, then judge the result")}
	}
	if g.Place == "" {
		return nil // it covers nothing, and a rule tells that it does not say where
	}
	return []*Finding{g.finding(ConcessionUnused, Minor,
		fmt.Sprintf("nothing is found by %s at %s", g.Rule, g.Place), "take the concession out")}
}

// void says why the concession covers nothing, whatever is found; nil where it
// may. Some of it matters only where it would cover something.
func (g *Given) void(covers bool, on string) *Finding {
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
	case g.Nobody:
		return g.finding(ConcessionByNobody, Major,
			fmt.Sprintf("the concession for %s at %s is granted by nobody whose name can be seen", g.Rule, g.Place), "have somebody grant it under a name in letters")
	case covers && g.tooLong(on):
		return g.finding(ConcessionTooLong, Major,
			fmt.Sprintf("the concession for %s at %s runs until %s, longer than %.0f days", g.Rule, g.Place, g.Until, g.Longest.Hours()/24),
			fmt.Sprintf("have it granted until %s at most, or change the drawing", lastDay(on, g.Longest)))
	case covers && g.Until < on: // days in this form compare as text
		return g.finding(ConcessionExpired, Major,
			fmt.Sprintf("the concession for %s at %s ended on %s", g.Rule, g.Place, g.Until), "correct the kit, or have the concession granted anew")
	case covers && g.ByDrawer && !g.Told:
		says := fmt.Sprintf("%s grants the concession for %s at %s, and may have drawn the kit", g.GrantedBy, g.Rule, g.Place)
		if g.Drawer == "" {
			says = fmt.Sprintf("the kit does not say who drew it, so that it cannot be told whether %s granted the concession for %s at %s to himself or herself", g.GrantedBy, g.Rule, g.Place)
		}
		return g.finding(ConcessionByDrawer, Major, says, "state drawn_by in the header, and have somebody else grant it, or correct the kit")
	}
	return nil
}

// cover concedes what is no worse than when the concession was granted.
func (g *Given) cover(list []Finding, covered []int) []*Finding {
	var more []*Finding
	for _, i := range covered {
		f := &list[i]
		why := g.Worse(f, g.Share)
		if why == "" {
			f.Status = Conceded
			f.Concession = &Concession{Reason: g.Reason, GrantedBy: g.GrantedBy, Until: g.Until, Severity: g.Severity, Value: g.Value, Pos: g.Node.Pos()}
			continue
		}
		remedy := "correct the kit, or have the concession granted anew, for severity: " + f.Severity.String()
		if f.Value != nil {
			remedy += " and value: " + f.Value.Text
		}
		grown := g.finding(ConcessionOutgrown, Major,
			fmt.Sprintf("the concession for %s at %s was granted for less: %s", g.Rule, g.Place, why), remedy)
		if n := g.Node.Get("severity"); n != nil && (State{Severity: g.Severity}).Worse(f, 1) != "" {
			grown.Pos, grown.Pointer = n.Pos(), n.Pointer()
		}
		more = append(more, grown)
	}
	return more
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
		if f.Status == Violated && !strings.HasPrefix(f.Rule, "file/") && !strings.HasPrefix(f.Rule, "concession/") && !strings.HasPrefix(f.Rule, "gate/") {
			covered = append(covered, i)
		} else if f.Status != Conceded {
			impossible = true
		}
	}
	return covered, impossible
}

// faulty is the member of a concession that each rule is about.
var faulty = map[string]string{
	ConcessionExpired: "until", ConcessionTooLong: "until", ConcessionMisspelt: "rule", ConcessionForbidden: "rule",
	ConcessionUnused: "place", ConcessionImpossible: "place", ConcessionByDrawer: "granted_by", ConcessionByNobody: "granted_by",
	ConcessionOutgrown: "value",
}

func (g *Given) finding(rule string, severity Severity, message, remedy string) *Finding {
	at := g.Node
	if n := at.Get(faulty[rule]); n != nil {
		at = n
	}
	return &Finding{
		Rule: rule, Title: ConcessionRules[rule], Severity: severity, Status: Violated,
		Pos: at.Pos(), Pointer: at.Pointer(), Identity: g.Node.Identity() + "/" + g.Rule + "/" + g.Place,
		Place: "concession for " + g.Rule, Message: message, Remedy: remedy,
		Basis: "ISO 9000 (concession: permission to release what does not conform)",
	}
}

package dossier

import (
	"fmt"
	"slices"
	"strings"

	"kitgauge/checker"
	"kitgauge/checker/compare"
	"kitgauge/checker/report"
)

// Release is the release record that stands beside the kit, and what is not
// any more as it was then.
type Release struct {
	File                string
	Text                []byte // of the record
	Revision            string
	On, Signer, Verdict string
	Changed             []ReleaseChange
	Rules               bool   // the rules of the program are not those of the release
	Fault               string // why the record says nothing; "" where it does
}

// ReleaseChange is an input that is not what it was.
type ReleaseChange struct {
	Says   string
	Places []string // in it
}

// AddRelease adds the release record beside the kit to what the dossier is
// made from; nil adds nothing.
func (in *Input) AddRelease(r *Release) {
	in.Release = r
	if r != nil && r.Fault == "" {
		in.Files = append(in.Files, checker.Input{Role: "release record", Name: r.File, Text: r.Text})
	}
}

// since is what the first page says of what changed.
type since struct {
	Title string
	Says  []string
	Items []string
	More  string // what the list leaves out; "" where it is whole
	Link  bool   // to the section of changes
}

// mostChanges is how many changes the first page lists.
const mostChanges = 6

func newSince(in *Input) *since {
	switch {
	case in.Against != nil:
		return sinceRevision(in.Against)
	case in.Release != nil:
		return sinceRelease(in.Release)
	}
	return nil
}

func sinceRevision(c *compare.Comparison) *since {
	m := newChanges(c)
	s := &since{Title: m.title, Says: m.Lead, Link: true}
	var counts []string
	for _, one := range []struct {
		n                int
		oneText, several string
	}{{len(c.Changes), "thing stated otherwise", "things stated otherwise"}, {len(c.Figures), "computed value moved", "computed values moved"}} {
		if one.n > 0 {
			counts = append(counts, report.Count(one.n, one.oneText, one.several))
		}
	}
	came, went := 0, 0
	for _, f := range c.Findings {
		switch f.Kind {
		case compare.Added:
			came++
		case compare.Removed:
			went++
		}
	}
	if came+went > 0 {
		counts = append(counts, fmt.Sprintf("findings: %d new, %d gone", came, went))
	}
	if len(counts) > 0 {
		s.Says = append(s.Says, capital(strings.Join(counts, "; "))+".")
	}
	for _, change := range gravestFirst(c.Changes) {
		s.Items = append(s.Items, change.Text)
	}
	s.cut()
	return s
}

// bears says how much hangs on a section of the kit file: what can burn, tear
// or starve a bearing first, what names the kit last.
var bears = map[string]int{
	"feed":  3,
	"lines": 2, "bundles": 2, "joints": 2, "zones": 2, "parts": 2, "procedure": 2,
	"pump": 1, "points": 1,
	"header": -1, "documents": -1,
}

// gravestFirst is the changes in the order in which a page can do without them
// least, those of a section as they come.
func gravestFirst(all []compare.Change) []compare.Change {
	all = slices.Clone(all)
	slices.SortStableFunc(all, func(a, b compare.Change) int { return bears[b.Section] - bears[a.Section] })
	return all
}

func sinceRelease(r *Release) *since {
	s := &since{Title: "Changes since the release", Link: true}
	if r.Fault != "" {
		s.Link = false
		s.Says = []string{capital(r.Fault) + "."}
		return s
	}
	s.Says = releaseSays(r)
	for _, c := range r.Changed {
		if len(c.Places) == 0 {
			s.Items = append(s.Items, c.Says)
		}
		s.Items = append(s.Items, c.Places...)
	}
	s.cut()
	return s
}

// releaseSays tells of the release and whether something is otherwise now.
func releaseSays(r *Release) []string {
	says := []string{fmt.Sprintf("Revision %s was signed off by %s on %s, %s (%s; kitgauge verify looks at the signature).", r.Revision, r.Signer, r.On, r.Verdict, r.File)}
	if len(r.Changed) == 0 && !r.Rules {
		says = append(says, "Nothing that went in is otherwise now.")
	}
	if r.Rules {
		says = append(says, "The rules of this kitgauge are not those of the release.")
	}
	return says
}

// cut leaves out what is too much for the first page, and says how much.
func (s *since) cut() {
	if n := len(s.Items) - mostChanges; n > 1 {
		s.Items = s.Items[:mostChanges]
		s.More = fmt.Sprintf("and %d more", n)
	}
}

// releaseChanges is the section of what changed since the release.
func releaseChanges(r *Release) *changes {
	m := &changes{title: "Changes since the release", Lead: releaseSays(r)}
	n := 0
	for _, c := range r.Changed {
		l := changeList{Title: capital(c.Says), Items: c.Places}
		if len(c.Places) > 0 {
			l.Count = fmt.Sprint(len(c.Places))
		}
		n += max(len(c.Places), 1)
		m.Lists = append(m.Lists, l)
	}
	m.note = fmt.Sprint(n)
	return m
}

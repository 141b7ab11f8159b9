package injection_test

import (
	"strings"

	"kitgauge/checker/finding"
)

// A fault is one class of single mistake that people make in a kit file.
type fault struct {
	name  string
	class string   // what the packs must catch, one of classes
	rules []string // that it must cause
	// put makes the mistake at a place that it draws, and says what has to
	// come of it; nil where the kit has no place for it.
	put func(t *tree) *effect
	// size is the number of points of the kits that it is put into; 0 is any
	// that the trade builds.
	size int
}

// effect is what a mistake has to cause: the findings expected, and those that
// may rightly come with them.
type effect struct {
	finds   []expected
	follows []expected
}

// expected is a rule and a place as findings print it. In what follows, a
// place may have one * that stands for anything, and "" is any place.
type expected struct{ rule, place string }

func find(rule, place string) *effect { return &effect{finds: []expected{{rule, place}}} }

// and adds a finding that is expected too.
func (e *effect) and(rule, place string) *effect {
	e.finds = append(e.finds, expected{rule, place})
	return e
}

// with adds a finding that rightly follows at one of the places.
func (e *effect) with(rule string, places ...string) *effect {
	if len(places) == 0 {
		places = []string{""}
	}
	for _, p := range places {
		e.follows = append(e.follows, expected{rule, p})
	}
	return e
}

// allows reports whether a finding rightly follows.
func (e *effect) allows(f *finding.Finding) bool {
	for _, x := range e.follows {
		if x.rule == f.Rule && x.covers(f.Place) {
			return true
		}
	}
	return false
}

func (x expected) covers(place string) bool {
	head, tail, open := strings.Cut(x.place, "*")
	switch {
	case x.place == "":
		return true
	case !open:
		return place == x.place
	}
	return len(place) >= len(head)+len(tail) && strings.HasPrefix(place, head) && strings.HasSuffix(place, tail)
}

// score is what became of the faults of one rule.
type score struct {
	seeded, atPlace, elsewhere, missed, falseAlarms, follow int
}

func (s *score) add(o score) {
	s.seeded += o.seeded
	s.atPlace += o.atPlace
	s.elsewhere += o.elsewhere
	s.missed += o.missed
	s.falseAlarms += o.falseAlarms
	s.follow += o.follow
}

// judge holds what was found against what had to be found. The text says what
// is wrong, a line for each.
func (e *effect) judge(found []finding.Finding, scores map[string]*score) (complaints []string) {
	of := func(rule string) *score {
		if scores[rule] == nil {
			scores[rule] = &score{}
		}
		return scores[rule]
	}
	taken := make([]bool, len(found))
	take := func(ok func(*finding.Finding) bool) bool {
		for i := range found {
			if !taken[i] && ok(&found[i]) {
				taken[i] = true
				return true
			}
		}
		return false
	}
	for _, x := range e.finds {
		s := of(x.rule)
		s.seeded++
		if take(func(f *finding.Finding) bool {
			return f.Rule == x.rule && f.Place == x.place && f.Status == finding.Violated
		}) {
			s.atPlace++
		} else if take(func(f *finding.Finding) bool { return f.Rule == x.rule && !e.allows(f) }) {
			s.elsewhere++
			complaints = append(complaints, x.rule+" is not at "+x.place)
		} else {
			s.missed++
			complaints = append(complaints, x.rule+" at "+x.place+" is missed")
		}
	}
	for i := range found {
		switch f := &found[i]; {
		case taken[i]:
		case e.allows(f):
			of(f.Rule).follow++
		default:
			of(f.Rule).falseAlarms++
			complaints = append(complaints, f.Rule+" at "+f.Place+" ("+f.Status.String()+") was not expected: "+f.Message)
		}
	}
	return complaints
}

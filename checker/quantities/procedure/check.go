package procedure

import "slices"

// Conditions is what the list of kinds cannot tell.
type Conditions struct {
	RaisedBody bool // somebody works under a raised body, cab or boom
}

// Fault says how the needed step fails.
type Fault int

const (
	Missing  Fault = iota + 1 // not in the procedure at all
	TooLate                   // in the procedure, but only after it was needed
	TooEarly                  // done, but before a release or work that undid it, or before the step it must follow
)

func (f Fault) String() string {
	switch f {
	case Missing:
		return "missing"
	case TooLate:
		return "too late"
	case TooEarly:
		return "too early"
	}
	return "no fault"
}

// Breach is one departure from [Rules].
type Breach struct {
	Step  int    // index of the step that is let down, from 0
	Kind  string // its kind
	Needs string // the kind it needs before it (after it where Rule.Need is FirstNeedsThen)
	Fault Fault
	At    int // index of the needed step that does not serve; -1 when missing
	Rule  Rule
}

// Check compares the kinds of a procedure's steps, in their order, with
// [Rules] and returns every breach, by step and then in the order of Rules.
//
// A rule of scope Ever is reported at the first step it lets down; one of
// scope SinceRelease at the first such step after each release, so work after
// a temporary restore needs energy control again (29 CFR 1910.147(f)(1)(v)).
// Where none of the control was applied again, only its first element is
// reported. An empty kind is a step that could not be read: it needs nothing
// and serves nothing. Errors: *UnknownKindError for the first kind that is
// not in [Kinds]; no breach is reported then.
func Check(kinds []string, c Conditions) ([]Breach, error) {
	steps, err := resolve(kinds)
	if err != nil {
		return nil, err
	}
	t := newTimeline(steps)
	var breaches []Breach
	reported := make(map[[2]int]bool) // rule, period
	for i, k := range steps {
		stale := false // some control is out of date and none was applied again
		for n, r := range Rules {
			if r.Raised && !c.RaisedBody {
				continue
			}
			b, bad := t.examine(r, i, k)
			if !bad {
				continue
			}
			key := [2]int{n, t.period(r, i)}
			if reported[key] {
				continue
			}
			reported[key] = true
			if r.Each == EveryTouch && b.Fault == TooEarly && t.control[i] <= t.release[i] {
				if stale {
					continue
				}
				stale = true
			}
			breaches = append(breaches, b)
		}
	}
	return breaches, nil
}

func resolve(kinds []string) ([]Kind, error) {
	steps := make([]Kind, len(kinds))
	for i, name := range kinds {
		if name == "" {
			continue
		}
		k, ok := Lookup(name)
		if !ok {
			return nil, &UnknownKindError{Step: i, Kind: name, Nearest: Nearest(name)}
		}
		steps[i] = k
	}
	return steps, nil
}

// timeline is a procedure with what the scopes ask of it.
type timeline struct {
	at       map[string][]int // where each kind occurs
	releases []int            // how many releases lie before step i
	release  []int            // the last release before step i, or -1
	work     []int            // the last work step before step i, or -1
	control  []int            // the last step of energy control before step i, or -1
}

func newTimeline(steps []Kind) timeline {
	n := len(steps)
	t := timeline{make(map[string][]int), make([]int, n), make([]int, n), make([]int, n), make([]int, n)}
	count, release, work, control := 0, -1, -1, -1
	for i, k := range steps {
		t.at[k.Name] = append(t.at[k.Name], i)
		t.releases[i], t.release[i], t.work[i], t.control[i] = count, release, work, control
		if k.Release {
			count, release = count+1, i
		}
		if k.Work() {
			work = i
		}
		if k.Control {
			control = i
		}
	}
	return t
}

// period numbers the stretch within which one report of r is enough.
func (t timeline) period(r Rule, i int) int {
	switch r.Scope {
	case SinceWork:
		return i
	case SinceRelease:
		return t.releases[i]
	default:
		return 0
	}
}

// examine applies r to step i of kind k.
func (t timeline) examine(r Rule, i int, k Kind) (Breach, bool) {
	if r.Need == FirstNeedsThen {
		if k.Name != r.First {
			return Breach{}, false
		}
		fault, at := t.after(r, i)
		return Breach{i, k.Name, r.Then, fault, at, r}, fault != 0
	}
	if !r.binds(k, t.releases[i] > 0) {
		return Breach{}, false
	}
	fault, at := t.before(r, i)
	return Breach{i, k.Name, r.First, fault, at, r}, fault != 0
}

// after looks for a Then that follows step i.
func (t timeline) after(r Rule, i int) (Fault, int) {
	earlier, later := around(t.at[r.Then], i)
	if later >= 0 && (r.Scope == Ever || t.releases[later] == t.releases[i]) {
		return 0, later
	}
	switch {
	case earlier >= 0:
		return TooEarly, earlier
	case later >= 0:
		return TooLate, later
	}
	return Missing, -1
}

// before looks for a First that serves step i. An order-only rule of limited
// scope is content when First comes in another period.
func (t timeline) before(r Rule, i int) (Fault, int) {
	from := -1
	switch r.Scope {
	case SinceRelease:
		from = t.release[i]
	case SinceWork:
		from = t.work[i]
	}
	earlier, later := around(t.at[r.First], i)
	if earlier > from {
		return 0, earlier
	}
	soon := later >= 0 && (r.Scope == Ever || t.releases[later] == t.releases[i])
	switch {
	case r.Need == OrderOnly && !soon:
		return 0, -1
	case later >= 0 && (soon || earlier < 0):
		return TooLate, later
	case earlier >= 0:
		return TooEarly, earlier
	}
	return Missing, -1
}

// around returns the last of the ascending places before i and the first
// after it, -1 where there is none.
func around(places []int, i int) (earlier, later int) {
	earlier, later = -1, -1
	n, self := slices.BinarySearch(places, i)
	if n > 0 {
		earlier = places[n-1]
	}
	if self {
		n++
	}
	if n < len(places) {
		later = places[n]
	}
	return earlier, later
}

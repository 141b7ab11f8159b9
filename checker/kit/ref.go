package kit

import (
	"fmt"
	"slices"
	"strings"

	"kitgauge/checker/decode"
	"kitgauge/checker/source"
	"kitgauge/checker/spelling"
	"kitgauge/checker/value"
)

// Ref is a reference by name to something else in the kit or its catalogue.
type Ref[T any] struct {
	ID  value.Text
	To  *T     // nil where it is not stated or leads nowhere
	Why string // why To is nil; "" where it is not stated

	unread bool // it may lead to a part of a catalogue that could not be read

	meant string // what is meant by a name that leads nowhere; "" where that is not certain
}

// ReadNode reads the name.
func (r *Ref[T]) ReadNode(d *decode.Decoder, n *source.Node, m value.Member) {
	d.Value(n, &r.ID, m)
}

// Target returns what the reference leads to, or why it leads nowhere.
func (r *Ref[T]) Target() (to any, found bool, why string) {
	if r.To == nil {
		return nil, false, r.Why
	}
	return r.To, true, ""
}

// Unread reports whether nobody knows where the reference leads, because a
// catalogue could not be read.
func (r *Ref[T]) Unread() bool { return r.unread }

// Reason says why the reference leads nowhere, naming it as what.
func (r *Ref[T]) Reason(what string) string {
	if r.Why != "" {
		return r.Why
	}
	return r.ID.Reason(what)
}

// Source returns where the reference is written.
func (r *Ref[T]) Source() *source.Node { return r.ID.Node }

// index is what names can lead to.
type index[T any] struct {
	speller *speller
	what    string
	names   []string
	to      map[string]*T
	nodes   map[string]*source.Node // where the names are given
}

func newIndex[T any](s *speller, what string, list []*T, id func(*T) value.Text) *index[T] {
	x := &index[T]{speller: s, what: what, to: make(map[string]*T, len(list)), nodes: make(map[string]*source.Node, len(list))}
	for _, item := range list {
		name := id(item)
		if !name.Known {
			continue
		}
		if _, twice := x.to[name.V]; !twice {
			x.to[name.V], x.nodes[name.V] = item, name.Node
			x.names = append(x.names, name.V)
		}
	}
	return x
}

// resolve fills in the reference; it returns the reason when it leads nowhere.
func (x *index[T]) resolve(r *Ref[T]) string {
	if !r.ID.Known {
		return ""
	}
	x.speller.use(x.what, r.ID.V)
	if r.To = x.to[r.ID.V]; r.To != nil {
		return ""
	}
	hint, meant := x.speller.nearest(r.ID.V, x.names)
	r.Why, r.meant = fmt.Sprintf("no %s %q in this kit", x.what, r.ID.V)+hint, meant
	return r.Why
}

// free names, of those that are as near to a name that leads nowhere, one that
// nothing refers to yet, now that all names were seen.
func (x *index[T]) free(r *Ref[T]) {
	why, hinted := strings.CutSuffix(r.Why, spelling.Hint(r.ID.V, x.names))
	if r.To != nil || r.Why == "" || !hinted || why == r.Why {
		return
	}
	if x.speller.compared += len(x.names); x.speller.compared > mostCompared {
		return
	}
	unused := func(name string) bool { return x.speller.uses[use{x.what, name}] == 0 }
	r.Why = why + spelling.HintRather(r.ID.V, x.names, unused)
}

// mostCompared is how many names are compared with misspelt ones in one kit;
// after so many a name that leads nowhere is reported without the nearest.
const mostCompared = 200_000

// speller looks for what misspelt names mean.
type speller struct {
	compared int
	uses     map[use]int
}

// use is a name of a kind of things that something refers to.
type use struct{ what, name string }

func (s *speller) use(what, name string) {
	if s.uses == nil {
		s.uses = map[use]int{}
	}
	s.uses[use{what, name}]++
}

// certain is what is meant by a name that leads nowhere, where that can be
// written without asking: what is in use already is meant only by what is
// written much like it, and of a name that several refer to rather the thing is
// missing.
func (s *speller) certain(what, name, meant string) string {
	if s.uses[use{what, name}] > 1 || s.uses[use{what, meant}] > 0 && !spelling.Near(name, meant) {
		return ""
	}
	return meant
}

// renamed reports whether rather the name of the thing is misspelt: several
// refer to the other, and none to the thing.
func (s *speller) renamed(what, name, meant string) bool {
	return meant != "" && s.uses[use{what, name}] > 1 && s.uses[use{what, meant}] == 0 && spelling.Near(name, meant)
}

// nearest is a hint at the end of a sentence, and the name where one alone is
// nearest.
func (s *speller) nearest(word string, names []string) (hint, meant string) {
	if s.compared += len(names); s.compared > mostCompared {
		return "", ""
	}
	if hint = spelling.Hint(word, names); hint != "" {
		meant = spelling.Only(word, names)
	}
	return hint, meant
}

// Meant is what is meant by a name that leads nowhere; "" where that is not
// certain.
func (r *Ref[T]) Meant() string { return r.meant }

// StationMeant is the station of its bundle that is meant by a misspelt one, where
// that is certain.
func (l *Line) StationMeant() string { return l.stationMeant }

// stations says what is meant by misspelt stations.
func (k *Kit) stations(s *speller) {
	for _, l := range k.Lines {
		if l.Bundle.To != nil && l.LeavesAt.Known {
			s.use("station of "+l.Bundle.ID.V, l.LeavesAt.V)
		}
	}
	for _, l := range k.Lines {
		if l.Bundle.To == nil || !l.LeavesAt.Known {
			continue
		}
		var ids []string
		for _, s := range l.Bundle.To.Route {
			if s.ID.Known {
				ids = append(ids, s.ID.V)
			}
		}
		if !slices.Contains(ids, l.LeavesAt.V) {
			l.stationMeant = s.certain("station of "+l.Bundle.ID.V, l.LeavesAt.V, spelling.Only(l.LeavesAt.V, ids))
		}
	}
}

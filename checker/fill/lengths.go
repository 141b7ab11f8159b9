package fill

import (
	"cmp"
	"encoding/json"
	"math"
	"slices"
	"strconv"
	"strings"

	"kitgauge/checker/edit"
	"kitgauge/checker/facts"
	"kitgauge/checker/units"
)

// The rule that wants a free length stated says what the slack of the span
// asks for; its limits say in what steps it grows until its loop will do.
const (
	ruleOfFree = "slack/free-length-stated"
	stepOfFree = "slack/cut_step"
	gapOfTies  = "routing/tie_gap"
	benchOfCut = "routing/bench"
)

// freeLengths states the least free length with which no rule finds anything
// about the span.
func (f *filler) freeLengths() error {
	var list []choice
	for i := range f.now.Findings {
		found := &f.now.Findings[i]
		if found.Rule != ruleOfFree {
			continue
		}
		fresh := f.fresh(found)
		if len(fresh) != 1 {
			f.lacks(found.Place, found.Message+", and how far its ends come apart is not known")
			continue
		}
		list = append(list, choice{place: found.Place, about: []string{found.Place}, options: f.longer(fresh[0]), least: true})
	}
	return f.choose(list)
}

// longer are a free length and those beyond it.
func (f *filler) longer(c edit.Change) []option {
	var text string
	if json.Unmarshal([]byte(c.Value), &text) != nil {
		return nil
	}
	least, err := units.Parse(text, units.Length)
	step := f.limit(stepOfFree)
	options := []option{{label: text, changes: []edit.Change{c}}}
	for i := 1; err == nil && step.Known && i < mostOptions; i++ {
		text := units.FormatAtLeast(least+float64(i)*step.V, units.Length, f.facts().Family())
		longer := c
		longer.Value = edit.Text(text)
		options = append(options, option{label: text, changes: []edit.Change{longer}})
	}
	return options
}

// ties puts ties along the runs that nothing holds for too long, evenly.
func (f *filler) ties() error {
	most, bench := f.limit(gapOfTies), f.limit(benchOfCut)
	if !most.Known {
		f.lacks("the kit", most.Why)
		return nil
	}
	at := map[string][]float64{} // by the list of ties, from the stop before
	for _, s := range f.facts().Stretches {
		held := s.Held()
		for i := 1; i < len(held); i++ {
			gap := held[i] - held[i-1]
			if s.Gap.V <= most.V || gap <= most.V {
				continue
			}
			for _, v := range evenly(gap, most.V, bench.V) {
				pointer, from := alongOf(s, held[i-1]+v)
				at[pointer] = append(at[pointer], from)
				f.note(s.Place(), "a tie "+f.metres(from)+" past the station before")
			}
		}
	}
	var changes []edit.Change
	for _, pointer := range sortedKeys(at) {
		changes = append(changes, f.tiesAt(pointer, at[pointer])...)
	}
	return f.accept(changes)
}

// evenly divides a gap by as few ties as it takes, at places as fine as a bench
// works where that leaves no gap too wide.
func evenly(gap, most, bench float64) []float64 {
	pieces := int(gap/most) + 1
	piece := gap / float64(pieces)
	if bench > 0 {
		round := math.Ceil(piece/bench) * bench
		if last := gap - round*float64(pieces-1); round <= most && last > 0 {
			piece = round
		}
	}
	var at []float64
	for n := 1; n < pieces; n++ {
		at = append(at, piece*float64(n))
	}
	return at
}

func (f *filler) metres(v float64) string {
	return units.Format(v, units.Length, f.facts().Family())
}

// alongOf finds the list of ties that holds a place of a stretch, and how far
// that place is from the stop before.
func alongOf(s *facts.Stretch, at float64) (pointer string, from float64) {
	for i := s.Ends[0] + 1; ; i++ {
		hop, _ := s.Route.Hop(i)
		if at > hop && i < s.Ends[1] {
			at -= hop
			continue
		}
		stop := s.Route.Stops[i]
		if stop.Station == nil {
			return stop.Node.Pointer() + "/last_ties", at
		}
		return stop.Node.Pointer() + "/ties", at
	}
}

// tiesAt writes ties into a list, in the order of their places.
func (f *filler) tiesAt(pointer string, at []float64) []edit.Change {
	slices.Sort(at)
	var items []string
	var changes []edit.Change
	stated := f.statedTies(pointer)
	for _, v := range at {
		item := `{"at": ` + edit.Text(f.metres(v)) + `}`
		items = append(items, item)
		before, _ := slices.BinarySearchFunc(stated, v, cmp.Compare[float64])
		changes = append(changes, edit.Change{Do: edit.Insert, At: pointer + "/" + strconv.Itoa(before), Value: item})
	}
	if f.empty(pointer) {
		return []edit.Change{{Do: edit.Set, At: pointer, Value: "[" + strings.Join(items, ", ") + "]"}}
	}
	slices.Reverse(changes)
	return changes
}

// statedTies are the places of the ties in a list, as they stand there.
func (f *filler) statedTies(pointer string) []float64 {
	list := f.root.Lookup(pointer)
	if list == nil {
		return nil
	}
	var at []float64
	for _, item := range list.Items {
		v := 0.0
		if n := item.Get("at"); n != nil {
			v, _ = units.Parse(n.Scalar, units.Length)
		}
		at = append(at, v)
	}
	return at
}

func sortedKeys[V any](m map[string]V) []string {
	keys := make([]string, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	return keys
}

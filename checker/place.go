package checker

import (
	"fmt"
	"slices"
	"strings"

	"kitgauge/checker/facts"
	"kitgauge/checker/spelling"
)

// AmbiguousPlace is a name alone that several things have.
type AmbiguousPlace struct {
	Name   string
	Things []string // as findings name them
}

// Error says which they are.
func (a *AmbiguousPlace) Error() string {
	last := len(a.Things) - 1
	return fmt.Sprintf("%q may be %s or %s: say which", a.Name, strings.Join(a.Things[:last], ", "), a.Things[last])
}

// mostMeant is how many things are named that a name alone may mean.
const mostMeant = 4

// meant are the places that are asked for, as findings name them: a name alone,
// "D1" or "7", stands for the thing that has it.
func meant(results []*Result, places []string) ([]string, error) {
	if len(places) == 0 {
		return nil, nil
	}
	all := placesOf(results)
	var list []string
	for _, place := range places {
		things := called(all, place)
		switch {
		case slices.ContainsFunc(all, func(p string) bool { return at(p, place) }) || len(things) == 0:
			list = append(list, place)
		case len(things) == 1:
			list = append(list, things[0])
		default:
			return nil, &AmbiguousPlace{place, things[:min(len(things), mostMeant)]}
		}
	}
	return list, nil
}

// placesOf lists the things of kits as findings name them, and where something
// is found beside.
func placesOf(results []*Result) []string {
	var list []string
	seen := map[string]bool{}
	add := func(place string) {
		if !seen[place] {
			seen[place] = true
			list = append(list, place)
		}
	}
	for _, r := range results {
		if r.Facts != nil {
			for _, kind := range facts.Kinds() {
				for _, s := range r.Facts.Subjects(kind.Name) {
					add(s.Place())
				}
			}
		}
		for _, f := range r.Findings {
			add(f.Place)
		}
	}
	return list
}

// called lists the things of a name alone: of "bundle FL, station fl-4" that is
// "fl-4".
func called(places []string, name string) []string {
	var list []string
	for _, place := range places {
		for _, thing := range heads(place) {
			last := thing[strings.LastIndex(thing, ", ")+1:]
			kind, own, found := strings.Cut(strings.TrimPrefix(last, " "), " ")
			if found && kind != "at" && own == name && !slices.Contains(list, thing) {
				list = append(list, thing)
			}
		}
	}
	return list
}

// heads are the things that a place is, or lies in, without what is said of
// them in brackets.
func heads(place string) []string {
	if head, _, said := strings.Cut(place, " ("); said {
		return heads(head)
	}
	var list []string
	for i := range place {
		if strings.HasPrefix(place[i:], ", ") {
			list = append(list, place[:i])
		}
	}
	return append(list, place)
}

// Nowhere says of the places that were asked for, and at which nothing is
// found, which they are, and which is nearest where there is no such place.
func (f *Fix) Nowhere() []string {
	var list []string
	var all, known []string
	for _, place := range f.Places {
		if slices.ContainsFunc(f.Before, func(r *Result) bool { return r.foundAt(place) }) {
			continue
		}
		if all == nil {
			all = placesOf(f.Before)
			for _, p := range all {
				known = append(known, heads(p)...)
			}
		}
		says := fmt.Sprintf("nothing is found at the place %q", place)
		if !slices.ContainsFunc(all, func(p string) bool { return at(p, place) }) {
			says += spelling.Hint(place, known)
		}
		list = append(list, says)
	}
	return list
}

// foundAt reports whether something is found at a place, or within it.
func (r *Result) foundAt(place string) bool {
	for i := range r.Findings {
		if at(r.Findings[i].Place, place) {
			return true
		}
	}
	return false
}

// at reports whether a place is another, or within it. "point D1" is the place
// "point D1 (Drawbar hinge, left)" as well.
func at(place, other string) bool {
	return place == other || strings.HasPrefix(place, other+", ") || strings.HasPrefix(place, other+" (")
}

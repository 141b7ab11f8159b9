package drawing

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"kitgauge/checker/facts"
	"kitgauge/checker/report"
	"kitgauge/checker/spelling"
)

// SpanAt finds the span that a place names, or the JSON Pointer of the station
// at which it arrives, which tells apart spans of one place.
func SpanAt(k *facts.Kit, place string) (*facts.Span, error) {
	var found []*facts.Span
	var places, pointers []string
	for _, s := range k.Spans {
		pointer := s.Source().Pointer()
		if s.Place() == place || pointer == place {
			found = append(found, s)
			pointers = append(pointers, pointer)
		}
		places = append(places, s.Place())
	}
	switch {
	case len(found) == 1:
		return found[0], nil
	case len(found) > 1:
		return nil, fmt.Errorf("there are %d spans at %q: name one by %s", len(found), place, strings.Join(pointers, " or "))
	case len(places) == 0:
		return nil, errors.New("the kit has no free span")
	}
	if n := spelling.Nearest(place, places); n != "" {
		return nil, fmt.Errorf("there is no span %q; nearest is %q", place, report.Visible(n))
	}
	slices.SortFunc(places, spelling.Natural)
	return nil, fmt.Errorf("there is no span %q; the first of %d is %q", place, len(places), report.Visible(places[0]))
}

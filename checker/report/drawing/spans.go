package drawing

import (
	"cmp"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"kitgauge/checker/facts"
	"kitgauge/checker/finding"
)

// MostSpans is how many spans of a kit are drawn in one page: nobody turns
// more over, and each takes some ten kilobytes.
const MostSpans = 120

// Spans draws the spans of one kit. What all of them need is worked out once.
type Spans struct {
	in      Input
	beside  map[*facts.Span][2]*r3.Vec // the stops before and after, on the same bodies
	ordered []finding.Finding          // the gravest first
	at      map[string][]int           // the findings about a place, or a part of the file and what is in it
}

// NewSpans makes drawings of spans ready.
func NewSpans(in Input) *Spans {
	s := &Spans{in: in, beside: map[*facts.Span][2]*r3.Vec{}, at: map[string][]int{}}
	for _, r := range in.Kit.Routes() {
		s.route(&r)
	}
	if in.Plain {
		return s
	}
	s.ordered = ordered(in.Findings)
	for i := range s.ordered {
		f := &s.ordered[i]
		s.note(placeKey(f.Place), i)
		for pointer := f.Pointer; pointer != ""; pointer = pointer[:strings.LastIndexByte(pointer, '/')] {
			s.note(fileKey(f.Pos.File, pointer), i)
		}
	}
	return s
}

func placeKey(place string) string        { return "\x00" + place }
func fileKey(file, pointer string) string { return file + "\x00" + pointer }
func (s *Spans) note(key string, i int)   { s.at[key] = append(s.at[key], i) }

// route notes the neighbours of the spans of a route.
func (s *Spans) route(r *facts.Route) {
	beside := func(a, b *facts.Stop) *r3.Vec {
		if a.Body != b.Body || !a.Position.Known() {
			return nil
		}
		at := a.Position.Vec()
		return &at
	}
	for i := range r.Stops {
		span := r.Stops[i].Span
		if _, twice := s.beside[span]; span == nil || twice {
			continue
		}
		var near [2]*r3.Vec
		if i > 1 {
			near[0] = beside(&r.Stops[i-2], &r.Stops[i-1])
		}
		if i+1 < len(r.Stops) {
			near[1] = beside(&r.Stops[i+1], &r.Stops[i])
		}
		s.beside[span] = near
	}
}

// Write draws one of them, with ids that begin so.
func (s *Spans) Write(w io.Writer, span *facts.Span, id string) error {
	in := s.in
	in.ID = id
	d, err := s.newDrawing(in, span)
	if err != nil {
		return fmt.Errorf("%s cannot be drawn: %w", span.Place(), err)
	}
	size := in.Paper.size()
	page := in.sheet(size.w, size.h)
	d.draw(page)
	return page.write(w, d.title(), d.about())
}

// The room of a small drawing [mm]: two of them on an upright A4 or Letter page.
const (
	smallWidth  = 180.0
	smallHeight = 112.0
)

// WriteSmall draws one of them without frame, figures and title block, for a
// page that says elsewhere what stands there.
func (s *Spans) WriteSmall(w io.Writer, span *facts.Span, id string) error {
	in := s.in
	in.ID = id
	d, err := s.newDrawing(in, span)
	if err != nil {
		return fmt.Errorf("%s cannot be drawn: %w", span.Place(), err)
	}
	d.small = true
	page := in.sheet(smallWidth, smallHeight)
	page.trimmed = false
	d.views(page, box{0, 0, smallWidth, smallHeight})
	return page.write(w, d.title(), d.about())
}

// Found reports whether something is found about a span, or about a part of the
// file in it, that is not settled.
func (s *Spans) Found(span *facts.Span) bool {
	return slices.ContainsFunc(s.concerns(span), func(f finding.Finding) bool { return !f.Status.Settled() })
}

// about are the places in the list of findings of those about a span.
func (s *Spans) about(span *facts.Span) []int {
	list := slices.Clone(s.at[placeKey(span.Place())])
	if n := span.Source(); n != nil {
		list = append(list, s.at[fileKey(n.Pos().File, n.Pointer())]...)
	}
	slices.Sort(list)
	return slices.Compact(list)
}

// concerns lists the findings about a span.
func (s *Spans) concerns(span *facts.Span) []finding.Finding {
	var out []finding.Finding
	for _, i := range s.about(span) {
		out = append(out, s.ordered[i])
	}
	return out
}

// Chosen are the spans to draw, in their order: where there are more than
// MostSpans, those with findings, the gravest first, and then those nearest to
// a limit.
func (s *Spans) Chosen() []*facts.Span {
	all := s.in.Kit.Spans
	if len(all) <= MostSpans {
		return all
	}
	type ranked struct {
		at      int
		finding int // the gravest about it
		room    float64
	}
	list := make([]ranked, len(all))
	for i, span := range all {
		list[i] = ranked{i, math.MaxInt, room(span)}
		if about := s.about(span); len(about) > 0 {
			list[i].finding = about[0]
		}
	}
	slices.SortStableFunc(list, func(a, b ranked) int {
		return cmp.Or(cmp.Compare(a.finding, b.finding), cmp.Compare(a.room, b.room), cmp.Compare(a.at, b.at))
	})
	list = list[:MostSpans]
	slices.SortFunc(list, func(a, b ranked) int { return cmp.Compare(a.at, b.at) })
	out := make([]*facts.Span, len(list))
	for i, r := range list {
		out[i] = all[r.at]
	}
	return out
}

// room is how far a span is from a limit, as a share: its slack of its length,
// and the radius of its loop above the least.
func room(span *facts.Span) float64 {
	least := math.Inf(1)
	if span.Slack.Known && span.Longest.Known && span.Longest.V > 0 {
		least = min(least, span.Slack.V/span.Longest.V)
	}
	if span.LoopRadius.Known && span.BendRadius.Known && span.BendRadius.V > 0 {
		least = min(least, span.LoopRadius.V/span.BendRadius.V-1)
	}
	return least
}

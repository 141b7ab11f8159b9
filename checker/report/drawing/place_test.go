package drawing

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// These tests are inside the package: what they hold, the layout, has no
// exported name.

func anySpot(in box) *rapid.Generator[spot] {
	return rapid.Custom(func(t *rapid.T) spot {
		return spot{fine(rapid.Float64Range(in.x0, in.x1).Draw(t, "x")), fine(rapid.Float64Range(in.y0, in.y1).Draw(t, "y"))}
	})
}

// TestReferencesApart: whatever the points, references do not overlap, leaders
// cross neither each other nor a reference, and every point has its reference.
func TestReferencesApart(t *testing.T) {
	view := box{30, 60, 330, 140}
	rapid.Check(t, func(t *rapid.T) {
		var list []item
		for _, at := range rapid.SliceOfN(anySpot(view), 1, 90).Draw(t, "points") {
			refs := make([]reference, rapid.IntRange(1, 3).Draw(t, "refs"))
			for i := range refs {
				refs[i] = reference{text: itoa(rapid.IntRange(1, 120).Draw(t, "number"))}
			}
			list = append(list, item{at: at, dots: []spot{at}, refs: refs})
		}
		r, ok := newRows(list, 22, 340, view, rapid.Bool().Draw(t, "below"))
		if !ok {
			return
		}
		var dots []spot
		for _, p := range list {
			dots = append(dots, p.at)
		}
		placed := append(r.place(r.up, view.y0-12, true, dots), r.place(r.down, view.y1+12, false, dots)...)
		if len(placed) != len(list) {
			t.Fatalf("got %d references, want %d", len(placed), len(list))
		}
		for i := range placed {
			for j := range i {
				if err := balloonsApart(&placed[i], &placed[j]); err != "" {
					t.Fatal(err)
				}
			}
		}
	})
}

func balloonsApart(a, b *balloon) string {
	for _, x := range a.boxes {
		for _, y := range b.boxes {
			if x.overlaps(y) {
				return "two references overlap"
			}
		}
		if b.leader.meets(x) {
			return "a leader runs over a reference"
		}
	}
	for _, y := range b.boxes {
		if a.leader.meets(y) {
			return "a leader runs over a reference"
		}
	}
	// what touches within rounding does not cross
	short := func(s stroke) stroke { return stroke{towards(s.a, s.b, 0.01), towards(s.b, s.a, 0.01)} }
	if short(a.leader).crosses(short(b.leader)) && distance(a.at, b.at) > 0.02 {
		return "two leaders cross"
	}
	return ""
}

// TestAssignLeast holds the assignment to the least of all permutations
// (recomputed by trying every one).
func TestAssignLeast(t *testing.T) {
	in := box{0, 0, 100, 100}
	rapid.Check(t, func(t *rapid.T) {
		places := rapid.SliceOfN(anySpot(in), 0, 5).Draw(t, "places")
		slots := rapid.SliceOfN(anySpot(in), len(places), 6).Draw(t, "slots")
		chosen := assign(places, slots)
		got := 0.0
		for i, j := range chosen {
			if slices.Index(chosen, j) != i {
				t.Fatalf("slot %d is given twice", j)
			}
			got += distance(places[i], slots[j])
		}
		if want := leastOf(places, slots, 0); math.Abs(got-want) > 1e-4 {
			t.Errorf("got a length of %g, want %g", got, want)
		}
	})
}

func leastOf(places, slots []spot, taken uint) float64 {
	if len(places) == 0 {
		return 0
	}
	least := math.Inf(1)
	for j, s := range slots {
		if taken&(1<<j) == 0 {
			least = min(least, distance(places[0], s)+leastOf(places[1:], slots, taken|1<<j))
		}
	}
	return least
}

// TestLabelsApart: labels do not overlap, and stay within.
func TestLabelsApart(t *testing.T) {
	in := box{0, 0, 120, 80}
	rapid.Check(t, func(t *rapid.T) {
		p := &placer{within: in}
		for range rapid.IntRange(0, 20).Draw(t, "strokes") {
			p.strokes = append(p.strokes, stroke{anySpot(in).Draw(t, "from"), anySpot(in).Draw(t, "to")})
		}
		var placed []box
		for range rapid.IntRange(1, 60).Draw(t, "labels") {
			at := anySpot(in).Draw(t, "at")
			w, h := rapid.Float64Range(1, 30).Draw(t, "width"), rapid.Float64Range(1, 8).Draw(t, "height")
			put := p.put
			if rapid.Bool().Draw(t, "optional") {
				put = p.putClear
			}
			b, ok := put(at, w, h, rapid.Float64Range(-2, 4).Draw(t, "least"), 60)
			if !ok {
				continue
			}
			if !in.holds(b) {
				t.Fatalf("the label %v is outside", b)
			}
			for _, other := range placed {
				if b.overlaps(other) {
					t.Fatalf("the labels %v and %v overlap", b, other)
				}
			}
			placed = append(placed, b)
		}
	})
}

// TestMeets holds the clipping of a stroke to places tried along it.
func TestMeets(t *testing.T) {
	in := box{0, 0, 10, 10}
	b := box{3, 4, 7, 6}
	rapid.Check(t, func(t *rapid.T) {
		s := stroke{anySpot(in).Draw(t, "from"), anySpot(in).Draw(t, "to")}
		inside := false
		for i := range 2001 {
			f := float64(i) / 2000
			p := spot{s.a.x + f*(s.b.x-s.a.x), s.a.y + f*(s.b.y-s.a.y)}
			inside = inside || p.x > b.x0 && p.x < b.x1 && p.y > b.y0 && p.y < b.y1
		}
		switch {
		case inside && !s.meets(b):
			t.Errorf("%v goes through %v: got false, want true", s, b)
		case !inside && s.meets(b.grown(-0.02)):
			t.Errorf("%v passes %v: got true, want false", s, b)
		}
	})
}

// TestHull: the outline turns one way and holds every place.
func TestHull(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		list := rapid.SliceOfN(anySpot(box{0, 0, 50, 50}), 1, 20).Draw(t, "places")
		h := hull(list)
		for i := range h {
			a, b := h[i], h[(i+1)%len(h)]
			for _, p := range list {
				if (b.x-a.x)*(p.y-a.y)-(b.y-a.y)*(p.x-a.x) < -1e-6 {
					t.Fatalf("%v lies outside of %v", p, h)
				}
			}
		}
	})
}

// TestFit: what is cut to a width keeps to it.
func TestFit(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.String().Draw(t, "text")
		room := rapid.Float64Range(4, 60).Draw(t, "room")
		if got := fit(text, 2, room, true); width(got, 2, true) > room {
			t.Errorf("fit(%q) to %g is %g wide", text, room, width(got, 2, true))
		}
		lines := wrap(text, 2, room, false, 3)
		if len(lines) > 3 {
			t.Errorf("got %d lines, want at most 3", len(lines))
		}
		for _, line := range lines {
			if width(line, 2, false) > room {
				t.Errorf("the line %q is wider than %g", line, room)
			}
		}
	})
}

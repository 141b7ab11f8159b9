package drawing_test

import (
	"fmt"
	"math"
	"slices"
)

// referenced holds the references of both views to the manner of ISO 6433:
// outside of the view in rows at even distances, leaders that cross neither
// each other nor a reference.
func (d *drawn) referenced() error {
	for _, view := range []string{"side-view", "top-view"} {
		var leaders [][2][2]float64
		var balloons [][4]float64
		for _, s := range d.shapes {
			switch {
			case s.view == view && s.class == "reference":
				leaders = append(leaders, [2][2]float64{s.path[0], s.path[1]})
			case s.view == view && s.class == "balloon" && s.element == "rect":
				balloons = append(balloons, [4]float64{s.at["x"], s.at["y"], s.at["x"] + s.at["width"], s.at["y"] + s.at["height"]})
			}
		}
		if err := apart(leaders, balloons); err != nil {
			return fmt.Errorf("%s: %w", view, err)
		}
		if err := even(leaders); err != nil {
			return fmt.Errorf("%s: %w", view, err)
		}
	}
	return nil
}

func apart(leaders [][2][2]float64, balloons [][4]float64) error {
	for i, l := range leaders {
		for _, m := range leaders[:i] {
			if cross(l, m) {
				return fmt.Errorf("the leaders to %v and %v cross", l[1], m[1])
			}
		}
		for _, b := range balloons {
			for step := range 1000 { // up to just before its end
				f := float64(step) / 1000 * 0.999
				x, y := l[0][0]+(l[1][0]-l[0][0])*f, l[0][1]+(l[1][1]-l[0][1])*f
				if x > b[0]+0.02 && x < b[2]-0.02 && y > b[1]+0.02 && y < b[3]-0.02 {
					return fmt.Errorf("the leader to %v runs over the reference at %v", l[1], b)
				}
			}
		}
	}
	return nil
}

func cross(l, m [2][2]float64) bool {
	side := func(a, b, c [2]float64) float64 {
		v := (b[0]-a[0])*(c[1]-a[1]) - (b[1]-a[1])*(c[0]-a[0])
		if math.Abs(v) < 0.05 { // an end that touches; numbers are rounded
			return 0
		}
		return v
	}
	return side(l[0], l[1], m[0])*side(l[0], l[1], m[1]) < 0 && side(m[0], m[1], l[0])*side(m[0], m[1], l[1]) < 0
}

// even holds the ends of the leaders to two rows, and in each to multiples of
// the least distance.
func even(leaders [][2][2]float64) error {
	rows := map[float64][]float64{}
	for _, l := range leaders {
		rows[l[1][1]] = append(rows[l[1][1]], l[1][0])
	}
	if len(rows) > 2 {
		return fmt.Errorf("got %d rows of references, want at most 2", len(rows))
	}
	for y, xs := range rows {
		slices.Sort(xs)
		least := math.Inf(1)
		for i := 1; i < len(xs); i++ {
			least = min(least, xs[i]-xs[i-1])
		}
		for i := 1; i < len(xs); i++ {
			if n := (xs[i] - xs[0]) / least; math.Abs(n-math.Round(n)) > 0.1 {
				return fmt.Errorf("the references of the row at %g stand at %v", y, xs)
			}
		}
	}
	return nil
}

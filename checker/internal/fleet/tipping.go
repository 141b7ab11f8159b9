package fleet

import (
	"math"
	"slices"
)

// leastTip is the least angle in degrees that a body tips by; the rules ask
// for 20.
const leastTip = 20

// stopTipping sets the stops of the tipping bodies: a body with a long rear
// tips less, so that nothing behind it comes near the ground.
func (f *fitter) stopTipping() {
	for _, j := range f.joints {
		if j.role != "tipping" {
			continue
		}
		for j.to > leastTip && !f.clears(j) {
			j.to--
		}
	}
}

// clears reports whether all stops that a hinge tips stay above the ground.
func (f *fitter) clears(hinge *joint) bool {
	sin, cos := math.Sincos(hinge.to * math.Pi / 180)
	for _, s := range f.stops() {
		if !slices.Contains(hanging(s.body), hinge) {
			continue
		}
		behind := hinge.pivot.X - s.at.X
		if hinge.pivot.Z+(s.at.Z-hinge.pivot.Z)*cos-behind*sin < lowest(behind) {
			return false
		}
	}
	return true
}

// lowest is how high a stop has to be, in mm, that is so far behind the hinge:
// 200 by the rules, and the way that the springs let it down there, 85 at the
// rear axle and more behind it as the front comes up.
func lowest(behind float64) float64 {
	const axleToHinge, wheelbase, pitch = 1150.0, 3200.0, 175.0
	return 215 + 85 + pitch*(max(behind, 0)+axleToHinge)/wheelbase
}

// stops are all places that hold a tube.
func (f *fitter) stops() []stop {
	var out []stop
	add := func(route []station) {
		for i := range route {
			out = append(out, route[i].stop)
		}
	}
	for _, b := range f.bundles {
		add(b.route)
	}
	for _, l := range f.lines {
		add(l.tail)
	}
	return out
}

package fleet

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"kitgauge/checker/quantities/bundling"
	"kitgauge/checker/quantities/motion"
)

// slackOf is the least slack of a span over these joints, in mm: that of the
// joint that moves furthest. The rules ask for 20, 30 and 50 mm.
func slackOf(a, b *body) float64 {
	most := 25.0
	for _, j := range append(hanging(a), hanging(b)...) {
		switch {
		case j.role == "suspension" || shared(j, a, b):
		case j.role == "steering":
			most = max(most, 35)
		default:
			most = max(most, 55)
		}
	}
	return most
}

// shared reports whether a joint moves both bodies alike.
func shared(j *joint, a, b *body) bool {
	carries := func(b *body) bool {
		for _, h := range hanging(b) {
			if h == j {
				return true
			}
		}
		return false
	}
	return carries(a) && carries(b)
}

// deeper is by how much a tube in clips hangs out farther than an arc, at most:
// 1.13 with clips at 30 deg to the span, 1.07 where they are along it.
const deeper = 1.15

// usualSag is the room that a loop has where none is stated.
const usualSag = 150.0

// free works out the free length of a span, and the room for its loop where
// it needs more than usual.
func (f *fitter) free(a, b stop) (length, sagRoom float64, err error) {
	shortest, longest, err := chain(a.body, b.body).Extremes(r3.Scale(1e-3, a.at), r3.Scale(1e-3, b.at))
	if err != nil {
		return 0, 0, err
	}
	most := longest.Distance * 1000
	length = f.up(most+max(slackOf(a.body, b.body), 0.055*most)) + f.step()*float64(f.rand.IntN(2))
	arc, err := motion.Loop(length/1000, shortest.Distance)
	if err != nil {
		return 0, 0, err
	}
	if sag := deeper * arc.Sag * 1000; sag > usualSag-1 {
		sagRoom = f.up(sag + 15)
	}
	return length, sagRoom, nil
}

// spans states the free lengths along a route that begins at a stop.
func (f *fitter) spans(from stop, route []station) error {
	for i := range route {
		s := &route[i]
		if s.body != from.body {
			var err error
			if s.freeLength, s.sagRoom, err = f.free(from, s.stop); err != nil {
				return fmt.Errorf("%s to %s: %w", from.body.name, s.body.name, err)
			}
		}
		from = s.stop
	}
	return nil
}

// measure works out free and cut lengths, and picks tubes and conduits.
func (f *fitter) measure() error {
	pump := stop{f.chassis, f.pump}
	for _, b := range f.bundles {
		if err := f.spans(pump, b.route); err != nil {
			return err
		}
		b.pulled = len(b.lines) > 2 && f.rand.IntN(4) == 0
		b.conduit = conduitFor(len(b.lines), &b.pulled)
	}
	longest := 0.0
	for _, l := range f.lines {
		if err := f.cut(l, pump); err != nil {
			return fmt.Errorf("line %d: %w", l.number, err)
		}
		longest = max(longest, l.cut)
	}
	for _, l := range f.lines {
		if l.cut < longest/evenLines {
			l.tube = "FG-T4N"
		}
	}
	return nil
}

// evenLines is how many times longer than another line a line is where both
// have the same tube; a shorter one gets a narrower tube, so that the lines
// of the pump resist the grease alike.
const evenLines = 5.0

// cut adds up what a line takes: its way, its free lengths, what goes into
// the two fittings, and a little to trim.
func (f *fitter) cut(l *line, pump stop) error {
	from, length := pump, 2*catalogue().length("FG-F4S", "insertion")
	add := func(route []station) {
		for _, s := range route {
			length += s.freeLength
			if s.body == from.body {
				length += r3.Norm(r3.Sub(s.at, from.at))
			}
			from = s.stop
		}
	}
	if l.bundle != nil {
		add(l.bundle.route[:l.leaves+1])
	}
	if err := f.spans(from, l.tail); err != nil {
		return err
	}
	add(l.tail)
	length += l.lastFree
	if l.point.body == from.body {
		length += r3.Norm(r3.Sub(l.point.at, from.at))
	}
	l.cut = f.up(length + 12 + 12*f.rand.Float64())
	return nil
}

// conduitFor is the smallest conduit of the catalogue in which the tubes have
// room: 5 % round them, and not full to more than 58 %, or 39 % where they are
// pulled in. Where there is none to pull them into, it is closed over them.
func conduitFor(tubes int, pulled *bool) string {
	outer := catalogue().length("FG-T4", "outer")
	diameters := make([]float64, tubes)
	for i := range diameters {
		diameters[i] = outer
	}
	packed, err := bundling.EnclosingCircle(diameters)
	if err != nil {
		panic(err) // at most mostPoints tubes of the catalogue
	}
	for _, most := range []float64{0.39, 0.58} {
		if !*pulled && most < 0.5 {
			continue
		}
		for _, number := range []string{"FG-C14", "FG-C17"} {
			inner := catalogue().length(number, "inner")
			if fill := float64(tubes) * math.Pow(outer/inner, 2); inner >= 1.06*packed.Diameter && fill <= most {
				return number
			}
		}
		*pulled = false
	}
	panic(fmt.Sprintf("fleet: no conduit for %d tubes", tubes))
}

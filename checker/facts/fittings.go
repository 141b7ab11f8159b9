package facts

import (
	"maps"
	"math"
	"slices"

	"kitgauge/checker/kit"
	"kitgauge/checker/quantities/fittings"
	"kitgauge/checker/source"
	"kitgauge/checker/value"
)

// KitFittings is both ends of every line, and the kinds of fitting there.
type KitFittings struct {
	Ends     []*LineEnd
	Fittings []*FittingKind
}

// PointFittings is how a point's thread reads.
type PointFittings struct {
	ThreadProblem value.Text `key:"thread_problem"` // why its thread cannot be read, or ""
}

// PumpFittings is how the thread of the pump's outlets reads.
type PumpFittings struct {
	OutletThreadProblem value.Text `key:"outlet_thread_problem"`
}

// LineEnd is one end of a line: the fitting, and the hole for it in the pump
// or at the point.
type LineEnd struct {
	spot
	At           value.Text           `key:"at"` // pump or point
	Fitting      kit.Ref[kit.Fitting] `key:"fitting"`
	Problem      value.Text           `key:"problem"` // why the fitting is not known, or ""
	Tube         kit.Ref[kit.Tube]    `key:"tube"`
	Hole         value.Text           `key:"hole"`          // the point or the pump, by name
	Readable     value.Flag           `key:"readable"`      // both threads are
	NeededThread value.Text           `key:"needed_thread"` // for the hole
	GoesIn       value.Flag           `key:"goes_in"`
	WhyNot       value.Text           `key:"why_not"`
	SameSize     value.Flag           `key:"same_size"`
	MajorApart   value.Number         `key:"diameter_apart" dim:"plain_number"` // as a share
	PitchApart   value.Number         `key:"pitch_apart" dim:"plain_number"`
	TubeApart    value.Number         `key:"tube_apart" dim:"length"` // the tube's outer diameter from the fitting's
	Tight        value.Flag           `key:"tight"`                   // little room for a straight fitting
	Usual        value.Text           `key:"usual"`                   // the fitting that most ends at the pump, or at points, have that need its thread
	TubeOdd      value.Flag           `key:"tube_odd"`                // both fittings of its line take a tube of another size: it is the tube that is odd
	Supply       Weakest              `key:"supply"`                  // pump and element, which set the pressure that can come
}

// FittingKind is a kind of fitting that the kit uses.
type FittingKind struct {
	*kit.Fitting
	ThreadProblem value.Text `key:"thread_problem"`
	node          *source.Node
}

// Place names the fitting by its number.
func (k *FittingKind) Place() string { return k.Fitting.Place() }

// Source is where the kit first names the fitting.
func (k *FittingKind) Source() *source.Node { return k.node }

// threads reads designations, each once.
type threads map[string]value.Maybe[fittings.Thread]

// of reads one; what names it where it is not stated.
func (t threads) of(designation value.Text, what string) value.Maybe[fittings.Thread] {
	if r, known := t[designation.V]; known && designation.Known {
		return r
	}
	r := value.Try(func(n *value.Need) (fittings.Thread, error) { return fittings.Parse(n.Text(what, designation)) })
	if designation.Known {
		t[designation.V] = r
	}
	return r
}

// outlet reads the thread of the pump's outlets.
func (t threads) outlet(k *kit.Kit) value.Maybe[fittings.Thread] {
	return value.Try(func(n *value.Need) (fittings.Thread, error) {
		part := pumpPart(n, k)
		return t.of(part.OutletThread, "the thread of the outlets of "+part.Place()).Of(n), nil
	})
}

func pumpFittings(k *kit.Kit, read threads) PumpFittings {
	return PumpFittings{OutletThreadProblem: problem(k, read.outlet(k).Why())}
}

// fittingFacts compares fittings with tubes, points and the pump.
func fittingFacts(k *kit.Kit, lines []*Line, read threads) KitFittings {
	var f KitFittings
	kinds := map[*kit.Fitting]bool{}
	outlet := read.outlet(k)
	for _, l := range lines {
		pump, point := lineEnd(k, l, "pump", l.PumpFitting), lineEnd(k, l, "point", l.PointFitting)
		pump.Supply, point.Supply = canCome(k, l), canCome(k, l)
		pump.compare(read, outlet)
		point.atPoint(read, l.Line)
		l.tubeOdd(lines, pump, point)
		for _, e := range []*LineEnd{pump, point} {
			f.Ends = append(f.Ends, e)
			if to := e.Fitting.To; to != nil && !kinds[to] {
				kinds[to] = true
				f.Fittings = append(f.Fittings, &FittingKind{
					Fitting: to, node: e.node, ThreadProblem: problem(k, read.of(to.Thread, "its thread").Why()),
				})
			}
		}
	}
	usualFittings(f.Ends)
	for i, l := range lines {
		l.UsualPump, l.UsualPoint = value.Known(f.Ends[2*i].Usual.V), value.Known(f.Ends[2*i+1].Usual.V)
	}
	return f
}

// tubeOdd tells of a tube that is neither of the sizes of the fittings at its
// ends, where these are of one size and another line has a tube of it.
func (l *Line) tubeOdd(lines []*Line, pump, point *LineEnd) {
	a, b, tube := pump.Fitting.To, point.Fitting.To, l.Tube.To
	odd := a != nil && b != nil && tube != nil && a.TubeOuter.Known && a.TubeOuter.V == b.TubeOuter.V && tube.Outer.Known && math.Abs(tube.Outer.V-a.TubeOuter.V) > sameTube
	odd = odd && slices.ContainsFunc(lines, func(o *Line) bool {
		t := o.Tube.To
		return t != nil && t.Outer.Known && math.Abs(t.Outer.V-a.TubeOuter.V) <= sameTube
	})
	pump.TubeOdd, point.TubeOdd = value.Known(odd), value.Known(odd)
	if odd {
		l.TubeTaken = a.TubeOuter
	}
}

// sameTube is as far as two sizes of tube may be apart and be one [m]: 5/32 in
// and 4 mm are.
const sameTube = 0.00005

// usualFittings finds for each end the fitting that is used most often at ends
// like it, beside its own.
func usualFittings(ends []*LineEnd) {
	type like struct{ at, thread string }
	count := map[like]map[string]int{}
	for _, e := range ends {
		if e.Fitting.To == nil || !e.GoesIn.V || !e.NeededThread.Known {
			continue
		}
		k := like{e.At.V, e.NeededThread.V}
		if count[k] == nil {
			count[k] = map[string]int{}
		}
		count[k][e.Fitting.To.Number.V]++
	}
	for _, e := range ends {
		most := 0
		of := count[like{e.At.V, e.NeededThread.V}]
		for _, number := range slices.Sorted(maps.Keys(of)) {
			if n := of[number]; n > most && (e.Fitting.To == nil || e.Fitting.To.Number.V != number) {
				e.Usual, most = value.Known(number), n
			}
		}
	}
}

// problem is what a rule finds fault with, "" where it finds none; not known
// where the reason is a catalogue that could not be read: that has a finding.
func problem(k *kit.Kit, why string) value.Text {
	if k.Parts != nil && k.Parts.Unread(why) {
		return value.Unknown[string](why)
	}
	return value.Known(why)
}

// lineEnd is one end of a line without what its threads come to.
func lineEnd(k *kit.Kit, l *Line, at string, fitting kit.Ref[kit.Fitting]) *LineEnd {
	e := &LineEnd{
		At: value.Known(at), Fitting: fitting, Tube: l.Tube, Hole: value.Known("the " + at),
		Problem: value.Known(""), Tight: value.Known(false),
		spot: spot{l.Label() + ", at the " + at, fitting.Source()},
	}
	if e.node == nil {
		e.node = l.Node
	}
	if fitting.To == nil {
		e.Problem = problem(k, fitting.Reason("the fitting here"))
		e.TubeApart = value.Unknown[float64](fitting.Reason("the fitting here"))
		return e
	}
	e.TubeApart = value.Compute(func(n *value.Need) (float64, error) {
		takes := n.Number("the tube that "+fitting.To.Place()+" takes (tube_outer)", fitting.To.TubeOuter)
		tube := tubeOf(n, l.Line)
		outer := n.Number("the outer diameter of "+tube.Place(), tube.Outer)
		return max(outer-takes, takes-outer), nil
	})
	return e
}

// canCome is what pump and element bring a line to; the pump's own pressure,
// which is never less, where nobody knows the element.
func canCome(k *kit.Kit, l *Line) Weakest {
	if p := k.Pump.Part.To; p != nil && !l.Supply.Pressure.Known && p.Pressure.Known {
		return Weakest{Part: value.Known(rated{kind: "pump", part: &p.Part}.place()), Pressure: p.Pressure}
	}
	return l.Supply
}

// atPoint holds an end against the point that it goes into.
func (e *LineEnd) atPoint(read threads, l *kit.Line) {
	hole := value.Try(func(n *value.Need) (fittings.Thread, error) {
		if l.Point.To == nil {
			n.Stop(pointProblem(l))
		}
		return read.of(l.Point.To.Thread, "the thread of "+pointPlace(l.Point.To)).Of(n), nil
	})
	if p := l.Point.To; p != nil {
		e.Hole = value.Known(pointPlace(p))
		e.Tight = value.Compute(func(n *value.Need) (bool, error) {
			return n.Text("the access of "+pointPlace(p), p.Access) == "tight", nil
		})
	}
	e.compare(read, hole)
}

// compare holds the thread of the fitting against that of the hole. Where one
// of the two cannot be read, a rule of the point, the pump or the fitting says
// so, once.
func (e *LineEnd) compare(read threads, hole value.Maybe[fittings.Thread]) {
	why := value.Why(func(n *value.Need) error {
		to := e.Fitting.Of(n, "the fitting here")
		has, takes := read.of(to.Thread, "the thread of "+to.Place()).Of(n), hole.Of(n)
		e.NeededThread = value.Known(fittings.Fitting(takes))
		goes, why := fittings.Screw(has, takes)
		e.GoesIn, e.WhyNot = value.Known(goes), value.Known(why)
		e.SameSize = value.Known(fittings.Same(has, takes))
		apart := fittings.Apart(has, takes)
		e.MajorApart, e.PitchApart = value.Known(apart.Major), value.Known(apart.Pitch)
		return nil
	})
	e.Readable = value.Known(why == "")
}

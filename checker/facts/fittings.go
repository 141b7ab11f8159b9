package facts

import (
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
	place        string
	node         *source.Node
}

// Place names the end by its line.
func (e *LineEnd) Place() string { return e.place }

// Source is where the fitting is named, or the line.
func (e *LineEnd) Source() *source.Node { return e.node }

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
type threads map[string]reading

type reading struct {
	fittings.Thread
	why string // why there is none
}

func (t threads) read(designation value.Text, what string) reading {
	if !designation.Known {
		return reading{why: designation.Reason(what)}
	}
	r, known := t[designation.V]
	if !known {
		var err error
		if r.Thread, err = fittings.Parse(designation.V); err != nil {
			r.why = err.Error()
		}
		t[designation.V] = r
	}
	return r
}

// fittings compares fittings with tubes, points and the pump.
func (f *Kit) fittings() {
	read := threads{}
	for _, p := range f.Points {
		p.ThreadProblem = value.Known(read.read(p.Thread, "its thread").why)
	}
	outlet := reading{why: f.Kit.Pump.Part.Reason("the part of the pump")}
	if part := f.Kit.Pump.Part.To; part != nil {
		outlet = read.read(part.OutletThread, "the thread of the outlets of "+part.Place())
	}
	f.Pump.OutletThreadProblem = value.Known(outlet.why)
	kinds := map[*kit.Fitting]bool{}
	for _, l := range f.Lines {
		pump := f.end(l, "pump", l.PumpFitting, "the pump")
		pump.compare(read, outlet)
		f.Ends = append(f.Ends, pump)
		hole := reading{why: l.PointProblem.V}
		point := f.end(l, "point", l.PointFitting, "the point")
		if p := l.Point.To; p != nil {
			hole = read.read(p.Thread, "the thread of "+p.Place())
			point.Hole = value.Known(p.Place())
			if point.Tight = value.Known(p.Access.V == "tight"); !p.Access.Known {
				point.Tight = value.Unknown[bool](p.Access.Reason("the access of " + p.Place()))
			}
		}
		point.compare(read, hole)
		f.Ends = append(f.Ends, point)
		for _, e := range []*LineEnd{pump, point} {
			if to := e.Fitting.To; to != nil && !kinds[to] {
				kinds[to] = true
				f.Fittings = append(f.Fittings, &FittingKind{
					Fitting: to, node: e.node, ThreadProblem: value.Known(read.read(to.Thread, "its thread").why),
				})
			}
		}
	}
}

// end is one end of a line without what its threads come to.
func (f *Kit) end(l *Line, at string, fitting kit.Ref[kit.Fitting], hole string) *LineEnd {
	e := &LineEnd{
		At: value.Known(at), Fitting: fitting, Tube: l.Tube, Hole: value.Known(hole),
		Problem: value.Known(""), Tight: value.Known(false),
		place: l.Place() + ", at the " + at, node: fitting.Source(),
	}
	if e.node == nil {
		e.node = l.Node
	}
	if fitting.To == nil {
		e.Problem = value.Known(fitting.Reason("the fitting here"))
		return e
	}
	var need value.Need
	takes := need.Number("the tube that "+fitting.To.Place()+" takes (tube_outer)", fitting.To.TubeOuter)
	if l.Tube.To == nil {
		need.Lack(l.Tube.Reason("the tube of " + l.Place()))
	} else {
		outer := need.Number("the outer diameter of "+l.Tube.To.Place(), l.Tube.To.Outer)
		e.TubeApart = value.Known(max(outer-takes, takes-outer))
	}
	if need.Missing() {
		e.TubeApart = need.Unknown()
	}
	return e
}

// compare holds the thread of the fitting against that of the hole. Where one
// of the two cannot be read, a rule of the point, the pump or the fitting says
// so, once.
func (e *LineEnd) compare(read threads, hole reading) {
	fitting := reading{why: e.Problem.V}
	if to := e.Fitting.To; to != nil {
		fitting = read.read(to.Thread, "the thread of "+to.Place())
	}
	e.Readable = value.Known(fitting.why == "" && hole.why == "")
	if !e.Readable.V {
		return
	}
	e.NeededThread = value.Known(fittings.Fitting(hole.Thread))
	goes, why := fittings.Screw(fitting.Thread, hole.Thread)
	e.GoesIn, e.WhyNot = value.Known(goes), value.Known(why)
	e.SameSize = value.Known(fittings.Same(fitting.Thread, hole.Thread))
	apart := fittings.Apart(fitting.Thread, hole.Thread)
	e.MajorApart, e.PitchApart = value.Known(apart.Major), value.Known(apart.Pitch)
}

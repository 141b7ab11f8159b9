package fleet

import (
	"fmt"
	"math"
	"strings"

	"kitgauge/checker/quantities/dosing"
	"kitgauge/checker/units"
)

// bearing is what a point greases. The sizes are in mm, as bearings are metric
// everywhere; a stated demand, in mm3/h, goes before them.
type bearing struct {
	kind, interval  string
	diameter, width int
	demand          int
}

// service is how the vehicle is used and how its pump is set.
type service struct {
	hours, days     int
	pause, strokes  int // minutes, strokes a cycle
	byTime          bool
	coldest, warmth int // degC
	washDown        string
	weeks           int // from refill to refill
	pump            pump
	fill            float64 // cm3
	priming         float64 // cm3
	status          string
}

// pump is what the kit takes from the pump's size.
type pump struct {
	part         string
	outlets      int
	lower, upper float64 // marks of the reservoir, cm3
	fuse         string
	overhang     int
	bench        bool
}

var pumps = []pump{
	{part: "FG-P12", outlets: 12, lower: 300, upper: 2000, overhang: 110},
	{part: "FG-P36", outlets: 36, lower: 400, upper: 4000, overhang: 130},
	{part: "FG-P84", outlets: 84, lower: 600, upper: 8000, overhang: 140},
	{part: "FG-P2000", outlets: 2000, lower: 2000, upper: 190000, overhang: 140, bench: true},
}

func pumpFor(lines int) pump {
	for _, p := range pumps {
		if lines <= p.outlets {
			return p
		}
	}
	panic(fmt.Sprintf("fleet: no pump for %d lines", lines))
}

// elements are those of the catalogue that fit the pumps.
var elements = []string{"FG-E15", "FG-E25", "FG-E35", "FG-E50"}

func (f *fitter) service(points int) *service {
	s := &service{
		hours: 6 + f.rand.IntN(7), days: 5 + f.rand.IntN(3),
		pause: []int{28, 38, 58, 58, 88}[f.rand.IntN(5)], strokes: 1 + f.rand.IntN(3),
		byTime:  f.rand.IntN(2) == 0,
		coldest: -[]int{15, 20, 25}[f.rand.IntN(3)], warmth: []int{30, 35, 40}[f.rand.IntN(3)],
		washDown: []string{"splash", "hose", "hose"}[f.rand.IntN(3)],
		pump:     pumpFor(points),
		status:   []string{"draft", "for-review", "released"}[f.rand.IntN(3)],
	}
	return s
}

// cycle is the timer's setting.
func (s *service) cycle() dosing.Cycle {
	stroke := catalogue().si("FG-P36", "stroke_time", units.Time)
	return dosing.Cycle{Pause: float64(s.pause) * 60, Run: float64(s.strokes) * stroke, StrokeTime: stroke}
}

// delivered is what an element gives [m3/s of running time].
func (s *service) delivered(element string) float64 {
	rate, err := dosing.Delivery{Cycle: s.cycle(), StrokeVolume: catalogue().si(element, "stroke_volume", units.Volume)}.Rate()
	if err != nil {
		panic(err) // the catalogue's elements under settings from above
	}
	return rate
}

// dose gives every point a bearing, and its line the element that suits it.
func (f *fitter) dose(s *service) error {
	for _, l := range f.lines {
		for try := 0; l.element == ""; try++ {
			if try == 200 {
				return fmt.Errorf("line %d: no bearing suits a timer with a pause of %d min and %d strokes", l.number, s.pause, s.strokes)
			}
			b := f.bearing(l.point.name, s)
			demand, err := b.required(s)
			if err != nil {
				return fmt.Errorf("line %d: %w", l.number, err)
			}
			l.element, l.point.bearing = s.elementFor(demand), b
		}
	}
	return nil
}

// bearing draws a bearing for a point of that name.
func (f *fitter) bearing(name string, s *service) bearing {
	part, _, _ := strings.Cut(strings.ToLower(name), ",")
	if f.rand.IntN(9) == 0 {
		ideal := s.delivered(elements[f.rand.IntN(len(elements))]) * 1e9 * 3600
		return bearing{demand: int(math.Round(ideal / (1 + 0.5*f.rand.Float64())))}
	}
	switch {
	case strings.Contains(part, "bearing"):
		return bearing{
			kind: "rolling", interval: []string{"weekly", "weekly", "monthly"}[f.rand.IntN(3)],
			diameter: []int{52, 62, 72, 80, 90, 110}[f.rand.IntN(6)], width: 14 + f.rand.IntN(20),
		}
	case strings.Contains(part, "pin"), strings.Contains(part, "eye"):
		return bearing{kind: "pin", diameter: 20 + 5*f.rand.IntN(8), width: 25 + 5*f.rand.IntN(12)}
	}
	return bearing{kind: "plain", diameter: 16 + 2*f.rand.IntN(20), width: 20 + 5*f.rand.IntN(12)}
}

// required is what a bearing needs [m3/s of running time].
func (b bearing) required(s *service) (float64, error) {
	diameter, width := float64(b.diameter)/1000, float64(b.width)/1000
	switch b.kind {
	case "":
		return float64(b.demand) * 1e-9 / 3600, nil
	case "pin", "plain":
		return dosing.PlainBearing{Diameter: diameter, Width: width}.Demand()
	}
	const day = 24 * 3600.0
	every, factor := 7*day, dosing.ReplenishWeekly
	if b.interval == "monthly" {
		every, factor = 365.25*day/12, dosing.ReplenishMonthly
	}
	mass, err := dosing.RollingBearing{OutsideDiameter: diameter, Width: width, Factor: factor}.Replenishment()
	if err != nil {
		return 0, err
	}
	running, err := dosing.Usage{RunningPerDay: float64(s.hours) * 3600, DaysPerWeek: float64(s.days)}.Running(every)
	if err != nil {
		return 0, err
	}
	density := catalogue().si("FG-G1", "density", units.Density)
	return dosing.Portion{Mass: mass, Interval: running, Density: density}.Demand()
}

// elementFor is the smallest element that gives enough, well within what the
// rules allow; "" where none does.
func (s *service) elementFor(demand float64) string {
	for _, e := range elements {
		if ratio := s.delivered(e) / demand; ratio >= 0.9 && ratio <= 1.8 {
			return e
		}
	}
	return ""
}

// refill picks the longest interval over which the reservoir lasts with a
// third to spare, and adds up what the first fill takes.
func (f *fitter) refill(s *service) error {
	rate, tubes := 0.0, []dosing.Tube{}
	for _, l := range f.lines {
		rate += s.delivered(l.element)
		tubes = append(tubes, dosing.Tube{InsideDiameter: catalogue().si(l.tube, "inner", units.Length), Length: l.cut / 1000})
	}
	usage := dosing.Usage{Rate: rate, RunningPerDay: float64(s.hours) * 3600, DaysPerWeek: float64(s.days)}
	s.fill = s.pump.upper * (0.9 + 0.05*float64(f.rand.IntN(3)))
	s.fill = min(s.fill, s.pump.upper-5)
	lasts, err := usage.Lasts((s.fill - s.pump.lower) * 1e-6 / 1.35)
	if err != nil {
		return err
	}
	for _, weeks := range []int{1, 2, 3, 4, 6, 8, 10, 13, 16, 20, 26} {
		if float64(weeks)*7*24*3600 <= lasts {
			s.weeks = weeks
		}
	}
	if s.weeks == 0 {
		return fmt.Errorf("the reservoir lasts less than a week")
	}
	priming, err := dosing.PrimingVolume(tubes)
	s.priming = priming * 1e6
	return err
}

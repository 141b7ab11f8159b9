package facts

import (
	"fmt"
	"math"
	"slices"

	"kitgauge/checker/quantities/dosing"
	"kitgauge/checker/units"
	"kitgauge/checker/value"
)

// KitHours is whether the hours a day of the vehicle explain what its points
// get.
type KitHours struct {
	HoursMeant value.Text  `key:"hours_meant"` // with which all rolling bearings would get what they need
	DaysMeant  value.Text  `key:"days_meant"`  // days a week that would do so, where the hours a day are usual ones: "4 to 7"
	HoursOff   value.Count `key:"hours_off"`   // how many rolling bearings get too little, or too much
	HoursShort value.Flag  `key:"hours_short"` // too little
}

// fewRolling is of how many rolling bearings at least the hours are concluded
// from. Common practice, no source.
const fewRolling = 3

// hours looks whether all points whose need follows from the hours a day are
// off the same way, and hardly any other is.
func (s *surveyor) hours() {
	least, most := s.options.limit("dosing/least"), s.options.limit("dosing/most")
	if !least.Known || !most.Known || !s.Kit.Kit.Vehicle.HoursADay.Known {
		return
	}
	var rolling []float64
	var short, flooded, others, wrong int
	for _, p := range s.Points {
		r := p.DoseRatio
		if !p.Supplied.V || len(p.Lines) != 1 || !r.Known || r.V <= 0 {
			continue
		}
		off := r.V < least.V || r.V > most.V
		if p.Bearing.Kind.V != "rolling" || p.Demand.Known {
			others++
			if off {
				wrong++
			}
			continue
		}
		rolling = append(rolling, r.V)
		if r.V < least.V {
			short++
		} else if off {
			flooded++
		}
	}
	n := len(rolling)
	if n < fewRolling || others < fewJudged || 4*wrong > others || max(short, flooded) < n {
		return
	}
	band := dosing.Band{Least: least.V, Most: most.V}
	share, within, err := band.Suits(rolling)
	if err != nil || within < n {
		return
	}
	s.HoursOff, s.HoursShort = value.Known(int64(n)), value.Known(short > 0)
	meant := s.Kit.Kit.Vehicle.HoursADay.V * share
	s.DaysMeant = s.days(rolling, band)
	if meant > 24*3600 {
		return
	}
	s.HoursMeant = value.Known(units.Format(math.Round(meant/1800)*1800, units.Time, s.Family()))
}

// weekdays are the days of a week.
const weekdays = 7

// days are the numbers of days a week with which all rolling bearings get what
// they need, where their hours a day are usual ones: an interval of greasing
// in weeks is as many hours of running as there are in it.
func (s *surveyor) days(rolling []float64, band dosing.Band) value.Text {
	v := s.Kit.Kit.Vehicle
	if !v.DaysAWeek.Known || v.DaysAWeek.V <= 0 || v.HoursADay.V < usualHours {
		return value.Text{}
	}
	var suit []int64
	for d := int64(1); d <= weekdays; d++ {
		share := float64(d) / float64(v.DaysAWeek.V)
		if !slices.ContainsFunc(rolling, func(r float64) bool { return r*share < band.Least || r*share > band.Most }) {
			suit = append(suit, d)
		}
	}
	switch {
	case len(suit) == 0 || slices.Contains(suit, v.DaysAWeek.V):
		return value.Text{}
	case len(suit) == 1:
		return value.Known(fmt.Sprint(suit[0]))
	}
	return value.Known(fmt.Sprintf("%d to %d", suit[0], suit[len(suit)-1]))
}

// usualHours is how long a vehicle of work runs on a day at least [s]: with
// less it is rather the hours that are wrong. Common practice, no source.
const usualHours = 6 * 3600

// exchangedElements finds two points whose elements are those of each other, by
// their mirror images, where all others that are mirror images have the same
// elements. Of the two sides that one is doubted on which the points
// get what they need less well.
func (s *surveyor) exchangedElements() {
	outlet, byID := map[string]*Outlet{}, map[string]*Point{}
	for _, l := range s.Lines {
		if p, o := l.Point.To, l.OutletFit.To; p != nil && o != nil && len(o.Lines) == 1 && len(p.Lines) == 1 && o.Element.To != nil && p.DoseRatio.Known {
			outlet[p.ID.V] = o
		}
	}
	for _, p := range s.Points {
		byID[p.ID.V] = p
	}
	type unlike struct{ point, twin *Point }
	var odd []unlike
	alike := 0
	for _, p := range s.Points {
		twin := byID[p.Twin.V]
		a, b := outlet[p.ID.V], outlet[p.Twin.V]
		switch {
		case twin == nil || a == nil || b == nil:
		case a.Element.To == b.Element.To:
			alike++
		default:
			odd = append(odd, unlike{p, twin})
		}
	}
	if len(odd) != 4 || alike < 2*leastPairs { // each pair is counted from both sides
		return
	}
	for i, x := range odd {
		for _, y := range odd[i+1:] {
			a, b := outlet[x.point.ID.V], outlet[y.point.ID.V]
			at, bt := outlet[x.twin.ID.V], outlet[y.twin.ID.V]
			if y.point == x.twin || !sameNeed(x.point, x.twin) || !sameNeed(y.point, y.twin) || a.Element.To != bt.Element.To || b.Element.To != at.Element.To || a.Exchanged.Known || b.Exchanged.Known {
				continue
			}
			if misfit(x.point)+misfit(y.point) <= misfit(x.twin)+misfit(y.twin) {
				continue // it is rather the other side
			}
			a.Exchanged, b.Exchanged = b.Number, a.Number
			a.ExchangeSays = value.Known(fmt.Sprintf("point %s has the element %s and point %s on outlet %d %s; with their mirror images %s and %s it is the other way round",
				x.point.ID.V, a.Element.To.Number.V, y.point.ID.V, b.Number.V, b.Element.To.Number.V, x.twin.ID.V, y.twin.ID.V))
		}
	}
}

// sameNeed reports whether two points need the same.
func sameNeed(a, b *Point) bool {
	return a.Required.Known && b.Required.Known && math.Abs(a.Required.V-b.Required.V) <= 0.01*a.Required.V
}

// misfit is how far a point is from getting just what it needs.
func misfit(p *Point) float64 {
	if p.DoseRatio.V <= 0 {
		return math.Inf(1)
	}
	return math.Abs(math.Log(p.DoseRatio.V))
}

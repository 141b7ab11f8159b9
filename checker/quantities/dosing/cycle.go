package dosing

import (
	"errors"
	"fmt"
	"math"

	"kitgauge/checker/quantities/ranges"
)

// A Cycle is the setting of the pump's timer. A timer that counts strokes has Run = strokes StrokeTime.
type Cycle struct {
	Pause      float64 // s, pump off; 0 runs without a pause
	Run        float64 // s, pump on
	StrokeTime float64 // s, for one full stroke of an element
}

func (c Cycle) check() error {
	return ranges.Check(
		ranges.Of("pause time", c.Pause, 0, 60*day, minute),
		ranges.Of("run time", c.Run, 0.1, day, second),
		ranges.Of("time for one stroke", c.StrokeTime, 0.01, hour, second),
	)
}

// Strokes returns the full strokes of an element in one cycle, Run / StrokeTime rounded down: a stroke that
// the timer cuts off may deliver nothing. 0 means that the run time is too short for one.
// A quotient within 1e-9 below a whole number counts as that number, for the division of decimal fractions
// rounds.
// Shape: a rising staircase in Run.
// Range: Pause 0 to 60 days; Run 0.1 s to one day; StrokeTime 0.01 s to one hour.
// Errors: a value outside these ranges. Source: arithmetic; that a part stroke counts for nothing is
// common practice, no source.
func (c Cycle) Strokes() (int, error) {
	if err := c.check(); err != nil {
		return 0, err
	}
	return int(math.Floor(c.Run / c.StrokeTime * (1 + 1e-9))), nil
}

// DutyCycle returns the part of the time that the pump runs, Run / (Pause + Run), from above 0 to 1.
// Shape: rising in Run, falling in Pause. Range and errors: as [Cycle.Strokes].
// Source: IEC 60034-1, cyclic duration factor (from memory).
func (c Cycle) DutyCycle() (float64, error) {
	if err := c.check(); err != nil {
		return 0, err
	}
	return c.Run / (c.Pause + c.Run), nil
}

// PauseFor returns the pause [s] with which an element delivers share times what it delivers now, the run being as it
// is: (Pause + Run) / share - Run.
// Shape: falling in share. Range: as [Cycle.Strokes]; share 1e-6 to 1e6.
// Errors: a value outside these ranges; a share that no pause brings, or only one of over 60 days.
// Source: arithmetic.
func (c Cycle) PauseFor(share float64) (float64, error) {
	if err := c.checkShare(share); err != nil {
		return 0, err
	}
	pause := (c.Pause+c.Run)/share - c.Run
	if pause < 0 || pause > 60*day {
		return 0, fmt.Errorf("no pause brings %.4g times what is delivered now", share)
	}
	return pause, nil
}

// StrokesFor returns how many strokes a cycle has to have for share times what an element delivers now, the pause being
// as it is. With r = share [Cycle.Strokes] / (Pause + Run), the strokes in a time, it is r Pause / (1 - r StrokeTime);
// the result is not rounded.
// Shape: rising in share. Range: as [Cycle.PauseFor].
// Errors: a value outside these ranges; a share that is beyond a pump that runs without a pause, or takes a run of over
// one day. Source: arithmetic.
func (c Cycle) StrokesFor(share float64) (float64, error) {
	if err := c.checkShare(share); err != nil {
		return 0, err
	}
	now, err := c.Strokes()
	if err != nil {
		return 0, err
	}
	r := share * float64(now) / (c.Pause + c.Run)
	part := 1 - r*c.StrokeTime
	if part <= 0 || r*c.Pause*c.StrokeTime > day*part {
		return 0, fmt.Errorf("no number of strokes brings %.4g times what is delivered now", share)
	}
	return r * c.Pause / part, nil
}

func (c Cycle) checkShare(share float64) error {
	return errors.Join(c.check(), ranges.Check(ranges.Of("share of what is delivered now", share, 1e-6, 1e6, number)))
}

// A Delivery is one element under a timer setting.
type Delivery struct {
	Cycle        Cycle
	StrokeVolume float64 // m3, of the element
}

// PerCycle returns what the element delivers in one cycle [m3], [Cycle.Strokes] times StrokeVolume.
// Shape: linear in StrokeVolume. Range: as [Cycle.Strokes]; StrokeVolume 0.1 mm3 to 100 cm3.
// Errors: a value outside these ranges. Source: arithmetic.
func (d Delivery) PerCycle() (float64, error) {
	if err := ranges.Check(ranges.Of("volume of one stroke", d.StrokeVolume, 1e-10, 1e-4, cm3)); err != nil {
		return 0, err
	}
	n, err := d.Cycle.Strokes()
	if err != nil {
		return 0, err
	}
	return float64(n) * d.StrokeVolume, nil
}

// Rate returns what the element delivers [m3/s of running time], averaged over whole cycles:
//
//	q = n V / (Pause + Run),   n = Run / StrokeTime rounded down
//
// Shape: falls as Pause rises; linear in StrokeVolume. Range, errors, source: as [Delivery.PerCycle].
func (d Delivery) Rate() (float64, error) {
	v, err := d.PerCycle()
	if err != nil {
		return 0, err
	}
	return v / (d.Cycle.Pause + d.Cycle.Run), nil
}

// A Balance sets what a point gets against what it needs.
type Balance struct {
	Delivered float64 // m3/s of running time
	Demand    float64 // m3/s of running time
}

// Ratio returns Delivered / Demand: 1 is just enough, 0 is none.
// Shape: linear in Delivered, inverse in Demand.
// Range: Delivered from 0, Demand above 0; neither above 1 m3/s. Errors: a value outside these ranges.
// Source: definition; no published band for it was found.
func (b Balance) Ratio() (float64, error) {
	err := ranges.Check(
		rate("delivered amount", b.Delivered, 0),
		rate("demand of the point", b.Demand, leastRate),
	)
	if err != nil {
		return 0, err
	}
	return b.Delivered / b.Demand, nil
}

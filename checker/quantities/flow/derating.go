package flow

import (
	"errors"
	"fmt"
)

// DeratingPoint is one row of a tube maker's table: at Temperature [K] the tube
// may carry Fraction of its rated working pressure.
type DeratingPoint struct {
	Temperature float64 // K
	Fraction    float64 // above 0, at most 1
}

// Derating is a tube maker's table, coldest row first.
type Derating []DeratingPoint

// WorkingPressure returns the pressure [Pa] that a tube of the given rated
// working pressure [Pa] may carry at a temperature [K]. Between two rows the
// fraction is interpolated in a straight line. Below the coldest row the first
// fraction holds: cold does not strengthen a tube that anyone vouches for.
// Above the hottest row the maker vouches for nothing, and it is an error.
//
// Shape: falls, or stays, as the temperature rises.
// Range: at least one row, temperatures rising, fractions above 0, at most 1
// and not rising; rated pressure positive.
// Source: common practice, no source; the figures are the tube maker's.
func (d Derating) WorkingPressure(rated, temperature float64) (float64, error) {
	if err := positive("rated working pressure", rated, "Pa"); err != nil {
		return 0, err
	}
	if err := positive("temperature", temperature, "K"); err != nil {
		return 0, err
	}
	if err := d.check(); err != nil {
		return 0, err
	}
	hottest := d[len(d)-1].Temperature
	if temperature > hottest {
		return 0, fmt.Errorf("the tube has no rating above %s, and it reaches %s: use a tube rated for the heat or move the line",
			celsius(hottest), celsius(temperature))
	}
	return rated * d.fraction(temperature), nil
}

// fraction wants a checked table and a temperature not above its last row.
func (d Derating) fraction(temperature float64) float64 {
	if temperature <= d[0].Temperature {
		return d[0].Fraction
	}
	i := 1
	for temperature > d[i].Temperature {
		i++
	}
	cold, hot := d[i-1], d[i]
	share := (temperature - cold.Temperature) / (hot.Temperature - cold.Temperature)
	return cold.Fraction*(1-share) + hot.Fraction*share
}

func (d Derating) check() error {
	if len(d) == 0 {
		return errors.New("the derating table is empty: give at least one temperature with its fraction of the rated pressure")
	}
	before := DeratingPoint{Temperature: 0, Fraction: 1}
	for i, p := range d {
		row := i + 1
		if err := positive("temperature", p.Temperature, "K"); err != nil {
			return fmt.Errorf("derating table row %d: %w", row, err)
		}
		switch {
		case p.Temperature <= before.Temperature:
			return fmt.Errorf("derating table row %d: %s is not above %s: list the coldest row first",
				row, celsius(p.Temperature), celsius(before.Temperature))
		case !(p.Fraction > 0 && p.Fraction <= 1):
			return fmt.Errorf("derating table row %d: the fraction must be above 0 and at most 1, not %g", row, p.Fraction)
		case p.Fraction > before.Fraction:
			return fmt.Errorf("derating table row %d: the fraction rises from %.4g to %.4g, but a tube weakens with heat", row, before.Fraction, p.Fraction)
		}
		before = p
	}
	return nil
}

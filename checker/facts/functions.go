package facts

import (
	"kitgauge/checker/quantities/flow"
	"kitgauge/checker/quantities/motion"
	"kitgauge/checker/quantities/power"
	"kitgauge/checker/units"
	"kitgauge/checker/value"
)

// Functions lists them, in alphabetical order.
func Functions() []value.Function {
	return []value.Function{
		{
			Name: "cable_resistance", Doc: "resistance of a flexible copper conductor (IEC 60028, IEC 60228 class 5)",
			Args:   []value.Argument{{Name: "length", Dim: units.Length}, {Name: "area", Dim: units.Area}, {Name: "temperature", Dim: units.Temperature}},
			Result: units.Resistance,
			Call: func(a []float64) (float64, error) {
				return power.Conductor{Length: a[0], Area: a[1], Temperature: a[2], Allowance: power.FlexibleAllowance}.Resistance()
			},
		},
		{
			Name: "loop_radius", Doc: "radius of the arc that a tube makes between two ends",
			Args:   []value.Argument{{Name: "free length", Dim: units.Length}, {Name: "distance of the ends", Dim: units.Length}},
			Result: units.Length,
			Call: func(a []float64) (float64, error) {
				arc, err := motion.Loop(a[0], a[1])
				if arc.Straight {
					return motion.Reach, err
				}
				return arc.Radius, err
			},
		},
		{
			Name: "loop_sag", Doc: "how far the arc that a tube makes between two ends hangs out",
			Args:   []value.Argument{{Name: "free length", Dim: units.Length}, {Name: "distance of the ends", Dim: units.Length}},
			Result: units.Length,
			Call: func(a []float64) (float64, error) {
				arc, err := motion.Loop(a[0], a[1])
				return arc.Sag, err
			},
		},
		{
			Name: "next_fuse", Doc: "the next standard rating of a blade fuse that is not below a current (ISO 8820-3)",
			Args:   []value.Argument{{Name: "current", Dim: units.Current}},
			Result: units.Current,
			Call:   func(a []float64) (float64, error) { return power.NextFuse(a[0]) },
		},
		{
			Name: "start_pressure", Doc: "pressure that starts a grease in a tube: 4 tau L / D",
			Args:   []value.Argument{{Name: "yield stress", Dim: units.Pressure}, {Name: "length", Dim: units.Length}, {Name: "inner diameter", Dim: units.Length}},
			Result: units.Pressure,
			Call: func(a []float64) (float64, error) {
				return flow.Tube{Bore: a[2], Length: a[1]}.StartPressure(a[0])
			},
		},
	}
}

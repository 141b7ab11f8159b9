package fill

import (
	"cmp"
	"slices"
	"strings"

	"kitgauge/checker"
	"kitgauge/checker/facts"
	"kitgauge/checker/finding"
	"kitgauge/checker/value"
)

// judges is what decides about a choice: the rules, by how their ids begin, and
// the figures of the kit without which those do not apply.
type judges struct {
	rules   []string
	own     bool // only findings at the very place of the choice
	figures func(k *facts.Kit) (missing string)
}

// unjudged is what is missing for all rules to be evaluated that decide about
// a choice, in a kit with one of its options in it; "" where nothing is.
func (c *choice) unjudged(r *checker.Result, o option) string {
	if c.judged.figures != nil {
		if missing := c.judged.figures(r.Facts); missing != "" {
			return missing
		}
	}
	for i := range r.Findings {
		x := &r.Findings[i]
		judges := slices.ContainsFunc(c.judged.rules, func(begin string) bool { return strings.HasPrefix(x.Rule, begin) })
		if x.Status != finding.NotEvaluated || !judges || c.judged.own && x.Place != c.place || !c.concerns(x.Place, o) {
			continue
		}
		return x.Rule + " is " + x.Message
	}
	return ""
}

// lacking is why a figure is not known, "" where it is.
func lacking[T float64 | int64 | string | bool](v value.Of[T], what string) string {
	if v.Known {
		return ""
	}
	return v.Reason(what)
}

// judgesOfEnd are those of the fitting at one end of a line.
func judgesOfEnd(place string) judges {
	return judges{rules: []string{"fittings/"}, own: true, figures: func(k *facts.Kit) string {
		for _, e := range k.Ends {
			if e.Place() == place {
				return cmp.Or(lacking(e.Supply.Pressure, "the pressure that can come"), lacking(e.NeededThread, "the thread of its hole"),
					lacking(e.GoesIn, "whether it goes into its hole"), lacking(e.TubeApart, "the tube of the line"))
			}
		}
		return ""
	}}
}

// judgesOfFeed are those of the cable and the fuse; of one that is stated
// nothing is decided.
func judgesOfFeed(cable bool) judges {
	return judges{rules: []string{"power/fuse-covers", "power/fuse-protects", "power/fuse-carries", "power/fuse-within", "power/voltage-", "power/whole-drop"},
		figures: func(k *facts.Kit) string {
			draw := lacking(k.Feed.HighestDraw, "the draw of the pump")
			if draw == "" && cable {
				return lacking(k.Feed.PumpVoltage, "the voltage at the pump")
			}
			return draw
		}}
}

// judgesOfBolts are those of the pump's bolts.
func judgesOfBolts() judges {
	return judges{rules: []string{"mounting/bolt"}, figures: func(k *facts.Kit) string {
		return cmp.Or(lacking(k.Pump.SizeFits, "the size that the pump needs"), lacking(k.Pump.BoltFactor, "what a bolt carries"))
	}}
}

// judgesOfConduit are those of the conduit of a bundle.
func judgesOfConduit(place string) judges {
	return judges{rules: []string{"bundles/fits", "bundles/fill", "bundles/split"}, figures: func(k *facts.Kit) string {
		for _, b := range k.Bundles {
			if b.Place() == place {
				return cmp.Or(lacking(b.Room, "the room in the conduit"), lacking(b.Fill, "how full the conduit is"))
			}
		}
		return ""
	}}
}

// judgesOfElement are those of the element of a line to a point.
func judgesOfElement(point string) judges {
	return judges{rules: []string{"dosing/", "flow/"}, figures: func(k *facts.Kit) string {
		for _, p := range k.Points {
			if p.ID.V == point {
				return lacking(p.DoseRatio, "what the point gets of what it needs")
			}
		}
		return "the point at which its line ends is not stated"
	}}
}

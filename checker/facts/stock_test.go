package facts_test

import (
	"fmt"
	"strings"
	"testing"
)

// What the air is too cold or too warm for, and the one in use, is not offered;
// of the cables, what the fuse would not protect.
func TestStockStandsTheAir(t *testing.T) {
	const more = `  - {number: WET, kind: connector, enclosure: IP66/IP67}
  - {number: FROST, kind: tube, inner: 3 mm, temperature: {from: -40 degC, to: 90 degC}}
  - {number: SHED, kind: tube, inner: 3 mm, temperature: {from: -5 degC, to: 60 degC}}
  - {number: COOL, kind: tube, inner: 3 mm, temperature: {from: -40 degC, to: 15 degC}}
  - {number: INSIDE, kind: conduit, inner: 14 mm, outer: 18.5 mm, bend_radius: 40 mm, bend_to: inner surface, temperature: {from: -40 degC, to: 105 degC}}
  - {number: GREASE2, kind: grease}
  - {number: THIN, kind: cable, area: 0.5 mm2, rating: 4 A, temperature: {from: -40 degC, to: 105 degC}}
  - {number: WIDE, kind: cable, area: 4 mm2, rating: 30 A, temperature: {from: -40 degC, to: 105 degC}}
`
	f := supplied(t, "  - {number: WET, kind: connector, enclosure: IP66/IP67}\n", more)
	var got []string
	for _, p := range f.Stock.Tubes {
		got = append(got, p.Number.V)
	}
	for _, p := range f.Stock.Greases {
		got = append(got, p.Number.V)
	}
	for _, p := range f.Stock.Cables {
		got = append(got, p.Number.V)
	}
	for _, p := range f.Feed.Stock {
		got = append(got, "feed "+p.Number.V)
	}
	for _, p := range f.Stock.Pumps {
		got = append(got, p.Number.V)
	}
	if got, want := strings.Join(got, ", "), "FROST, GREASE2, THIN, WIDE, feed WIDE"; got != want {
		t.Errorf("offered: %s; want %s", got, want)
	}
	// 40 mm to the inner surface and half of 18.5 mm more
	if c := f.Stock.Conduits[0]; !near(c.Bends, 0.04925) {
		t.Errorf("the conduit bends to %v m (%s), want 0.04925", c.Bends.V, c.Bends.Why)
	}
}

// A chassis that takes too much is told from a cable that is too thin; with the
// figure that is told the feed loses what it may, and no more.
func TestChassisMost(t *testing.T) {
	chassis := func(ohm float64) []string {
		return []string{"return: cable", fmt.Sprintf("return: chassis\n  return_resistance: %.9f mohm", ohm*1000)}
	}
	bad := supplied(t, chassis(0.5)...).Feed
	if !bad.ChassisMost.Known || bad.ChassisMost.V >= 0.5 || bad.Drop.V <= 0.03 {
		t.Fatalf("500 mohm: got %v ohm at most (%s), a drop of %v", bad.ChassisMost.V, bad.ChassisMost.Why, bad.Drop.V)
	}
	// Ohm's law: 4 A through 3 % of 24 V leave 0.18 ohm for chassis and cable
	if sum := bad.ChassisMost.V + bad.Resistance.V - 0.5; sum < 0.1799 || sum > 0.1801 {
		t.Errorf("chassis and cable may have %v ohm, want 0.18", sum)
	}
	better := supplied(t, chassis(bad.ChassisMost.V)...).Feed
	if better.ChassisMost.Known || better.Drop.V > 0.03*(1+1e-6) {
		t.Errorf("%v ohm: got a drop of %v, and %v ohm at most", bad.ChassisMost.V, better.Drop.V, better.ChassisMost.V)
	}
	for what, f := range map[string][]string{"a good chassis": chassis(0.02), "a cable": nil} {
		if f := supplied(t, f...).Feed; f.ChassisMost.Known {
			t.Errorf("%s as return: got %v ohm at most, want nothing", what, f.ChassisMost.V)
		}
	}
}

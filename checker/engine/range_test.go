package engine_test

import (
	"math"
	"slices"
	"strings"
	"testing"

	"kitgauge/checker/engine"
)

// A limit has a sensible range: the pack states it, or it follows from the
// limit's own value and from what the rules do with it. The bounds themselves
// are the house's own: common practice, no source; that a temperature below
// 0 K and a quotient by 0 have no meaning needs none.
func TestSensibleRange(t *testing.T) {
	p := pack(t, `
pack: p
title: T
limits:
  share: {is: 0.75, least: 0.1, most: 1, basis: b, about: a}
  divisor: {is: 2 mm, basis: b, about: a}
  step: {is: 5 mm, basis: b, about: a}
  named: {is: 3, basis: b, about: a}
  by_kind: {is: {left: 2, right: 3}, basis: b, about: a}
  length: {is: 30 mm, basis: b, about: a}
  below: {is: -2, basis: b, about: a}
  nothing: {is: 0, basis: b, about: a}
  warm: {is: 60 degC, basis: b, about: a}
  warmer: {is: 70 K, basis: b, about: a}
  turn: {is: 90 deg, basis: b, about: a}
  low: {is: 5 bar, least: 0, basis: b, about: a}
rules:
  - {id: a, title: A, of: rod, with: {n: 2.0 * limit.named}, must: 'rod.length / limit.divisor > 1.0 / n && round_up(rod.length, limit.step) > limit.length',
     severity: minor, says: '{1.0 / limit.by_kind["left"]}', basis: b, why: w}
`)
	for _, tt := range []struct {
		limit, want   string
		inside, outer []float64
	}{
		{"share", "a value from 0.1 to 1", []float64{0.1, 0.5, 1}, []float64{0.09, 1.01, -1, 0, math.NaN(), math.Inf(1)}},
		{"divisor", "more than 0 and at most 200 mm", []float64{1e-9, 0.2}, []float64{0, -1e-3, 0.21}},
		{"step", "more than 0 and at most 500 mm", []float64{0.5}, []float64{0}},
		{"named", "more than 0 and at most 300", []float64{0.5}, []float64{0}},
		{"by_kind.left", "more than 0 and at most 200", []float64{0.5}, []float64{0}},
		{"length", "a value from 0 mm to 3000 mm", []float64{0, 3}, []float64{-1e-3, 3.1}},
		{"below", "a value from -200 to 200", []float64{-200, 0, 200}, []float64{-201, 201}},
		{"nothing", "a number", []float64{-1, 0, 1e30}, []float64{math.NaN(), math.Inf(-1)}},
		{"warm", "a value from -100 degC to 1500 degC", []float64{200, 1700}, []float64{-1, 0, 5000}},
		{"warmer", "a value from -273.15 degC to 6726.85 degC", []float64{0, 100}, []float64{-1}},
		{"turn", "a value from 0 deg to 360 deg", []float64{0, 2 * math.Pi}, []float64{-0.1, 7}},
		{"low", "a value from 0 bar to 500 bar", []float64{0}, []float64{-1}},
	} {
		at := slices.IndexFunc(p.Limits, func(l *engine.Limit) bool { return l.Name == tt.limit })
		r := p.SensibleRange(p.Limits[at])
		if r.String() != tt.want {
			t.Errorf("%s: got %s, want %s", tt.limit, r, tt.want)
		}
		for _, x := range tt.inside {
			if !r.Holds(x) {
				t.Errorf("%s: %g is refused", tt.limit, x)
			}
		}
		for _, x := range tt.outer {
			if r.Holds(x) {
				t.Errorf("%s: %g is taken", tt.limit, x)
			}
		}
	}
}

// The pack's own limit lies in its range, and the range has its dimension.
func TestRangeFaulty(t *testing.T) {
	for _, tt := range []struct{ limit, want string }{
		{"{is: 2, most: 1, basis: b, about: a}", "pack.yaml:2:20: 2 is outside of what least and most allow; write a value from 0 to 1, or correct least and most"},
		{"{is: 2, most: 1 mm, basis: b, about: a}", "pack.yaml:2:29: most is a length, and the limit is a plain number; give both the same dimension"},
		{"{is: 2, least: some, basis: b, about: a}", `pack.yaml:2:30: "some" has no unit that is known; write a number with its unit, as in 30 mm, or a bare number for a ratio`},
	} {
		_, problems := engine.ReadPack(parse(t, "pack.yaml", "pack: p\nlimits: {one: "+tt.limit+"}\ntitle: t\nrules: []\n"), vocabulary)
		if len(problems) != 1 || problems[0].Error() != tt.want {
			t.Errorf("%s: got %v, want %s", tt.limit, problems, tt.want)
		}
	}
}

// A limit of the pack that is 0 is told where a rule divides by it, and not
// where none does.
func TestZeroDivisor(t *testing.T) {
	for must, want := range map[string]int{
		"rod.length / limit.none > 1.0":              1,
		"1.0 / (2.0 * limit.none) > rod.share":       1,
		"rod.length > limit.none * 1.0":              0,
		"rod.length / (1.0 + limit.none) > 0.0":      0,
		"round_up(rod.length, limit.none) >= 0.0":    1,
		"round_up(limit.none, rod.share) >= 0.0":     0,
		"rod.length / larger(limit.none, 1.0) > 0.0": 0,
	} {
		text := strings.Replace(ruleText("rod", "must: '"+must+"'", "says: s"), "rules:\n", "  none: {is: 0, basis: b, about: a}\nrules:\n", 1)
		found := 0
		for _, p := range problems(t, text) {
			if p.Message == "limit.none is 0, and a rule divides by it" && p.Pos.String() == placeOf(text, "none: ") {
				found++
			}
		}
		if found != want {
			t.Errorf("%s: told %d times, want %d", must, found, want)
		}
	}
}

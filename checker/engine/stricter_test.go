package engine_test

import (
	"strings"
	"testing"

	"kitgauge/checker/engine"
)

// TestStrictness holds the ways to what the conditions say, as anybody reads
// them: common sense, no source.
func TestStrictness(t *testing.T) {
	for rule, want := range map[string]engine.Way{
		"compare: {value: rod.length, at_most: limit.least}":                              engine.Falls,
		"compare: {value: rod.length, at_least: limit.least}":                             engine.Rises,
		"must: rod.length <= 2.0 * limit.least":                                           engine.Falls,
		"must: '!(rod.length > limit.least)'":                                             engine.Falls,
		"must: rod.length - limit.least > 0.0 && rod.count > 0":                           engine.Rises,
		"must: rod.length > larger(limit.least, rod.diameter)":                            engine.Rises,
		"must: 'rod.sound ? rod.length < limit.least : rod.length < 2.0 * limit.least'":   engine.Falls,
		"must: 'rod.length < limit.least ? true : rod.sound'":                             engine.Unclear,
		"must: rod.length < limit.least && rod.diameter > limit.least":                    engine.Unclear,
		"must: rod.share * limit.least < rod.length":                                      engine.Unclear, // a share may be below 0
		"with: {enough: 'larger(limit.least, rod.diameter)'}\nmust: rod.length >= enough": engine.Rises,
		"given: rod.length > limit.least\nmust: rod.sound":                                engine.Falls,
		"given: rod.length > limit.least\nmust: rod.length > limit.least":                 engine.Rises,
		"must: rod.sound": engine.Unclear,
		"must: 'kit.rods.all(r, r.length < limit.least)'":          engine.Falls,
		"must: 'kit.rods.exists(r, r.length < limit.least)'":       engine.Falls,
		"must: 'kit.rods.filter(r, r.length < limit.least) == []'": engine.Unclear,
	} {
		p := pack(t, ruleText("rod", append(strings.Split(rule, "\n"), "says: s", "remedy: r")...))
		if got := p.Strictness(p.Limits[0]); got != want {
			t.Errorf("%s: got %d, want %d", rule, got, want)
		}
	}
}

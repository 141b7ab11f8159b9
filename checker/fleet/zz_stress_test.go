package fleet_test

import (
	"testing"

	"kitgauge/checker"
	"kitgauge/checker/fleet"
)

func TestStress(t *testing.T) {
	c := checker.New(checker.Options{ReadFile: fleet.ReadFile})
	found := map[string]int{}
	stats := map[string]int{}
	for seed := uint64(1000); seed < 2500; seed++ {
		points := 4 + int(seed*31%81)
		k, err := fleet.New(seed, points, fleet.Options{})
		if err != nil {
			t.Error(err)
			continue
		}
		r := check(t, c, "fleet.kit.yaml", k.YAML())
		for _, f := range r.Findings {
			if found[f.Rule]++; found[f.Rule] <= 3 {
				t.Errorf("seed %d, %d points: %s %s at %s: %s; %s", seed, points, f.Pos, f.Rule, f.Place, f.Message, f.Remedy)
			}
		}
		for _, s := range r.Facts.Spans {
			if s.SagRoom.Known {
				stats["sagroom"]++
			} else {
				stats["nosag"]++
			}
			stats["joints"+string(rune('0'+len(s.Joints)))]++
		}
		for _, l := range r.Facts.Lines {
			if l.Single.V {
				stats["single"]++
			}
			if l.LastFreeLength.Known {
				stats["lastfree"]++
			}
			stats[l.Tube.ID.V]++
		}
		for _, b := range r.Facts.Bundles {
			if b.Pulled.V {
				stats["pulled"]++
			}
			stats[b.Conduit.ID.V]++
		}
		stats["approach"] += len(r.Facts.Approaches)
	}
	t.Log(found, stats)
}

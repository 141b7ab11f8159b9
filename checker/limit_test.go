package checker_test

import (
	"math"
	"os"
	"path/filepath"
	"testing"

	"kitgauge/checker"
	"kitgauge/checker/units"
)

// TestLimitInForce: a limit is what the settings say, else what its pack says,
// whether the pack is in use or not.
func TestLimitInForce(t *testing.T) {
	dir := t.TempDir()
	set := filepath.Join(dir, "own.settings.yaml")
	text := "packs: {leave_out: [slack]}\nlimits:\n  power/fuse_share: {is: 0.5, reason: the depot's own}\n"
	if err := os.WriteFile(set, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
	own := func(id string) float64 {
		packs, _ := checker.OnExamples().Packs()
		for _, p := range packs {
			for _, l := range p.Limits {
				if p.Name+"/"+l.Name == id {
					si, err := units.Parse(l.Text, l.Dim)
					if err != nil {
						t.Fatal(err)
					}
					return si
				}
			}
		}
		return math.NaN()
	}
	if math.IsNaN(own("power/fuse_share")) || own("power/fuse_share") == 0.5 {
		t.Fatal("the pack's own limit is not another one")
	}
	for _, tt := range []struct {
		name    string
		options checker.Options
		id      string
		want    float64
	}{
		{"of the pack", checker.Options{NoSettings: true}, "power/fuse_share", own("power/fuse_share")},
		{"of the settings", checker.Options{Settings: set}, "power/fuse_share", 0.5},
		{"of a pack left out", checker.Options{Settings: set}, "slack/steered_slack", own("slack/steered_slack")},
		{"of a pack not asked for", checker.Options{NoSettings: true, Packs: []string{}}, "power/fuse_share", own("power/fuse_share")},
	} {
		t.Run(tt.name, func(t *testing.T) {
			config, err := checker.New(tt.options).Config("a.kit.yaml")
			if err != nil {
				t.Fatal(err)
			}
			if got := config.Limit(tt.id); got.V != tt.want {
				t.Errorf("got %v, want %v", got, tt.want)
			}
		})
	}
}

// TestPublishedLimits holds limits of the cold and of heat against where they
// were published, all seen.
func TestPublishedLimits(t *testing.T) {
	const inch = 0.0254
	of := map[string]float64{}
	packs, _ := checker.OnExamples().Packs()
	for _, p := range packs {
		for _, l := range p.Limits {
			of[p.Name+"/"+l.Name] = l.SI
		}
	}
	for _, tt := range []struct {
		source, id string
		want, off  float64
	}{
		{"DIN 51825 by DIN 51805: at most 1400 mbar (bechem.de, news of 11.12.2007)", "catalogue/flow_pressure", 1400e2, 0},
		{"Maryland COMAR 11.22.02.11 A(6): 1 1/2 in", "routing/heat_stood", 1.5 * inch, 0.0002},
		{"body builder manual, yumpu.com, document 36152071, table 9-1: nylon 3 in from a shielded exhaust", "routing/heat_shielded", 3 * inch, 0.0015},
	} {
		if got := of[tt.id]; math.Abs(got-tt.want) > tt.off {
			t.Errorf("%s is %g; %s", tt.id, got, tt.source)
		}
	}
}

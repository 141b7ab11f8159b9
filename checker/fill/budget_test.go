package fill

import (
	"os"
	"regexp"
	"strings"
	"testing"
	"time"

	"kitgauge/checker"
)

// A budget holds below and at what it allows, and says above it what to do.
func TestBudget(t *testing.T) {
	for _, tt := range []struct {
		name  string
		spent budget
		bytes int
		want  string
	}{
		{"the last check", budget{checks: mostChecks - 1}, 1, ""},
		{"one too many", budget{checks: mostChecks}, 1, "filling in took 1000 checks of the kit, and may take no more"},
		{"the last bytes", budget{bytes: mostBytes - 7}, 7, ""},
		{"too many bytes", budget{bytes: mostBytes - 7}, 8, "may take no more; run fill again for what is left, or name what is wanted (--only)"},
		{"in time", budget{began: time.Now(), limit: time.Hour}, 1, ""},
		{"too late", budget{began: time.Now().Add(-time.Minute), limit: time.Second}, 1, "filling in took longer than 1s; allow it more time (--time-limit)"},
		{"no limit", budget{began: time.Now().Add(-time.Hour)}, 1, ""},
	} {
		if why := tt.spent.spend(tt.bytes); (why == "") != (tt.want == "") || !strings.Contains(why, tt.want) {
			t.Errorf("%s: got %q", tt.name, why)
		}
	}
}

// Where filling in ends early, what was filled in before is kept, what comes
// after is named with the reason, and the text is that of a kit.
func TestOver(t *testing.T) {
	const file = "../../examples/trailer/trailer.kit.yaml"
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	c := checker.New(checker.Options{NoSettings: true})
	bare := regexp.MustCompile(`(?m)^ +(cut_length|pump_marker|point_fitting): .*\n`).ReplaceAll(text, nil)
	results, err := c.Check(file, bare)
	if err != nil {
		t.Fatal(err)
	}
	best, err := document(c, results[0], Options{}, &budget{checks: mostChecks - 3})
	if err != nil {
		t.Fatal(err)
	}
	if best.checks != 3 || len(best.made) == 0 || len(best.open) == 0 || !strings.Contains(best.open[len(best.open)-1].Why, "may take no more") {
		t.Errorf("%d checks, made %d, open %+v", best.checks, len(best.made), best.open)
	}
	if n := len(groups); best.open[len(best.open)-1].Group != groups[n-1].name {
		t.Errorf("the last that is open is %+v", best.open[len(best.open)-1])
	}
}

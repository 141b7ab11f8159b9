package propose

import (
	"strings"
	"testing"
	"time"
)

// A proposal has a budget of checks, of bytes and of time, and says above it
// what to do.
func TestBudget(t *testing.T) {
	for _, tt := range []struct {
		name  string
		spent planner
		bytes int
		want  string
	}{
		{"the last check", planner{checks: mostChecks - 1}, 1, ""},
		{"one too many", planner{checks: mostChecks}, 1, "no kit is proposed: it took 1000 checks, and may take no more"},
		{"the last bytes", planner{bytes: mostBytes - 7}, 7, ""},
		{"too many bytes", planner{bytes: mostBytes - 7}, 8, "survey the vehicle in two parts"},
		{"in time", planner{began: time.Now(), options: Options{Time: time.Hour}}, 1, ""},
		{"too late", planner{began: time.Now().Add(-time.Minute), options: Options{Time: time.Second}}, 1, "it took longer than 1s; allow it more time (--time-limit)"},
	} {
		why := ""
		if err := tt.spent.spend(tt.bytes); err != nil {
			why = err.Error()
		}
		if (why == "") != (tt.want == "") || !strings.Contains(why, tt.want) {
			t.Errorf("%s: got %q", tt.name, why)
		}
	}
}

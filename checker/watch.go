package checker

import (
	"fmt"
	"sync/atomic"
	"time"

	"kitgauge/checker/source"
)

// watch tells when the check of a kit has taken too long. The stages look at
// it between lines, zones and places.
type watch struct {
	limit time.Duration
	began time.Time
	rung  atomic.Bool
	timer *time.Timer // nil where there is no limit
}

func newWatch(limit time.Duration, began time.Time) *watch {
	w := &watch{limit: limit, began: began}
	if limit > 0 {
		w.timer = time.AfterFunc(max(limit-time.Since(began), 0), w.ring)
	}
	return w
}

// ring ends the watch's time.
func (w *watch) ring() { w.rung.Store(true) }

func (w *watch) over() bool { return w.rung.Load() }

// late is over, by the clock and not by the timer, which may ring a little
// after its time.
func (w *watch) late() bool {
	return w.limit > 0 && (w.over() || time.Since(w.began) > w.limit)
}

func (w *watch) stop() {
	if w.timer != nil {
		w.timer.Stop()
	}
}

// problem is what is said of a check that was given up.
func (w *watch) problem(doc *source.Document) (found problems) {
	found.add("file/time", &source.Problem{
		Pos: doc.Root.Pos(), Node: doc.Root,
		Message: fmt.Sprintf("the check took longer than %s, and was given up", w.limit),
		Remedy:  "allow it more time, or make the kit smaller: fewer zones, narrower joint ranges, shorter routes",
	})
	return found
}

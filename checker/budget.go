package checker

import (
	"fmt"
	"sync/atomic"
	"time"

	"kitgauge/checker/finding"
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

func newWatch(limit time.Duration) *watch {
	w := &watch{limit: limit, began: time.Now()}
	if limit > 0 {
		w.timer = time.AfterFunc(limit, func() { w.rung.Store(true) })
	}
	return w
}

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

func (w *watch) problem(doc *source.Document) *source.Problem {
	return &source.Problem{
		Pos: doc.Root.Pos(), Node: doc.Root,
		Message: fmt.Sprintf("the check took longer than %s, and was given up", w.limit),
		Remedy:  "allow it more time, or make the kit smaller: fewer zones, narrower joint ranges, shorter routes",
	}
}

// cut keeps the findings to those that are listed, and adds one that counts
// the others. It is as grave as the gravest of them, so that no gate lets more
// through than with the whole list.
func (r *Result) cut() {
	listed, out := finding.Cut(r.Findings, finding.MostListed)
	if r.Omitted = append(r.Omitted, out...); len(r.Omitted) == 0 {
		return
	}
	words, worst := finding.InWords(r.Omitted)
	more := finding.Finding{
		Rule: ruleListed, Title: fileRules[ruleListed], Severity: worst, Status: finding.Violated,
		Pos: r.Text.Root.Pos(), Place: "the file",
		Message: "there are more findings, which are not listed: " + words,
		Remedy:  "mend those that are listed first, then check again",
		Basis:   fmt.Sprintf("of one kit %d findings are listed, and %d of one rule", finding.MostListed, finding.MostOfRule),
	}
	if worst == finding.None {
		more.Severity, more.Status = finding.Minor, finding.Known
	}
	last := []finding.Finding{more}
	finding.Fingerprint(r.Number, last)
	r.Findings = append(listed, last...)
}

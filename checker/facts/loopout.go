package facts

import (
	"math"

	"kitgauge/checker/units"
	"kitgauge/checker/value"
)

// enough is the least free length that keeps the slack of a span, and in which
// steps it is cut.
func (p *prober) enough(s *Span) (least, step float64, known bool) {
	slack := p.options.limit("slack/" + s.Kind.V + "_slack")
	if !slack.Known {
		slack = p.options.limit("slack/articulated_slack")
	}
	share, cut := p.options.limit("slack/slack_share"), p.options.limit("slack/cut_step")
	if !(slack.Known && share.Known && cut.Known && cut.V > 0 && s.Longest.Known) {
		return 0, 0, false
	}
	return math.Ceil((s.Longest.V+max(slack.V, share.V*s.Longest.V))/cut.V-1e-9) * cut.V, cut.V, true
}

// loopHelps says what else brings a loop out of a zone than leading the route
// another way: the greatest free length with which it keeps its distance, where
// the slack allows one and it is bent no tighter for it than its tubes allow.
func (p *prober) loopHelps(a *Approach, s *Span, m *movers, z solid, keep float64) {
	a.LoopHelps = value.Known("guide the loop, or ")
	least, step, known := p.enough(s)
	if !known || s.Spread.V > 0 {
		return
	}
	clears := func(steps int) bool {
		l := *s.loop
		l.length = least + float64(steps)*step
		l.lengths, l.search = []float64{l.length}, p.out
		var err error
		if l.swept, err = l.sweep(s.extremeAt[:]); err != nil || l.tooTight(s) {
			return false
		}
		q := *p
		q.search, q.memory = p.out, nil
		c, err := q.loopClearance(&l, m, z, keep+between, keep)
		return err == nil && c.Distance > keep+0.001
	}
	lo, hi := 0, int(math.Ceil((s.Most.V-least)/step-1e-9))
	if hi <= 0 || !clears(0) {
		return
	}
	for hi-lo > 1 {
		if middle := (lo + hi) / 2; clears(middle) {
			lo = middle
		} else {
			hi = middle
		}
	}
	a.LoopHelps.V = "shorten the free length to " + units.Format(least+float64(lo)*step, units.Length, p.graph.Kit.Family()) + ", " + a.LoopHelps.V
}

// tooTight reports whether the loop is bent more than its tubes allow, and
// more than it is as it stands.
func (l *loop) tooTight(s *Span) bool {
	for _, b := range l.swept.tightest {
		if !b.Straight && b.Radius < min(s.BendRadius.V, s.LoopRadius.V) {
			return true
		}
	}
	return false
}

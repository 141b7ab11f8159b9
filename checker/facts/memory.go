package facts

import (
	"errors"
	"fmt"
	"sync"

	"kitgauge/checker/quantities/motion"
	"kitgauge/checker/quantities/routing"
)

// Memory keeps distances over the ranges of joints for the next computation,
// where the same kit is computed again and again with little changed. It is
// safe for use by several goroutines; a nil Memory keeps nothing.
type Memory struct {
	mu    sync.Mutex
	known map[string]recalled
}

// recalled is what a search gave and what it took of its budget.
type recalled struct {
	value any
	err   error
	boxes int
}

// mostRecalled bounds the memory: some hundred bytes each.
const mostRecalled = 50_000

// recall makes a search, or gives what it gave before, and takes the same out
// of the budget. What failed because the budget was used up is not kept.
func recall[T any](m *Memory, key func() string, budget *motion.Budget, search func() (T, error)) (T, error) {
	if m == nil || budget == nil {
		return search()
	}
	at := key()
	m.mu.Lock()
	r, known := m.known[at]
	m.mu.Unlock()
	if known && budget.Boxes >= r.boxes {
		budget.Boxes -= r.boxes
		return r.value.(T), r.err
	}
	before := budget.Boxes
	v, err := search()
	if errors.Is(err, motion.ErrSpent) || budget.Boxes <= 0 {
		return v, err
	}
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.known == nil || len(m.known) >= mostRecalled { // most of it is of texts that are gone
		m.known = map[string]recalled{}
	}
	m.known[at] = recalled{v, err, before - budget.Boxes}
	return v, err
}

// keyOf is what the result of a search depends on.
func keyOf(in routing.Moving, more ...any) string {
	return fmt.Sprintf("%v %v %T %v %v %v %v %v", in.Joints, in.Segment, in.Zone, in.Zone, in.Start, in.End, in.ZoneOn, more)
}

// near is how near a piece comes to a zone, far where it certainly stays
// farther than a distance.
type near struct {
	routing.Clearance
	far bool
}

func (m *Memory) near(in routing.Moving, within float64) (near, error) {
	return recall(m, func() string { return keyOf(in, within) }, in.Budget, func() (near, error) {
		if far, err := routing.Beyond(in, within); err == nil && far {
			return near{far: true}, nil
		}
		c, err := routing.MovingClearance(in)
		return near{Clearance: c}, err
	})
}

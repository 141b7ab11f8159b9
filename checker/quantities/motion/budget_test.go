package motion_test

import (
	"errors"
	"testing"

	"kitgauge/checker/quantities/motion"
)

// A search of 15 boxes (a range halved three times over) with room for one
// more, for just them and for one less: in its own budget, and in one that it
// shares.
func TestSearchBudgets(t *testing.T) {
	const takes = 15
	search := func(own int, shared *motion.Budget) error {
		s := motion.Search{From: []float64{0}, To: []float64{8}, Tolerance: 0.5, Boxes: own, Budget: shared,
			Bound: func(lo, hi []float64, _ float64) motion.Part {
				part := motion.Part{Value: 1, At: []float64{lo[0]}, Low: 0}
				if hi[0]-lo[0] <= 1 {
					part.Split = -1
				}
				return part
			}}
		_, err := s.Least(2, []float64{0})
		return err
	}
	for _, tt := range []struct {
		name        string
		own, shared int
		want        error
	}{
		{"own, below", takes + 1, takes, nil},
		{"own, at", takes, takes, nil},
		{"own, above", takes - 1, takes, motion.ErrTooComplex},
		{"shared, below", takes, takes + 1, nil},
		{"shared, at", takes, takes, nil},
		{"shared, above", takes, takes - 1, motion.ErrSpent},
		{"shared, nothing left", takes, 0, motion.ErrSpent},
	} {
		if got := search(tt.own, &motion.Budget{Boxes: tt.shared}); !errors.Is(got, tt.want) {
			t.Errorf("%s: got %v, want %v", tt.name, got, tt.want)
		}
	}
	if err := search(takes, nil); err != nil {
		t.Errorf("without a budget: %v", err)
	}
}

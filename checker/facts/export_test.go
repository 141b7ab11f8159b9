package facts

import "kitgauge/checker/kit"

// MostBoxes is the budget of all searches of a kit.
const MostBoxes = mostBoxes

// ComputeWithin is Compute with another budget of searches; it returns what
// is left of it.
func ComputeWithin(k *kit.Kit, boxes int) (*Kit, int) {
	f := compute(k, nil, boxes)
	return f, f.search.Boxes
}

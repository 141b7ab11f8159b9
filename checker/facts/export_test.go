package facts

import (
	"kitgauge/checker/kit"
	"kitgauge/checker/quantities/motion"
)

// MostBoxes is the budget of all searches of a kit.
const MostBoxes = mostBoxes

// ComputeWithin is Compute with another budget of searches; it returns what
// is left of it.
func ComputeWithin(k *kit.Kit, boxes int) (*Kit, int) {
	search := &motion.Budget{Boxes: boxes}
	f := compute(k, &Options{}, search)
	return f, search.Boxes
}

// NamedSide is the side of the vehicle that a point's name says: left, right,
// both or none.
func NamedSide(name string) string {
	side, _ := readName(nameWords(name))
	return side
}

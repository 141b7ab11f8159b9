package motion

// Search finds the least value of a function over a box by branch and bound.
// Bound says all that is known of the function.
type Search struct {
	From, To  []float64 // the box, From[i] <= To[i]
	Tolerance float64   // how far above the least value the answer may be
	Boxes     int       // how many boxes to look at before giving up
	Budget    *Budget   // of this and other searches; nil does not bound them
	Bound     func(lo, hi []float64, best float64) Part
}

// Part is what is known of the function on one box. Bound may narrow lo and hi
// in place to a part that still holds a least value of the box; best is the
// least value found so far.
type Part struct {
	Value float64   // of the function at At
	At    []float64 // a point; Search copies it, so it may be reused
	Low   float64   // no value in the box is less
	Split int       // the coordinate to halve, -1 when the value is the least
}

// Budget bounds several searches together by the number of boxes that they
// look at; the zero Budget has none left. It is not for use by several
// goroutines.
type Budget struct{ Boxes int }

// Setup is what it takes of a budget to make a search ready, in the time in
// which so many boxes are looked at.
const Setup = 50

// Take takes boxes out of the budget, and reports whether there were so many.
// A nil Budget is without bound.
func (b *Budget) Take(boxes int) bool {
	if b == nil {
		return true
	}
	if b.Boxes < boxes {
		b.Boxes = 0
		return false
	}
	b.Boxes -= boxes
	return true
}

// Least returns the least value found and where, given the value best at the
// point at (to start from; at is overwritten). The result is at most Tolerance
// above every value in the box, or the error is [ErrTooComplex] or [ErrSpent].
// The same input gives the same result.
func (s Search) Least(best float64, at []float64) (float64, error) {
	n := len(s.From)
	// One slice as a stack of boxes, each its n low ends then its n high ends.
	stack := append(append(make([]float64, 0, 64*n), s.From...), s.To...)
	box := make([]float64, 2*n)
	lo, hi := box[:n], box[n:]
	for boxes := 0; len(stack) > 0; boxes++ {
		if boxes == s.Boxes {
			return best, ErrTooComplex
		}
		if !s.Budget.Take(1 + n*n/16) { // a box of many joints takes longer
			return best, ErrSpent
		}
		copy(box, stack[len(stack)-2*n:])
		stack = stack[:len(stack)-2*n]
		part := s.Bound(lo, hi, best)
		if part.Value < best {
			best = part.Value
			copy(at, part.At)
		}
		if part.Split < 0 || part.Low >= best-s.Tolerance {
			continue
		}
		mid := lo[part.Split] + (hi[part.Split]-lo[part.Split])/2
		stack = append(stack, box...)
		stack[len(stack)-n+part.Split] = mid
		stack = append(stack, box...)
		stack[len(stack)-2*n+part.Split] = mid
	}
	return best, nil
}

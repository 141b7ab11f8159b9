package quantities

// LineFittings is how the fittings of a line suit tube and point.
type LineFittings struct{}

// fittings compares fittings with tubes and points.
func (f *Kit) fittings() {}

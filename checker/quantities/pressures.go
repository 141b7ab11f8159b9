package quantities

// LineFlow is the pressures that a line needs and stands.
type LineFlow struct{}

// flow works out the pressures along every line.
func (f *Kit) flow() {}

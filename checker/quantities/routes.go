package quantities

// LineRouting is what the route of a line comes to.
type LineRouting struct{}

// routing measures routes against zones, ties and corners.
func (f *Kit) routing() {}

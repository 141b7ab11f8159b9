package quantities

// PointDosing is what a point needs and gets.
type PointDosing struct{}

// PumpDosing is how the timer suits the pump.
type PumpDosing struct{}

// dosing compares what each point gets with what it needs.
func (f *Kit) dosing() {}

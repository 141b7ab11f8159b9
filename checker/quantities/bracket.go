package quantities

// PumpMounting is how the pump sits on the vehicle.
type PumpMounting struct{}

// mounting works out the loads on the bolts and where the pump sits.
func (f *Kit) mounting() {}

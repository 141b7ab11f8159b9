package quantities

// LineEnvironment is the temperatures that a line meets.
type LineEnvironment struct{}

// PointEnvironment is whether the grease suits a point.
type PointEnvironment struct{}

// PumpEnvironment is whether grease and pump suit the climate.
type PumpEnvironment struct{}

// environment holds grease and parts against climate and wash-down.
func (f *Kit) environment() {}

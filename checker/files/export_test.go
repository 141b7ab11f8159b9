package files

// What the tests need of the inside.
var (
	ReadSteady = readSteady
	ErrChanged = errChanged
)

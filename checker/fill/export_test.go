package fill

// Evenly is for tests.
var Evenly = evenly

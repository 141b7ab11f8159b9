// Package ample lets the tests of a package that imports it collect garbage
// late, as the program does for a usual kit: it takes a sixth off what many
// checks cost, and a few hundred megabytes at the most.
package ample

import "runtime/debug"

func init() { debug.SetGCPercent(400) }

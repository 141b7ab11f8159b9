package command

import (
	"os"
	"runtime"
	"runtime/debug"
)

// mostMemory is how much the program tries to live with: near it, garbage is
// collected more often. GOMEMLIMIT sets another.
const mostMemory = 768 << 20

func boundMemory() {
	if os.Getenv("GOMEMLIMIT") == "" {
		debug.SetMemoryLimit(mostMemory)
	}
}

// collectLate puts the first collection of garbage off: one usual kit is done
// before one pays. What is larger comes to that collection soon, however its
// bytes are spread over files, and from then on garbage is collected as usual.
func collectLate() {
	usual := debug.SetGCPercent(1000)
	mark := &struct{ _ [64]byte }{}
	runtime.AddCleanup(mark, func(percent int) { debug.SetGCPercent(percent) }, usual)
}

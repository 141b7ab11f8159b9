// Package fittings holds the threads by which lines are screwed to pumps and
// grease points: designations as people write them (Parse), the sizes of the
// standards behind them, and whether one thread goes into another (Screw) or
// only looks as if it did (Apart).
package fittings

import (
	"fmt"
	"math"
	"strings"
)

// Standard names the document that fixes a thread.
type Standard string

// The standards whose designations [Parse] reads.
const (
	ISOMetric   Standard = "ISO 261"      // M10x1
	MetricTaper Standard = "DIN 158-1"    // M10x1 keg: taper outside, for a parallel ISO 261 hole
	Jointing    Standard = "ISO 7-1"      // R, Rp, Rc: tight in the thread
	Fastening   Standard = "ISO 228-1"    // G: parallel, tight on a seal
	NPT         Standard = "ASME B1.20.1" // 1/8-27 NPT
	Dryseal     Standard = "ASME B1.20.3" // 1/8-27 NPTF: NPT with crests that seal dry
	Unified     Standard = "ASME B1.1"    // 1/4-28 UNF
)

// Side is where a thread can be. A designation that says nothing of it, such
// as M10x1 or NPT, fits both.
type Side string

// The sides.
const (
	Either   Side = ""
	External Side = "external"
	Internal Side = "internal"
)

// PipeTaper is the change of diameter over length of a taper pipe thread, 1
// in 16. Source: ISO 7-1; ASME B1.20.1; DIN 158-1.
const PipeTaper = 1.0 / 16

// Thread is a screw thread.
type Thread struct {
	Name     string // as its standard writes it: "M10x1", "R 1/8", "1/8-27 NPT"
	Standard Standard
	Side     Side
	Major    float64 // largest diameter [m]; of a taper thread at the gauge plane, of NPT the pipe's outside
	Pitch    float64 // [m]
	Taper    float64 // change of diameter over length; 0 for a parallel thread
	Flanks   float64 // angle between the flanks [rad]: 60 or 55 degrees
}

// String returns the designation.
func (t Thread) String() string { return t.Name }

// Same reports whether two threads have one size and one form, so that one
// turns in the other, whatever the taper: R, Rp, Rc and G of one size do, M10x1
// and M10x1 keg, NPT and NPTF.
//
// Source: ISO 7-1 and ISO 228-1 give one table of diameters and pitches; DIN
// 158-1 asks for a parallel ISO hole.
func Same(a, b Thread) bool {
	return a.Flanks == b.Flanks && math.Abs(a.Major-b.Major) < 1e-6 && math.Abs(a.Pitch-b.Pitch) < 1e-7
}

// Difference is how far two threads are apart, as shares of the larger one.
type Difference struct{ Major, Pitch float64 }

// Apart returns how far two threads are apart in diameter and pitch. Threads
// that are near in both start in each other by hand and then strip or leak:
//
//	1/8-27 NPT and R 1/8 (28 per inch)  5.4 %, 3.6 %
//	M6x1 and 1/4-28 UNF                 5.5 %, 9.3 %
//	M10x1 and R 1/8                     2.7 %, 9.3 %
//
// Which nearness is dangerous is common practice, no source.
func Apart(a, b Thread) Difference {
	share := func(x, y float64) float64 { return math.Abs(x-y) / max(x, y) }
	return Difference{share(a.Major, b.Major), share(a.Pitch, b.Pitch)}
}

// Screw reports whether a fitting with one thread screws into a hole with
// another so that it can be made tight, and if not, why.
//
// A hole that is written with R is one for an external R thread, Rp or Rc. R
// into a G hole is common practice, no source: ISO 228-1 leaves tightness to a
// seal on the face. The other way round, G into Rc, jams before it seats.
// Source: ISO 7-1 (R goes with Rp and Rc); DIN 158-1 (taper into parallel).
func Screw(fitting, hole Thread) (ok bool, why string) {
	switch {
	case fitting.Side == Internal:
		return false, fmt.Sprintf("%s is an internal thread; a fitting is screwed in with an external one", fitting)
	case !Same(fitting, hole):
		return false, fmt.Sprintf("%s (%s) does not go into %s (%s)", fitting, fitting.measures(), hole, hole.measures())
	case fitting.Standard == Fastening && hole.Taper > 0:
		return false, fmt.Sprintf("%s is parallel and jams in the taper hole %s before it seats", fitting, hole)
	}
	return true, ""
}

// measures gives diameter and pitch, an inch thread also in threads per inch.
func (t Thread) measures() string {
	diameter := fmt.Sprintf("%.4g mm", t.Major*1000)
	if t.Standard == ISOMetric || t.Standard == MetricTaper {
		return fmt.Sprintf("%s, pitch %.3g mm", diameter, t.Pitch*1000)
	}
	return fmt.Sprintf("%s, %.3g per inch, pitch %.3g mm", diameter, inch/t.Pitch, t.Pitch*1000)
}

// Fitting names the thread that a fitting needs for a hole: R for Rp and Rc,
// else that of the hole.
func Fitting(hole Thread) string {
	if hole.Standard == Jointing {
		return "R" + hole.Name[strings.IndexByte(hole.Name, ' '):]
	}
	return hole.Name
}

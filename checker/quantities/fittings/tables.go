package fittings

import "math"

const (
	inch    = 0.0254
	degrees = math.Pi / 180
)

// metric holds the pitches by nominal diameter, both in mm, the coarse pitch
// first. A diameter that has no coarse pitch begins with 0.
// Source: ISO 261 (coarse pitches of M3 to M10 confirmed at
// eng-calculations.com, ISO 1207; the rest from memory).
var metric = []struct {
	diameter float64
	pitches  []float64
}{
	{3, []float64{0.5, 0.35}}, {3.5, []float64{0.6, 0.35}}, {4, []float64{0.7, 0.5}}, {4.5, []float64{0.75, 0.5}},
	{5, []float64{0.8, 0.5}}, {5.5, []float64{0, 0.5}}, {6, []float64{1, 0.75}}, {7, []float64{1, 0.75}},
	{8, []float64{1.25, 1, 0.75}}, {9, []float64{1.25, 1, 0.75}}, {10, []float64{1.5, 1.25, 1, 0.75}},
	{11, []float64{1.5, 1, 0.75}}, {12, []float64{1.75, 1.5, 1.25, 1}}, {14, []float64{2, 1.5, 1.25, 1}},
	{15, []float64{0, 1.5, 1}}, {16, []float64{2, 1.5, 1}}, {17, []float64{0, 1.5, 1}}, {18, []float64{2.5, 2, 1.5, 1}},
	{20, []float64{2.5, 2, 1.5, 1}}, {22, []float64{2.5, 2, 1.5, 1}}, {24, []float64{3, 2, 1.5, 1}},
	{25, []float64{0, 2, 1.5, 1}}, {26, []float64{0, 1.5}}, {27, []float64{3, 2, 1.5, 1}}, {28, []float64{0, 2, 1.5, 1}},
	{30, []float64{3.5, 3, 2, 1.5, 1}}, {32, []float64{0, 2, 1.5}}, {33, []float64{3.5, 3, 2, 1.5}}, {35, []float64{0, 1.5}},
	{36, []float64{4, 3, 2, 1.5}}, {38, []float64{0, 1.5}}, {39, []float64{4, 3, 2, 1.5}},
}

// pipe is a size of pipe thread: R, Rp, Rc and G share one table, NPT and NPTF
// another.
type pipe struct {
	size     string
	perInch  float64
	diameter float64 // m
}

// british holds threads per inch and largest diameter at the gauge plane.
// Source: ISO 7-1 and ISO 228-1 (confirmed: 1/8, 1/4 and 3/8 in the tables of
// the Mechanical Engineer's Pocket Book, section 4.1.38; all of them in the
// ISO 228 table of engineeringhardware.com).
var british = []pipe{
	{"1/16", 28, 7.723e-3}, {"1/8", 28, 9.728e-3}, {"1/4", 19, 13.157e-3}, {"3/8", 19, 16.662e-3},
	{"1/2", 14, 20.955e-3}, {"3/4", 14, 26.441e-3}, {"1", 11, 33.249e-3},
}

// american holds threads per inch and the outside diameter of the pipe, near
// which the full thread ends.
// Source: ASME B1.20.1, table 2 (1/8 to 1 confirmed in a reprint of the table;
// 1/16 from memory).
var american = []pipe{
	{"1/16", 27, 0.3125 * inch}, {"1/8", 27, 0.405 * inch}, {"1/4", 18, 0.540 * inch}, {"3/8", 18, 0.675 * inch},
	{"1/2", 14, 0.840 * inch}, {"3/4", 14, 1.050 * inch}, {"1", 11.5, 1.315 * inch},
}

// unified holds the largest diameter and the threads per inch of the coarse
// and the fine series.
// Source: ASME B1.1 (diameters of numbered sizes: 0.060 in + 0.013 in for each
// number, confirmed for 0 to 3 at efunda.com; series from memory).
var unified = []struct {
	size         string
	diameter     float64 // m
	coarse, fine float64 // threads per inch
}{
	{"6", 0.138 * inch, 32, 40}, {"8", 0.164 * inch, 32, 36}, {"10", 0.190 * inch, 24, 32}, {"12", 0.216 * inch, 24, 28},
	{"1/4", 0.25 * inch, 20, 28}, {"5/16", 0.3125 * inch, 18, 24}, {"3/8", 0.375 * inch, 16, 24},
	{"7/16", 0.4375 * inch, 14, 20}, {"1/2", 0.5 * inch, 13, 20}, {"9/16", 0.5625 * inch, 12, 18},
	{"5/8", 0.625 * inch, 11, 18}, {"3/4", 0.75 * inch, 10, 16}, {"7/8", 0.875 * inch, 9, 14}, {"1", inch, 8, 12},
}

package drawing

import "math"

// cellSize is that of a cell of a grid [mm]: about a label.
const cellSize = 5.0

// grid finds what lies near a box without a look at all that lies elsewhere.
// The items are numbers of a list that only grows. What lies outside of its
// bounds is not found.
type grid struct {
	x0, y0, nx, ny int // the bounds, in cells
	cells          [][]int32
	count          int     // of the list that are in it
	seen           []int32 // by item, the last look that came upon it
	look           int32
}

// bound sets the bounds, once.
func (g *grid) bound(b box) {
	if g.cells != nil {
		return
	}
	g.x0, g.y0 = cell(b.x0), cell(b.y0)
	g.nx, g.ny = cell(b.x1)-g.x0+1, cell(b.y1)-g.y0+1
	g.cells = make([][]int32, max(g.nx*g.ny, 0))
}

func cell(v float64) int { return int(math.Floor(v / cellSize)) }

// span is the cells of a box within the bounds.
func (g *grid) span(b box) (x0, y0, x1, y1 int) {
	return max(cell(b.x0)-g.x0, 0), max(cell(b.y0)-g.y0, 0), min(cell(b.x1)-g.x0, g.nx-1), min(cell(b.y1)-g.y0, g.ny-1)
}

// add puts the next item of the list into the cells of a box.
func (g *grid) add(b box) {
	x0, y0, x1, y1 := g.span(b)
	for x := x0; x <= x1; x++ {
		for y := y0; y <= y1; y++ {
			g.into(x, y)
		}
	}
}

func (g *grid) into(x, y int) {
	at := x*g.ny + y
	g.cells[at] = append(g.cells[at], int32(g.count))
}

// next ends an item.
func (g *grid) next() {
	g.count++
	g.seen = append(g.seen, 0)
}

// addStroke puts the next item of the list into the cells that a stroke goes
// through, as far as it is within a box.
func (g *grid) addStroke(s stroke, within box) {
	a, b := s.a, s.b
	if a.x > b.x {
		a, b = b, a
	}
	from, to := max(a.x, within.x0), min(b.x, within.x1)
	for x := cell(from); x <= cell(to); x++ {
		left, right := max(float64(x)*cellSize, a.x), min(float64(x+1)*cellSize, b.x)
		y0, y1 := a.y, b.y
		if b.x > a.x {
			y0 = a.y + (b.y-a.y)*(left-a.x)/(b.x-a.x)
			y1 = a.y + (b.y-a.y)*(right-a.x)/(b.x-a.x)
		}
		low, high := max(min(y0, y1), within.y0), min(max(y0, y1), within.y1)
		const hair = 1e-6 // of what rounding may be off
		middle := (float64(x) + 0.5) * cellSize
		if x0, first, x1, last := g.span(box{middle, low - hair, middle, high + hair}); x0 == x1 {
			for y := first; y <= last; y++ {
				g.into(x0, y)
			}
		}
	}
}

// near calls f for every item in the cells of a box, once, until it returns
// false.
func (g *grid) near(b box, f func(i int) bool) {
	g.look++
	x0, y0, x1, y1 := g.span(b)
	for x := x0; x <= x1; x++ {
		for y := y0; y <= y1; y++ {
			for _, i := range g.cells[x*g.ny+y] {
				if g.seen[i] == g.look {
					continue
				}
				g.seen[i] = g.look
				if !f(int(i)) {
					return
				}
			}
		}
	}
}

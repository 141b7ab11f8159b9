package drawing

import "math"

// cellSize is that of a cell of a grid [mm]: about a label.
const cellSize = 5.0

// grid finds what lies near a box without a look at all that lies elsewhere.
// The items are numbers of a list that only grows.
type grid struct {
	cells map[[2]int][]int32
	count int     // of the list that are in it
	seen  []int32 // by item, the last look that came upon it
	look  int32
}

func cell(v float64) int { return int(math.Floor(v / cellSize)) }

// add puts the next item of the list into the cells of a box.
func (g *grid) add(b box) {
	for x := cell(b.x0); x <= cell(b.x1); x++ {
		for y := cell(b.y0); y <= cell(b.y1); y++ {
			g.into(x, y)
		}
	}
}

func (g *grid) into(x, y int) {
	if g.cells == nil {
		g.cells = map[[2]int][]int32{}
	}
	at := [2]int{x, y}
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
		for y := cell(low - hair); y <= cell(high+hair); y++ {
			g.into(x, y)
		}
	}
}

// near calls f for every item in the cells of a box, once, until it returns
// false.
func (g *grid) near(b box, f func(i int) bool) {
	g.look++
	for x := cell(b.x0); x <= cell(b.x1); x++ {
		for y := cell(b.y0); y <= cell(b.y1); y++ {
			for _, i := range g.cells[[2]int{x, y}] {
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

package drawing

import (
	"kitgauge/checker/units"
)

// scaleBar draws the bar and says what the positions count from, or where that
// stands when it has no room.
func (s *sheet) scaleBar(sc *scene, l *layout, room box) (whole bool) {
	k := 1000 / l.scale
	step, parts := division(k, sc.kit.Family())
	at := spot{room.x0 + 5, room.y1 - 5.2}
	for i := range parts {
		b := box{at.x + float64(i)*step*k, at.y, at.x + float64(i+1)*step*k, at.y + 1.4}
		class := "cell"
		if i%2 == 0 {
			class = "solid"
		}
		s.rect(b, 0, class)
	}
	s.rect(box{at.x, at.y, at.x + float64(parts)*step*k, at.y + 1.4}, 0, "cell")
	for _, i := range []int{0, parts} {
		text := "0"
		if i > 0 {
			text = units.Format(float64(i)*step, units.Length, sc.kit.Family())
		}
		s.text(spot{at.x + float64(i)*step*k, at.y + 3.8}, middle, small, "", text)
	}
	x := at.x + float64(parts)*step*k + 12
	lines := wrapWords(datumText(sc, s.crop != (box{})), small, room.x1-x-3, false)
	if whole = len(lines) <= datumLines; !whole {
		lines = []string{datumElsewhere}
	}
	for i, line := range lines {
		s.text(spot{x, room.y1 - 1.2 - rowStep*float64(len(lines)-1-i)}, start, small, "", line)
	}
	return whole
}

// datumLines is how many lines the datum may take, and what stands for a
// longer one.
const (
	datumLines     = 2
	datumElsewhere = "Datum: see the table of what is given in full."
)

// datumText says what the positions count from.
func datumText(sc *scene, moved bool) string {
	text := "Datum: " + shown(sc.kit.Kit.Vehicle.Datum.Or("not stated")) + ". Axes after ISO 8855: x forward, y left, z up."
	if moved { // in a page the joints may be
		return text
	}
	return text + " Every joint is drawn at rest."
}

// division is the length of one part of the scale bar [m] and how many it has:
// a round number of the kit's units, the bar at most 70 mm long.
func division(k float64, family units.Family) (step float64, parts int) {
	unit := 0.001
	if family == units.Inch {
		unit = 0.0254
	}
	best := unit
	for decade := unit; decade < 1e4; decade *= 10 {
		for _, n := range []float64{1, 2, 5} {
			if decade*n*k*4 <= 70 {
				best = decade * n
			}
		}
	}
	return best, 4
}

package fleet

import (
	"math"
	"strconv"

	"gonum.org/v1/gonum/spatial/r3"
)

// grid is the raster of a kit's measurements: what is written in the file is
// what was computed with. Lengths inside the package are in mm.
type grid struct{ inch bool }

// step is 5 mm, or a quarter of an inch.
func (g grid) step() float64 {
	if g.inch {
		return 6.35
	}
	return 5
}

func (g grid) snap(mm float64) float64 { return math.Round(mm/g.step())*g.step() + 0 } // never -0

// up is the next place on the raster that is not below.
func (g grid) up(mm float64) float64 { return math.Ceil(mm/g.step()-1e-6) * g.step() }

func (g grid) at(x, y, z float64) r3.Vec {
	return r3.Vec{X: g.snap(x), Y: g.snap(y), Z: g.snap(z)}
}

// length writes a length that lies on the raster.
func (g grid) length(mm float64) string {
	if g.inch {
		return strconv.FormatFloat(math.Round(mm/g.step())/4, 'f', -1, 64) + " in"
	}
	return strconv.FormatFloat(math.Round(mm), 'f', -1, 64) + " mm"
}

// piece writes a length as the bench reads it, in inches with a fraction.
func (g grid) piece(mm float64) string {
	if !g.inch {
		return g.length(mm)
	}
	quarters := int(math.Round(mm / g.step()))
	text := strconv.Itoa(quarters / 4)
	switch quarters % 4 {
	case 1:
		text += " 1/4"
	case 2:
		text += " 1/2"
	case 3:
		text += " 3/4"
	}
	return text + " in"
}

func (g grid) position(v r3.Vec) list {
	return list{g.length(v.X), g.length(v.Y), g.length(v.Z)}
}

// temperature writes a temperature given in degC; inch kits take multiples
// of 5 degC, which are whole in degF.
func (g grid) temperature(celsius int) string {
	if g.inch {
		return strconv.Itoa(celsius*9/5+32) + " degF"
	}
	return strconv.Itoa(celsius) + " degC"
}

// volume writes a volume given in cm3, in in3 rounded down.
func (g grid) volume(cm3 float64) string {
	if g.inch {
		return strconv.FormatFloat(math.Floor(cm3/16.387064*10)/10, 'f', -1, 64) + " in3"
	}
	return strconv.FormatFloat(math.Floor(cm3), 'f', -1, 64) + " cm3"
}

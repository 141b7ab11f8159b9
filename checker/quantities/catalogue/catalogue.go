// Package catalogue holds what ties the figures of one catalogue entry to each
// other: the stress in the wall of a tube, the yield stress that goes with a
// consistency grade, and how an oil thins with warmth. Units are SI.
package catalogue

import (
	"fmt"
	"math"
	"strings"
)

// HoopStress returns the mean stress round the wall of a tube [Pa] under inner
// pressure [Pa], by the thin-wall formula on the mean diameter,
//
//	σ = p (D - t) / (2 t), t = (D - d)/2,
//
// D the outer and d the inner diameter [m]. Linear in the pressure.
//
// Range: 0 < d < D, pressure not below 0; else an error. For thick walls it is
// the mean of the stress over the wall to within p/2 (Lamé gives p d/(2 t)).
// Source: Barlow's formula in the mean-diameter form of EN 13480-3, 6.1.
func HoopStress(pressure, outer, inner float64) (float64, error) {
	switch {
	case !(inner > 0 && outer > inner) || math.IsInf(outer, 0):
		return 0, fmt.Errorf("a tube of %.5g mm outside and %.5g mm inside has no wall", outer*1000, inner*1000)
	case !(pressure >= 0) || math.IsInf(pressure, 0):
		return 0, fmt.Errorf("a pressure of %.5g bar strains no wall", pressure/1e5)
	}
	wall := (outer - inner) / 2
	stress := pressure * (outer - wall) / (2 * wall)
	if math.IsInf(stress, 0) {
		return 0, fmt.Errorf("a wall of %.5g mm is too thin to be one", wall*1000)
	}
	return stress, nil
}

// Material is a family of materials that tubes are made of.
type Material struct {
	Name    string
	Least   float64 // Pa: with less in its wall a pressure line would be several times too thick; 0 where that is open
	Most    float64 // Pa: the greatest stress in the wall that a maker could mean as working pressure
	Hottest float64 // K: no tube of it is rated warmer
	words   []string
}

// materials are told by the words that their names hold; the first that fits.
// Most is near the strength at break of the strongest of the family, which no
// working pressure reaches; reinforced hoses count their whole wall.
//
// Least is about a twentieth of it, far below the quarter or third that makers
// of pressure lines leave: common practice, no source. Tubes for suction and
// vents are below.
//
// Source: tensile strength of polyamide 11 and 12 tube 45 to 52 MPa (avetop.cz,
// PA tube), in other tables 40 to 60 MPa, of polyamide 6 and 66 to 85 MPa, of precision steel tube (EN 10305-1, E235 and
// E355) 340 to 640 MPa, of stainless tube (EN 10216-5) 500 to 750 MPa, of
// half-hard copper (EN 12449) 250 to 300 MPa: from memory. Rubber and fluoropolymer:
// common practice, no source.
var materials = []Material{
	{"rubber", 3e6, 250e6, 473.15, []string{"rubber", "hose", "braid", "epdm", "nbr", "spiral"}},
	{"polyamide", 4.5e6, 90e6, 423.15, []string{"polyamide", "nylon", "pa 6", "pa6", "pa 11", "pa11", "pa 12", "pa12"}},
	{"fluoropolymer", 2e6, 60e6, 553.15, []string{"ptfe", "fep", "pfa", "fluor"}},
	{"polyethylene or polyurethane", 2e6, 60e6, 403.15, []string{"polyethylene", "polyurethane", "pe ", "pur", "hdpe", "polypropylene"}},
	{"steel", 25e6, 750e6, 1073.15, []string{"steel", "inox", "1.4"}},
	{"copper or brass", 12e6, 350e6, 573.15, []string{"copper", "brass", "cunife", "cupro"}},
	{"aluminium", 10e6, 350e6, 473.15, []string{"alumin"}},
}

// other is what no word tells: the widest of all.
var other = Material{Name: "other", Most: 750e6, Hottest: 1073.15}

// MaterialOf tells the family by the name of the material: "polyamide 12",
// "stainless steel". A name that holds no known word gives the family "other",
// whose bounds are those of the strongest.
func MaterialOf(name string) Material {
	name = strings.ToLower(name) + " "
	for _, m := range materials {
		for _, w := range m.words {
			if strings.Contains(name, w) {
				return m
			}
		}
	}
	return other
}

// yields holds the yield stress at 25 degC that greases of a grade have, in Pa.
// Source: micro-PIV and rheometer studies of lithium greases give about 0 for
// NLGI 00, 189 for 1, 650 for 2, and 100 to 1000 for NLGI 2 by method and
// grease (Li, Höglund, Westerberg, Lugt et al. 2012-13; Cyriac, Lugt and
// Bosman, Tribology Transactions 58 (2015) 1021-1030): figures from memory. The
// bands are these with room to both sides; neighbours overlap.
var yields = []struct {
	grade       string
	least, most float64
}{
	{"000", 0, 40}, {"00", 0, 80}, {"0", 5, 250}, {"1", 25, 600}, {"2", 60, 1500}, {"3", 100, 3500},
	{"4", 200, 8000}, {"5", 400, 20000}, {"6", 800, 50000},
}

// YieldBand returns the least and the greatest yield stress [Pa] at 25 degC
// that greases of an NLGI grade have. Both rise with the grade. Range: the
// grades of ASTM D217, "000" to "6"; others are
// an error. Source: see the table.
func YieldBand(grade string) (least, most float64, err error) {
	for _, y := range yields {
		if y.grade == strings.TrimSpace(grade) {
			return y.least, y.most, nil
		}
	}
	return 0, 0, fmt.Errorf("NLGI %s is no grade; they are 000, 00, 0 and 1 to 6", grade)
}

// mm2 is a square millimetre a second in SI.
const mm2 = 1e-6

// OilSlope returns the slope of an oil between 40 and 100 degC on the chart of
// ASTM D341,
//
//	B = (lg lg(ν40 + 0.7) - lg lg(ν100 + 0.7)) / (lg 373.15 - lg 313.15),
//
// ν in mm²/s inside, m²/s as given. The greater, the more the oil thins; 0 for
// one that does not.
//
// Range: both above 0.31 mm²/s, where the logarithms exist; else an error.
// Source: ASTM D341, the simple equation.
func OilSlope(at40, at100 float64) (float64, error) {
	for _, v := range []float64{at40, at100} {
		if !(v/mm2 > 0.31) || math.IsInf(v, 0) {
			return 0, fmt.Errorf("an oil of %.5g mm2/s is on no chart", v/mm2)
		}
	}
	double := func(v float64) float64 { return math.Log10(math.Log10(v/mm2 + 0.7)) }
	return (double(at40) - double(at100)) / math.Log10(373.15/313.15), nil
}

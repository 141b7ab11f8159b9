package flow

import "fmt"

// Band is the middle of a grade and the limits within which it lies.
type Band struct {
	Min, Mid, Max float64
}

// viscosityGrades are the midpoints of ISO 3448 in mm²/s at 40 °C. A midpoint
// is not always the grade's number: VG 2 is 2.2 mm²/s.
var viscosityGrades = []struct {
	grade int
	mid   float64
}{
	{2, 2.2}, {3, 3.2}, {5, 4.6}, {7, 6.8}, {10, 10},
	{15, 15}, {22, 22}, {32, 32}, {46, 46}, {68, 68},
	{100, 100}, {150, 150}, {220, 220}, {320, 320}, {460, 460},
	{680, 680}, {1000, 1000}, {1500, 1500}, {2200, 2200}, {3200, 3200},
}

// ViscosityGrade returns the kinematic viscosity [m²/s] at 40 °C of an ISO
// viscosity grade such as 46: the midpoint and 10 % to either side.
//
// Shape: the grades do not meet; 26 mm²/s belongs to none.
// Range: the twenty grades from VG 2 to VG 3200.
// Source: ISO 3448; ASTM D2422 clause 4 (VG 2200 and 3200 from memory).
func ViscosityGrade(grade int) (Band, error) {
	for _, g := range viscosityGrades {
		if g.grade == grade {
			mid := g.mid / squareMillimetres
			return Band{Min: 0.9 * mid, Mid: mid, Max: 1.1 * mid}, nil
		}
	}
	return Band{}, fmt.Errorf("VG %d is no ISO 3448 viscosity grade: the grades are 2, 3, 5, 7, then 10, 15, 22, 32, 46, 68 and so on to 3200", grade)
}

// consistencyGrades are the NLGI grades from the softest to the stiffest, with
// the lowest worked penetration in tenths of a millimetre. Every band is 30 wide.
var consistencyGrades = []struct {
	grade  string
	lowest float64
}{
	{"000", 445}, {"00", 400}, {"0", 355}, {"1", 310}, {"2", 265},
	{"3", 220}, {"4", 175}, {"5", 130}, {"6", 85},
}

const (
	penetrationWidth = 30    // tenths of a millimetre
	penetrationUnit  = 10000 // tenths of a millimetre in a metre
)

// Penetration returns the worked penetration [m] at 25 °C of an NLGI grade. The
// standards print it in tenths of a millimetre: grade "2" is 265 to 295.
//
// Shape: the softer the grease, the deeper the cone; between two grades lie 15
// tenths of a millimetre that belong to neither.
// Range: "000", "00", "0" and "1" to "6".
// Source: ASTM D217 scope; ISO 2137; DIN 51818.
func Penetration(grade string) (Band, error) {
	rank, err := ConsistencyRank(grade)
	if err != nil {
		return Band{}, err
	}
	lowest := consistencyGrades[rank].lowest
	return Band{
		Min: lowest / penetrationUnit,
		Mid: (lowest + penetrationWidth/2) / penetrationUnit,
		Max: (lowest + penetrationWidth) / penetrationUnit,
	}, nil
}

// ConsistencyRank returns the place of an NLGI grade in the order from soft to
// stiff: 0 for "000", 2 for "0", 8 for "6". Grades are compared by it, as "00"
// and "000" are no numbers.
//
// Range: "000", "00", "0" and "1" to "6".
// Source: DIN 51818.
func ConsistencyRank(grade string) (int, error) {
	for i, g := range consistencyGrades {
		if g.grade == grade {
			return i, nil
		}
	}
	return 0, fmt.Errorf("%q is no NLGI grade: the grades from soft to stiff are 000, 00, 0, 1, 2, 3, 4, 5 and 6", grade)
}

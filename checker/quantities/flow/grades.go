package flow

import (
	"fmt"
	"slices"
)

// consistencyGrades are the NLGI grades from the softest to the stiffest.
var consistencyGrades = []string{"000", "00", "0", "1", "2", "3", "4", "5", "6"}

// ConsistencyRank returns the place of an NLGI grade in the order from soft to
// stiff: 0 for "000", 2 for "0", 8 for "6". Grades are compared by it, as "00"
// and "000" are no numbers.
//
// Range: "000", "00", "0" and "1" to "6".
// Source: DIN 51818.
func ConsistencyRank(grade string) (int, error) {
	rank := slices.Index(consistencyGrades, grade)
	if rank < 0 {
		return 0, fmt.Errorf("%q is no NLGI grade: the grades from soft to stiff are 000, 00, 0, 1, 2, 3, 4, 5 and 6", grade)
	}
	return rank, nil
}

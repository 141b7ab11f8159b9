package environment

import (
	"fmt"
	"strings"
)

// The letters of ISO 6743-9:2003. The temperatures are confirmed by two texts
// of GB/T 7631.8, which adopts the standard; the pairing of the letters with
// the five lowest temperatures, and the whole table for water, are from memory.
var (
	isoLowest = []entry[Limit]{
		{"A", limitAt(0, false)},
		{"B", limitAt(-20, false)},
		{"C", limitAt(-30, false)},
		{"D", limitAt(-40, false)},
		{"E", limitAt(-40, true)},
	}
	isoHighest = []entry[Limit]{
		{"A", limitAt(60, false)},
		{"B", limitAt(90, false)},
		{"C", limitAt(120, false)},
		{"D", limitAt(140, false)},
		{"E", limitAt(160, false)},
		{"F", limitAt(180, false)},
		{"G", limitAt(180, true)},
	}
	isoWater = []entry[isoContamination]{
		{"A", isoContamination{Dry, "none"}},
		{"B", isoContamination{Dry, "fresh water"}},
		{"C", isoContamination{Dry, "salt water"}},
		{"D", isoContamination{StaticHumidity, "none"}},
		{"E", isoContamination{StaticHumidity, "fresh water"}},
		{"F", isoContamination{StaticHumidity, "salt water"}},
		{"G", isoContamination{Washing, "none"}},
		{"H", isoContamination{Washing, "fresh water"}},
		{"I", isoContamination{Washing, "salt water"}},
	}
	isoLoad = []entry[bool]{
		{"A", false},
		{"B", true},
	}
)

type isoContamination struct {
	water Water
	rust  string
}

// parseISO reads what follows "ISO", without hyphens: LX, four letters, grade.
func parseISO(code string) (Designation, error) {
	symbols, ok := strings.CutPrefix(strings.TrimPrefix(code, "L"), "X")
	if !ok {
		return Designation{}, fmt.Errorf("greases are family X of class L: write %s", isoShape)
	}
	if len(symbols) < 4 {
		return Designation{}, fmt.Errorf("after the X come four letters: lowest temperature, highest temperature, water, load: write %s", isoShape)
	}
	d := Designation{Standard: isoName, NLGI: symbols[4:]}
	var contamination isoContamination
	var err error
	if d.Lowest, err = find(isoLowest, symbols[0:1], "the lowest temperature"); err != nil {
		return Designation{}, err
	}
	if d.Highest, err = find(isoHighest, symbols[1:2], "the highest temperature"); err != nil {
		return Designation{}, err
	}
	if contamination, err = find(isoWater, symbols[2:3], "water and rust"); err != nil {
		return Designation{}, err
	}
	if d.ExtremePressure, err = find(isoLoad, symbols[3:4], "the load"); err != nil {
		return Designation{}, err
	}
	if err := checkConsistency(d.NLGI); err != nil {
		return Designation{}, err
	}
	d.Water, d.RustProtection = contamination.water, contamination.rust
	return d, nil
}

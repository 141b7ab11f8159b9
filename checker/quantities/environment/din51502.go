package environment

import (
	"fmt"
	"strconv"
	"strings"
)

// dinUses are the type letters of DIN 51502, the longer first: K rolling and
// plain bearings, G enclosed gears, OG open gears, M plain bearings and seals
// with lighter demands.
var dinUses = []string{"OG", "K", "G", "M"}

// dinBaseOils are the letters for a base oil that is not mineral oil.
var dinBaseOils = []entry[string]{
	{"E", "ester"},
	{"FK", "fluorocarbon"},
	{"HC", "synthetic hydrocarbon"},
	{"PG", "polyglycol"},
	{"PH", "phosphate ester"},
	{"SI", "silicone"},
	{"X", "other synthetic"},
}

// dinUpper are the letters that stand for the highest temperature and the
// behaviour in water together. C to K: confirmed in a lubricant maker's copy of
// the table, and T in a second one; M, N to S and U from memory. The copy and
// memory disagree on the test temperature for G and H, 40 or 90 °C, which is
// not kept here; both give G the good rating and H the poor one.
var dinUpper = []entry[dinService]{
	{"C", dinService{limitAt(60, false), Resistant}},
	{"D", dinService{limitAt(60, false), NotResistant}},
	{"E", dinService{limitAt(80, false), Resistant}},
	{"F", dinService{limitAt(80, false), NotResistant}},
	{"G", dinService{limitAt(100, false), Resistant}},
	{"H", dinService{limitAt(100, false), NotResistant}},
	{"K", dinService{limitAt(120, false), Resistant}},
	{"M", dinService{limitAt(120, false), NotResistant}},
	{"N", dinService{limitAt(140, false), WaterUnknown}},
	{"P", dinService{limitAt(160, false), WaterUnknown}},
	{"R", dinService{limitAt(180, false), WaterUnknown}},
	{"S", dinService{limitAt(200, false), WaterUnknown}},
	{"T", dinService{limitAt(220, false), WaterUnknown}},
	{"U", dinService{limitAt(220, true), WaterUnknown}},
}

type dinService struct {
	highest Limit
	water   Water
}

// parseDIN reads letters, grade, temperature letter and lowest temperature.
func parseDIN(code string) (Designation, error) {
	d := Designation{Standard: dinName}
	for _, use := range dinUses {
		if strings.HasPrefix(code, use) {
			d.Use = use
			break
		}
	}
	if d.Use == "" {
		return Designation{}, fmt.Errorf("it begins neither like ISO 6743-9 (L-X) nor with a grease letter of DIN 51502 (K, G, OG, M): write %s, or %s", isoShape, dinShape)
	}
	rest := code[len(d.Use):]
	digit := strings.IndexAny(rest, "0123456789")
	if digit < 0 {
		return Designation{}, checkConsistency("")
	}
	// A hyphen on either side of the grade only separates; one behind the
	// temperature letter is a minus sign.
	if err := d.readAdditives(strings.ReplaceAll(rest[:digit], "-", "")); err != nil {
		return Designation{}, err
	}
	rest = rest[digit:]
	end := len(rest) - len(strings.TrimLeft(rest, "0123456789"))
	d.NLGI = rest[:end]
	if err := checkConsistency(d.NLGI); err != nil {
		return Designation{}, err
	}
	if err := d.readTemperatures(strings.TrimPrefix(rest[end:], "-")); err != nil {
		return Designation{}, err
	}
	return d, nil
}

// readAdditives reads the letters between the use and the grade. Makers write
// them in either order, KPHC or KHCP, and PH is one letter pair in KPH2K but
// two letters in KPHC2K; so every way of splitting them is tried.
func (d *Designation) readAdditives(letters string) error {
	if d.splitAdditives(letters) {
		return nil
	}
	return fmt.Errorf("%q is not made of the letters P (extreme pressure), F (solid lubricant) and one base oil (E, FK, HC, PG, PH, SI or X), each once", letters)
}

func (d *Designation) splitAdditives(letters string) bool {
	if letters == "" {
		return true
	}
	before := *d
	if after, ok := strings.CutPrefix(letters, "P"); ok && !d.ExtremePressure {
		d.ExtremePressure = true
		if d.splitAdditives(after) {
			return true
		}
		*d = before
	}
	if after, ok := strings.CutPrefix(letters, "F"); ok && !d.SolidLubricant {
		d.SolidLubricant = true
		if d.splitAdditives(after) {
			return true
		}
		*d = before
	}
	for _, oil := range dinBaseOils {
		if after, ok := strings.CutPrefix(letters, oil.letter); ok && d.BaseOil == "" {
			d.BaseOil = oil.means
			if d.splitAdditives(after) {
				return true
			}
			*d = before
		}
	}
	return false
}

// readTemperatures reads the temperature letter and what follows it: nothing,
// which leaves the lowest temperature unknown, or a number below zero. DIN
// prints steps of ten down to -60 (from memory); makers also write fives.
func (d *Designation) readTemperatures(code string) error {
	if code == "" || code[0] < 'A' || code[0] > 'Z' {
		return fmt.Errorf("after the NLGI grade comes a letter for the highest temperature, such as K for 120 degC: write %s", dinShape)
	}
	letter, lowest := code[:1], code[1:]
	service, err := find(dinUpper, letter, "the highest temperature")
	if err != nil {
		return err
	}
	d.Highest, d.Water = service.highest, service.water
	if lowest == "" {
		return nil
	}
	degrees, err := strconv.Atoi(lowest)
	if err != nil || degrees > -5 || degrees < -80 || degrees%5 != 0 {
		return fmt.Errorf("%q is no lowest temperature: write a number such as -30, or leave it out where it is not known", lowest)
	}
	d.Lowest = limitAt(float64(degrees), false)
	return nil
}

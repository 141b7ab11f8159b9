package environment

import (
	"fmt"
	"slices"
	"strings"
)

// Water is how a grease behaves in water, as far as its designation says.
type Water string

// The environments of ISO 6743-9 and the ratings of DIN 51502. The two do not
// measure the same: ISO names where the grease may work, DIN the outcome of
// the static test of DIN 51807-1.
const (
	WaterUnknown   Water = ""                // the designation does not say
	Dry            Water = "dry"             // ISO level L
	StaticHumidity Water = "static humidity" // ISO level M
	Washing        Water = "washing"         // ISO level H
	Resistant      Water = "resistant"       // DIN rating 0 or 1: unchanged or slightly changed
	NotResistant   Water = "not resistant"   // DIN rating 2 or 3: moderately or strongly changed
)

// Limit is one end of the temperatures at which a grease may work.
type Limit struct {
	Known       bool    // false: the designation does not state it
	Temperature float64 // K
	Beyond      bool    // the grease goes further than Temperature; it is not said how far
}

// Designation is what the designation of a grease says. What a standard does
// not cover is left at its zero value.
type Designation struct {
	Standard        string // "ISO 6743-9" or "DIN 51502"
	Use             string // DIN: "K", "G", "OG" or "M"
	Lowest, Highest Limit
	Water           Water
	RustProtection  string // ISO: "none", "fresh water" or "salt water"
	ExtremePressure bool
	SolidLubricant  bool   // DIN
	BaseOil         string // DIN: "ester", ...; empty is mineral oil or not said
	NLGI            string // "000" to "6"
}

// consistencies are the NLGI grades from soft to stiff (DIN 51818).
var consistencies = []string{"000", "00", "0", "1", "2", "3", "4", "5", "6"}

const (
	isoName = "ISO 6743-9"
	dinName = "DIN 51502"

	isoShape = "ISO-L-X, four letters and the NLGI grade, such as ISO-L-XCCEA1"
	dinShape = "letters, NLGI grade, temperature letter and lowest temperature, such as KP2K-30"
)

// Parse reads the designation of a grease by ISO 6743-9 (ISO-L-XCCEA1) or DIN
// 51502 (KP2K-30). Case and spaces do not matter; the number of the standard
// may stand in front.
//
// The lowest temperature of DIN is that at which the grease can still be
// pressed through a nozzle, and of ISO that at which it can be started, run or
// pumped; neither promises that a given pump moves it through a given tube.
//
// Range: the letters of the two standards; anything else is an error that says
// what would be right.
// Source: ISO 6743-9:2003 and DIN 51502; the letter tables carry theirs.
func Parse(designation string) (Designation, error) {
	code, err := plainCode(designation)
	if err != nil {
		return Designation{}, fmt.Errorf("grease designation %q: %w: write %s, or %s", shorten(designation), err, isoShape, dinShape)
	}
	d, err := parsePlain(code)
	if err != nil {
		return Designation{}, fmt.Errorf("grease designation %q: %w", designation, err)
	}
	return d, nil
}

func parsePlain(code string) (Designation, error) {
	bare := strings.ReplaceAll(code, "-", "")
	if strings.HasPrefix(bare, "ISO") || strings.HasPrefix(bare, "L") || strings.HasPrefix(bare, "X") {
		bare = strings.TrimPrefix(bare, "ISO67439")
		return parseISO(strings.TrimPrefix(bare, "ISO"))
	}
	for _, standard := range []string{"DIN51502", "DIN51825", "DIN51826"} {
		if after, ok := strings.CutPrefix(code, standard); ok {
			return parseDIN(strings.TrimPrefix(after, "-"))
		}
	}
	return parseDIN(code)
}

// limitAt makes a limit from degrees Celsius.
func limitAt(celsius float64, beyond bool) Limit {
	return Limit{Known: true, Temperature: zeroCelsius + celsius, Beyond: beyond}
}

func checkConsistency(grade string) error {
	switch {
	case slices.Contains(consistencies, grade):
		return nil
	case grade == "":
		return fmt.Errorf("the NLGI grade is missing: it is one of %s", strings.Join(consistencies, ", "))
	}
	return fmt.Errorf("%q is no NLGI grade: it is one of %s", grade, strings.Join(consistencies, ", "))
}

// entry is one row of a letter table.
type entry[T any] struct {
	letter string
	means  T
}

// find looks a letter up and, when it is not there, names those that are.
func find[T any](table []entry[T], letter, what string) (T, error) {
	letters := make([]string, len(table))
	for i, e := range table {
		if e.letter == letter {
			return e.means, nil
		}
		letters[i] = e.letter
	}
	var none T
	return none, fmt.Errorf("%q is no letter for %s: use one of %s", letter, what, strings.Join(letters, ", "))
}

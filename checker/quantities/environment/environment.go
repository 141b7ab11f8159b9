// Package environment holds what the trade's codes say about cold, heat, water
// and mixing: grease designations by ISO 6743-9 and DIN 51502 ([Parse]),
// ingress protection codes ([ParseIngress]), what
// a wash-down asks of grease and enclosure, and which grease thickeners may
// meet in one bearing ([Compatible]).
//
// Temperatures are in kelvin. All functions are pure. What a code leaves open
// is an error that says so, never a silent pass.
package environment

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"unicode"
)

// washdowns says, for each way a vehicle is washed, which grease resists the
// water and which ingress protection an enclosure needs.
//
// Grease: common practice, no source. A grease whose class ends at damp air
// does not stand a jet; a grease that the static test of DIN 51807-1 leaves
// unchanged is accepted for hose and pressure because DIN 51502 knows no
// better class.
//
// Enclosure: the choice of code is common practice; the codes' meaning is IEC
// 60529 table 3: 4 splashing, 5 jets, 9 high pressure and temperature jets.
var washdowns = []struct {
	class   string
	resists []Water
	ingress string
}{
	{"none", []Water{WaterUnknown, Dry, NotResistant, StaticHumidity, Resistant, Washing}, "IPX0"},
	{"splash", []Water{StaticHumidity, Resistant, Washing}, "IPX4"},
	{"hose", []Water{Resistant, Washing}, "IPX5"},
	{"pressure", []Water{Resistant, Washing}, "IPX9"},
}

// Stands reports whether the designation says that the grease resists the water
// of a wash-down class: "none", "splash", "hose" or "pressure".
//
// Range: an unknown class is an error, and so is a grease whose designation
// leaves its behaviour in water open, unless there is no wash-down.
// Source: common practice, no source, for the pairing of classes.
func (d Designation) Stands(washdown string) (bool, error) {
	for _, w := range washdowns {
		if w.class != washdown {
			continue
		}
		resists := slices.Contains(w.resists, d.Water)
		if !resists && d.Water == WaterUnknown {
			return false, errors.New("the designation leaves the grease's behaviour in water to agreement: take it from the data sheet")
		}
		return resists, nil
	}
	return false, unknownWashdown(washdown)
}

// IngressFor returns the ingress protection code that an enclosure needs under
// a wash-down class: "none", "splash", "hose" or "pressure". Dust is left open
// (X), as washing says nothing about it.
//
// Range: an unknown class is an error.
// Source: common practice, no source; the codes are those of IEC 60529.
func IngressFor(washdown string) (string, error) {
	for _, w := range washdowns {
		if w.class == washdown {
			return w.ingress, nil
		}
	}
	return "", unknownWashdown(washdown)
}

func unknownWashdown(class string) error {
	names := make([]string, len(washdowns))
	for i, w := range washdowns {
		names[i] = w.class
	}
	return fmt.Errorf("%q is no wash-down class: use one of %s", class, strings.Join(names, ", "))
}

const zeroCelsius = 273.15 // K

const longestCode = 64 // bytes; real designations and codes stay below 30

// plainCode prepares a designation or code for reading: it drops spaces and
// colons, raises the case and turns the dashes of word processors into hyphens.
// What is left is plain ASCII.
func plainCode(s string) (string, error) {
	if len(s) > longestCode {
		return "", fmt.Errorf("%d characters are too many", len(s))
	}
	code := strings.Map(func(r rune) rune {
		switch {
		case unicode.IsSpace(r) || r == ':':
			return -1
		case strings.ContainsRune("\u2010\u2011\u2012\u2013\u2212", r):
			return '-'
		case r >= 'a' && r <= 'z':
			return r - 'a' + 'A'
		}
		return r
	}, s)
	for _, r := range code {
		if r <= ' ' || r > '~' {
			return "", fmt.Errorf("the character %q does not belong here", r)
		}
	}
	if code == "" {
		return "", errors.New("it is empty")
	}
	return code, nil
}

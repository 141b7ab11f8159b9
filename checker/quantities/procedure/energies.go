package procedure

import (
	"regexp"
	"strings"
)

// energy is one that is stored on a vehicle: the words that name it, and those
// of what is done to it.
type energy struct {
	name           string
	names, handles *regexp.Regexp
}

// energies that a text may name. Common practice, no source: they are the
// words of the workshop; springs and raised parts are held, each by a step of
// its own.
var energies = [...]energy{
	{"air", regexp.MustCompile(`\b(?:air|pneumatics?|compressed air)\b`), regexp.MustCompile(`\b(?:air|pneumatics?|reservoirs?|tanks?|brakes?|bellows)\b`)},
	{"hydraulics", regexp.MustCompile(`\bhydraulics?\b`), regexp.MustCompile(`\b(?:hydraulics?|oil|rams?|cylinders?|accumulators?|levers?|valves?)\b`)},
}

// everyEnergy is what is said of all of them at once.
var everyEnergy = regexp.MustCompile(`\b(?:all|every|each|any|both|circuits?|systems?|stored energy)\b`)

// handedOver says, of the kinds of step that name the energies of the vehicle,
// what is done with them; elsewhere says that a sentence is about another
// vehicle, or about what is left as it is.
var (
	handedOver = map[string]*regexp.Regexp{
		"brief":   regexp.MustCompile(`\b(?:go(?:es|ing)? through|brief|explain|talk|energy|energies|drain\w*|reliev\w*)\b`),
		"restore": regexp.MustCompile(`\b(?:give|gives|back|restore|recharge|open|fill|on)\b`),
	}
	elsewhere = regexp.MustCompile(`\b(?:tow(?:ing|ed)|drawing|tractors?|prime mover|carrier|(?:other|another|neighbouring) \w+|stays?|remains?|left|uncoupled|uncouple|disconnected|untouched|without|no longer)\b`)
	sentences = regexp.MustCompile(`[.;]`)
)

// handedOver reports whether a text of a kind hands an energy of the vehicle over: a
// sentence of it that is about nothing else.
func (e *energy) handedOver(kind, text string) bool {
	for _, sentence := range sentences.Split(strings.ToLower(text), -1) {
		named, _ := asserted(e.names, sentence)
		if named != "" && handedOver[kind].MatchString(sentence) && !elsewhere.MatchString(sentence) {
			return true
		}
	}
	return false
}

// EnergiesLeft returns the energies of the vehicle that the steps brief and
// restore hand over and no text of a step of the kind relieve-pressure names,
// with the kind of step that names each. It is silent where those texts name
// none, or all at once, and of what is said of another vehicle.
// It reads English, and few words of it.
// Source: 29 CFR 1910.147(d)(5)(i), all stored energy; the words are common
// practice, no source.
func EnergiesLeft(kinds, texts []string) (left, by []string) {
	var relieved []string
	for i, kind := range kinds {
		if kind == "relieve-pressure" {
			relieved = append(relieved, strings.ToLower(texts[i]))
		}
	}
	done := strings.Join(relieved, "; ")
	if everyEnergy.MatchString(done) {
		return nil, nil
	}
	some := false
	for _, e := range energies {
		some = some || e.handles.MatchString(done)
	}
	for _, e := range energies {
		if !some || e.handles.MatchString(done) {
			continue
		}
		for i, kind := range kinds {
			if handedOver[kind] != nil && e.handedOver(kind, texts[i]) {
				left, by = append(left, e.name), append(by, kind)
				break
			}
		}
	}
	return left, by
}

package units_test

import (
	"regexp"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"kitgauge/checker/units"
)

// size are the errors of a value that is written as values are: no pattern
// tells a number that is too large.
var size = regexp.MustCompile(`too (large|small|long)|divides by zero|below absolute zero`)

// mixed is a whole number and a fraction, which has to be less than one.
var mixed = regexp.MustCompile(`^[+-]?[0-9]+ +[0-9]+/[0-9]+`)

func of(dim units.Dimension) func(units.Unit) bool {
	return func(u units.Unit) bool { return u.Dim == dim }
}

func patterns() map[string]*regexp.Regexp {
	all := map[string]*regexp.Regexp{}
	for _, d := range dimensions {
		all[d.name] = regexp.MustCompile(units.Pattern(of(d.dim)))
	}
	return all
}

// fits holds the pattern of a dimension to what Parse takes.
func fits(t *rapid.T, pattern *regexp.Regexp, text, name string, dim units.Dimension) {
	_, err := units.Parse(text, dim)
	read := err == nil || size.MatchString(err.Error()) || mixed.MatchString(strings.TrimSpace(text))
	switch got := pattern.MatchString(text); {
	case got && !read:
		t.Fatalf("%q fits the pattern of %s: %v", text, name, err)
	case !got && err == nil:
		t.Fatalf("%q is a %s, and does not fit its pattern", text, name)
	}
}

// What a pattern takes is read, and what is read fits: of texts made to the
// pattern, and of others put together of what values are written with.
func TestPattern(t *testing.T) {
	all := patterns()
	pieces := []string{" ", "  ", "\t", "\u00a0", ".", "·", "/", "^", "-", "+", ",", "1", "2", "3", "0", "12", "0.5", "1/4", "1 1/2", "8/4", "1e3", "e", "E-2", "µ", "μ", "Ω", "°", "²", "³", "C", "m", "bar", "x", "'"}
	for _, u := range allUnits() {
		pieces = append(pieces, u.Symbol, u.Symbol)
	}
	for _, d := range dimensions {
		made := rapid.StringMatching(units.Pattern(of(d.dim)))
		rapid.Check(t, func(t *rapid.T) {
			text := rapid.OneOf(made, rapid.Map(rapid.SliceOfN(rapid.SampledFrom(pieces), 1, 6), func(p []string) string { return strings.Join(p, "") })).Draw(t, "text")
			fits(t, all[d.name], text, d.name, d.dim)
		})
	}
}

func TestPatternTable(t *testing.T) {
	all := patterns()
	for _, tt := range []struct {
		name, text string
		want       bool
	}{
		{"length", "745 mm", true}, {"length", "745mm", true}, {"length", " 1 1/2 in ", true}, {"length", "-.5 m", true}, {"length", "12 µm", true},
		{"length", "745 bar", false}, {"length", "745 mn", false}, {"length", "745,5 mm", false}, {"length", "745", false}, {"length", "mm", false},
		{"length", "1e3 mm", true}, {"length", "5 mm.", true}, {"length", "5 .mm", false}, {"length", "1 745 mm", false}, {"length", "745 MM", false},
		{"temperature", "-30 °C", true}, {"temperature", "-30 deg C", true}, {"temperature", "-30", false},
		{"volume", "1 US gal", true}, {"volume", "2 cm^3", true}, {"volume", "2 cm³", true},
		{"plain number", "0.5", true}, {"plain number", "50 %", true}, {"plain number", "50 mm", false},
		{"frequency", "30 1/min", true}, {"frequency", "30/min", true}, {"frequency", "30 1 / min", false},
	} {
		if got := all[tt.name].MatchString(tt.text); got != tt.want {
			t.Errorf("%q fits the pattern of %s: %v, want %v", tt.text, tt.name, got, tt.want)
		}
		for _, d := range dimensions {
			if _, err := units.Parse(tt.text, d.dim); d.name == tt.name && (err == nil) != tt.want {
				t.Errorf("%q is read as %s: %v, want %v", tt.text, tt.name, err, tt.want)
			}
		}
	}
}

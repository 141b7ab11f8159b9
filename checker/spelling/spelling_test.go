package spelling_test

import (
	"slices"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"kitgauge/checker/spelling"
)

func TestDistance(t *testing.T) {
	tests := []struct {
		source, a, b string
		want         int
	}{
		{"printed: Wikipedia, Levenshtein distance", "kitten", "sitting", 3},
		{"printed: Wikipedia, Levenshtein distance", "uninformed", "uniformed", 1},
		{"printed: Wikipedia, Wagner-Fischer algorithm", "saturday", "sunday", 3},
		// Of the distance whose swaps may not be edited again; the one that may is 2.
		{"printed: Wikipedia, Damerau-Levenshtein distance, optimal string alignment", "CA", "ABC", 3},
		{"printed: Damerau 1964, the four single errors: a letter wrong", "grease", "graase", 1},
		{"printed: Damerau 1964, the four single errors: a letter missing", "grease", "grese", 1},
		{"printed: Damerau 1964, the four single errors: a letter too many", "grease", "greease", 1},
		{"printed: Damerau 1964, the four single errors: two letters exchanged", "grease", "graese", 1},
		{"limit: nothing to change", "grease", "grease", 0},
		{"limit: everything to write", "", "abc", 3},
		{"limit: everything to take out", "abc", "", 3},
		{"limit: nothing", "", "", 0},
		{"limit: two swaps apart", "abcd", "badc", 2},
		{"limit: letters beyond ASCII count 1", "größe", "grosse", 3},
	}
	for _, tt := range tests {
		if got := spelling.Distance(tt.a, tt.b); got != tt.want {
			t.Errorf("%q to %q: got %d, want %d (%s)", tt.a, tt.b, got, tt.want, tt.source)
		}
	}
}

// byDefinition is the recurrence of the optimal string alignment, read as it
// stands.
func byDefinition(a, b []rune) int {
	if len(a) == 0 || len(b) == 0 {
		return len(a) + len(b)
	}
	last, before := len(a)-1, len(b)-1
	cost := 1
	if a[last] == b[before] {
		cost = 0
	}
	d := min(byDefinition(a[:last], b)+1, byDefinition(a, b[:before])+1, byDefinition(a[:last], b[:before])+cost)
	if last > 0 && before > 0 && a[last] == b[before-1] && a[last-1] == b[before] {
		d = min(d, byDefinition(a[:last-1], b[:before-1])+1)
	}
	return d
}

func TestDistanceAgainstDefinition(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := rapid.StringMatching(`[abä]{0,5}`).Draw(t, "a"), rapid.StringMatching(`[abä]{0,5}`).Draw(t, "b")
		got, want := spelling.Distance(a, b), byDefinition([]rune(a), []rune(b))
		if got != want || spelling.Distance(b, a) != want {
			t.Errorf("%q and %q: got %d and %d the other way, want %d", a, b, got, spelling.Distance(b, a), want)
		}
	})
}

func TestNearest(t *testing.T) {
	keys := []string{"bend_radius", "free_length", "sag_room", "ties", "hold"}
	parts := []string{"FG-E15", "FG-E25", "FG-P36", "FG-P12"}
	tests := []struct {
		word       string
		candidates []string
		want       string
	}{
		{"bend_raduis", keys, "bend_radius"},
		{"freelength", keys, "free_length"},
		{"tie", keys, "ties"},
		{"sagroom", keys, "sag_room"},
		{"colour", keys, ""},
		{"", keys, ""},
		{"x", nil, ""},
		{"fg-e25", parts, "FG-E25"}, // capitals are not what is meant
		{"FG-E16", parts, "FG-E15"},
		{"FG-P99", parts, "FG-P12"}, // of equals the first of the alphabet
		{"FG-E1S", []string{"FG-E25", "FG-E15"}, "FG-E15"},
		{strings.Repeat("a", 65), []string{strings.Repeat("a", 64)}, ""},
	}
	for _, tt := range tests {
		if got := spelling.Nearest(tt.word, tt.candidates); got != tt.want {
			t.Errorf("%q of %q: got %q, want %q", tt.word, tt.candidates, got, tt.want)
		}
	}
}

// The nearest is one of the candidates, none is nearer, and their order does
// not matter, nor is it changed.
func TestNearestProperty(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		word := rapid.StringMatching(`[a-cA-C]{0,6}`).Draw(t, "word")
		list := rapid.SliceOfN(rapid.StringMatching(`[a-cA-C]{1,6}`), 0, 6).Draw(t, "candidates")
		before := slices.Clone(list)
		got := spelling.Nearest(word, list)
		if !slices.Equal(list, before) {
			t.Fatalf("the candidates were put into another order: %q", list)
		}
		distance := func(c string) int { return spelling.Distance(strings.ToLower(word), strings.ToLower(c)) }
		for _, c := range list {
			if got != "" && distance(c) < distance(got) || got == "" && distance(c) == 0 {
				t.Errorf("%q: got %q, and %q is nearer", word, got, c)
			}
		}
		if got != "" && !slices.Contains(list, got) {
			t.Errorf("%q: got %q, which is no candidate", word, got)
		}
		slices.Reverse(list)
		if again := spelling.Nearest(word, list); again != got {
			t.Errorf("%q: got %q, and %q from the same in another order", word, got, again)
		}
	})
}

func FuzzDistance(f *testing.F) {
	f.Add("kitten", "sitting")
	f.Add("\xff\xfe", "ä")
	f.Fuzz(func(t *testing.T, a, b string) {
		if len(a) > 200 || len(b) > 200 {
			t.Skip()
		}
		d, most := spelling.Distance(a, b), max(len([]rune(a)), len([]rune(b)))
		if d < 0 || d > most || d != spelling.Distance(b, a) || (d == 0) != (string([]rune(a)) == string([]rune(b))) {
			t.Errorf("%q and %q: got %d of %d letters, and %d the other way", a, b, d, most, spelling.Distance(b, a))
		}
		spelling.Nearest(a, []string{b, a + b})
	})
}

// TestTies tells which of several names that are as near is taken: as a person
// would, the one that begins like the word, the one that is free, the first by
// number.
func TestTies(t *testing.T) {
	for _, tt := range []struct {
		word       string
		candidates []string
		free, want string
	}{
		{"FG-T4", []string{"FG-G4", "FG-N4", "FG-T44"}, "", "FG-T44"},
		{"D3", []string{"A3", "D1", "D2"}, "D2", "D2"},
		{"D3", []string{"A3", "D1", "D2"}, "A3", "D1"}, // what begins alike comes before what is free
		{"line-1x", []string{"line-19", "line-110", "line-12"}, "", "line-12"},
		{"tube", []string{"tubes", "tub"}, "", "tubes"},
	} {
		want := "; nearest is " + strconv.Quote(tt.want)
		for range 2 {
			if got := spelling.HintRather(tt.word, tt.candidates, func(s string) bool { return s == tt.free }); got != want {
				t.Errorf("%s of %v: %s", tt.word, tt.candidates, got)
			}
			slices.Reverse(tt.candidates)
		}
		if got := spelling.Only(tt.word, tt.candidates); got != "" {
			t.Errorf("%s of %v: %s is certain", tt.word, tt.candidates, got)
		}
	}
}

package release_test

import (
	"testing"

	"kitgauge/checker/release"
)

// The names are invented; what is to be taken for one person is the house's
// own rule, told in the comment of samePerson.
func TestSamePerson(t *testing.T) {
	for _, tt := range []struct {
		drawn, signer string
		want          bool
	}{
		{"I. Sandvik", "I. Sandvik", true},
		{"I. Sandvik", "i.sandvik@nordhang.example", true},
		{"I. Sandvik", "isandvik@nordhang.example", true},
		{"I. Sandvik", "sandvik.i@nordhang.example", true},
		{"I. Sandvik", "SandvikI", true},
		{"I. Sandvik", "ingrid.sandvik@nordhang.example", true},
		{"Ingrid Sandvik", "i.sandvik@nordhang.example", true},
		{"Ingrid Sandvik", "ingrids@nordhang.example", true},
		{"Sandvik, Ingrid", "i_sandvik", true},
		{"Ingrid Marie Sandvik", "im.sandvik@nordhang.example", true},
		{"Ingrid Marie Sandvik", "imsandvik", true},
		{"Ingrid Marie Sandvik", "ingrid.sandvik", true},
		{"sandvik", "i.sandvik@nordhang.example", true},
		{"i.sandvik@nordhang.example", "i.sandvik@elsewhere.example", true},
		{"I. Sandvik", "i.sandvik2@nordhang.example", true},
		{"Bjørn Ås", "bjorn.as@nordhang.example", true},
		{"Zoe\u0308 Berg", "zoe.berg", true},
		{"K. Berg / I. Sandvik", "i.sandvik@nordhang.example", true},
		{"K. Berg and I. Sandvik", "i.sandvik@nordhang.example", true},
		{"10442", "10442@nordhang.example", true},
		{"S. Sandvik", "sandvik.sven", true},

		{"I. Sandvik", "r.okafor@nordhang.example", false},
		{"I. Sandvik", "k.sandvik@nordhang.example", false},
		{"I. Sandvik", "Kari Sandvik", false},
		{"I. Sandvik", "quality@nordhang.example", false},
		{"10442", "10443@nordhang.example", false},
		{"I. Sandvik", "10442", false},
		{"Bo Li", "b.lindqvist", false},
		{"I. Sandvik", "i", false},
	} {
		if got := release.SamePerson(tt.drawn, tt.signer); got != tt.want {
			t.Errorf("%q and %q: got one person %t, want %t", tt.drawn, tt.signer, got, tt.want)
		}
	}
}

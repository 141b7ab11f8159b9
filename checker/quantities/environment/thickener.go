package environment

import (
	"fmt"
	"slices"
	"strings"
)

// Mix is what a chart says of two greases that meet.
type Mix string

// The three ratings of the charts.
const (
	MixCompatible   Mix = "compatible"
	MixBorderline   Mix = "borderline"
	MixIncompatible Mix = "incompatible"
)

// Verdict is a rating and the chart it comes from.
type Verdict struct {
	Mix   Mix
	Basis string
}

const (
	basisFIST   = "US Bureau of Reclamation FIST 2-4 (1990), table 2; a guide only, the reference method is ASTM D6185"
	basisMemory = "trade-press chart, from memory; charts disagree, the reference method is ASTM D6185"
	basisSame   = "same thickener; base oils and additives may still differ, the reference method is ASTM D6185"
	basisUrea   = "polyureas differ: many do not get along with another one (machinerylubrication.com, Read/29477), though FIST 2-4 has them compatible; the word of both makers or ASTM D6185 decides"
)

// thickeners are the names this package uses, each with its other spellings,
// all in the form that [plainName] makes. The first nine are the rows of FIST
// 2-4 table 2.
var thickeners = []struct {
	name  string
	plain []string
}{
	{"sodium", []string{"sodium", "na"}},
	{"aluminium complex", []string{"aluminiumcomplex", "alcomplex", "alx"}},
	{"barium", []string{"barium", "ba"}},
	{"calcium", []string{"calcium", "ca"}},
	{"calcium complex", []string{"calciumcomplex", "cacomplex", "cax"}},
	{"clay", []string{"clay", "bentonite", "bentone"}},
	{"lithium", []string{"lithium", "li", "lithiumstearate"}},
	{"lithium complex", []string{"lithiumcomplex", "licomplex", "lix"}},
	{"polyurea", []string{"polyurea", "pu"}},
	{"calcium 12-hydroxystearate", []string{"calcium12hydroxystearate", "calcium12hydroxy", "calcium12oh", "ca12oh"}},
	{"calcium sulfonate", []string{"calciumsulfonate", "calciumsulfonatecomplex", "casulfonate"}},
	{"lithium 12-hydroxystearate", []string{"lithium12hydroxystearate", "lithium12hydroxy", "lithium12oh", "li12oh", "lithiumhydroxystearate"}},
	{"shear-stable polyurea", []string{"shearstablepolyurea", "polyureashearstable"}},
}

// oneSoap are names of a soap that the charts have under another: nearly all
// lithium grease is made with that acid (common practice, no source).
var oneSoap = map[string]string{"lithium 12-hydroxystearate": "lithium"}

// fist is FIST 2-4 table 2 in the order of thickeners: C compatible, B
// borderline, I incompatible. Clay with clay is B in print.
var fist = []string{
	"CIIIIIIII", // sodium
	"ICIIIIBCI", // aluminium complex
	"IICIIIIII", // barium
	"IIICIIBCI", // calcium
	"IIIICIIII", // calcium complex
	"IIIIIBIII", // clay
	"IBIBIICCI", // lithium
	"ICICIICCI", // lithium complex
	"IIIIIIIIC", // polyurea
}

// contested are pairs of which other charts think worse than FIST 2-4. Where
// some have a pair compatible and others do not, it counts as borderline; where
// none has it compatible, the worst counts.
var contested = []struct {
	a, b string
	Verdict
}{
	{"aluminium complex", "lithium complex", Verdict{MixBorderline,
		"charts disagree: FIST 2-4 has it compatible, and of 21 charts 12 do, 4 have it borderline and 5 incompatible (lubesngreases.com, Contradictory compatibility); the reference method is ASTM D6185"}},
	{"aluminium complex", "lithium", Verdict{MixIncompatible,
		"charts disagree: FIST 2-4 has it borderline, others incompatible (farmoyl.com, tribology-abc.com), and none compatible; the reference method is ASTM D6185"}},
	{"polyurea", "polyurea", Verdict{MixBorderline, basisUrea}},
	{"polyurea", "shear-stable polyurea", Verdict{MixBorderline, basisUrea}},
	{"shear-stable polyurea", "shear-stable polyurea", Verdict{MixBorderline, basisUrea}},
}

// remembered are pairs that FIST 2-4 does not have, from a chart of the trade
// press, from memory. The first is confirmed at farmoyl.com.
var remembered = []struct {
	a, b string
	mix  Mix
}{
	{"calcium 12-hydroxystearate", "aluminium complex", MixCompatible},

	{"calcium sulfonate", "aluminium complex", MixBorderline},
	{"calcium sulfonate", "calcium 12-hydroxystearate", MixBorderline},
	{"calcium sulfonate", "calcium complex", MixIncompatible},
	{"calcium sulfonate", "clay", MixIncompatible},
	{"calcium sulfonate", "lithium", MixBorderline},
	{"calcium sulfonate", "lithium complex", MixCompatible},
	{"calcium sulfonate", "polyurea", MixIncompatible},
	{"calcium sulfonate", "shear-stable polyurea", MixCompatible},

	{"lithium", "calcium 12-hydroxystearate", MixCompatible},
	{"lithium", "shear-stable polyurea", MixCompatible},

	{"lithium complex", "calcium 12-hydroxystearate", MixCompatible},
	{"lithium complex", "shear-stable polyurea", MixCompatible},

	{"polyurea", "calcium 12-hydroxystearate", MixIncompatible},
}

// Compatible says whether greases with two thickeners may meet in a bearing.
// The order of the two does not matter, nor do case, spaces and hyphens.
//
// A chart knows the thickeners only, not base oils and additives, and charts
// disagree. The verdict says where to look, it does not replace a test by ASTM
// D6185 or the word of both makers.
//
// Range: the thickeners named in the error for an unknown one; a pair that no
// chart has is an error too.
// Source: US Bureau of Reclamation FIST 2-4 table 2 where it has the pair and no
// chart thinks worse of it, else from memory; the verdict says which.
func Compatible(a, b string) (Verdict, error) {
	i, err := thickenerIndex(a)
	if err != nil {
		return Verdict{}, err
	}
	j, err := thickenerIndex(b)
	if err != nil {
		return Verdict{}, err
	}
	one, other := thickeners[i].name, thickeners[j].name
	for _, c := range contested {
		if c.a == one && c.b == other || c.a == other && c.b == one {
			return c.Verdict, nil
		}
	}
	if i < len(fist) && j < len(fist) {
		return Verdict{fistMix(fist[i][j]), basisFIST}, nil
	}
	if i == j {
		return Verdict{MixCompatible, basisSame}, nil
	}
	for _, r := range remembered {
		if r.a == one && r.b == other || r.a == other && r.b == one {
			return Verdict{r.mix, basisMemory}, nil
		}
	}
	return Verdict{}, fmt.Errorf("no chart at hand has %s with %s: ask both makers or have the mixture tested by ASTM D6185", one, other)
}

func fistMix(letter byte) Mix {
	switch letter {
	case 'C':
		return MixCompatible
	case 'B':
		return MixBorderline
	}
	return MixIncompatible
}

func thickenerIndex(name string) (int, error) {
	plain := plainName(name)
	names := make([]string, len(thickeners))
	for i, t := range thickeners {
		if slices.Contains(t.plain, plain) {
			if same, is := oneSoap[t.name]; is {
				return thickenerIndex(same)
			}
			return i, nil
		}
		names[i] = t.name
	}
	return 0, fmt.Errorf("thickener %q is not known: use one of %s", shorten(name), strings.Join(names, ", "))
}

// plainName drops what varies between data sheets: case, spaces, hyphens, the
// words soap and thickener, and the spellings of aluminium and sulfonate.
func plainName(name string) string {
	return strings.NewReplacer(
		" ", "", "-", "", "_", "", "\u2010", "", "\u2011", "", "\u2013", "",
		"aluminum", "aluminium", "sulphonate", "sulfonate", "soap", "", "thickener", "",
	).Replace(strings.ToLower(name))
}

// shorten keeps an absurdly long name from drowning the message.
func shorten(s string) string {
	runes := []rune(s)
	if len(runes) <= longestCode {
		return s
	}
	return string(runes[:longestCode]) + "..."
}

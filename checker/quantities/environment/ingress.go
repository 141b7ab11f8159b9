package environment

import (
	"fmt"
	"slices"
	"strings"
)

// Ingress is one ingress protection code: IP67 is {"6", "7"}. X says nothing
// about its half. The letters K are those of ISO 20653, for road vehicles.
type Ingress struct {
	Solids string // "X", "0" to "6", "5K", "6K"
	Water  string // "X", "0" to "9", "4K", "6K", "9K"
}

const ingressShape = "IP, a figure for dust (0 to 6, 5K, 6K or X) and one for water (0 to 9, 4K, 6K, 9K or X), such as IP67, IPX4 or IP6K9K"

// solidsCover lists what each protection against dust covers. The degrees 5K
// and 6K of ISO 20653 mean the same as 5 and 6, dust-protected and dust-tight;
// the tests differ in detail, which is set aside here (from memory).
var solidsCover = []entry[[]string]{
	{"X", nil},
	{"0", nil},
	{"1", []string{"1"}},
	{"2", []string{"1", "2"}},
	{"3", []string{"1", "2", "3"}},
	{"4", []string{"1", "2", "3", "4"}},
	{"5K", []string{"1", "2", "3", "4", "5", "5K"}},
	{"5", []string{"1", "2", "3", "4", "5", "5K"}},
	{"6K", []string{"1", "2", "3", "4", "5", "5K", "6", "6K"}},
	{"6", []string{"1", "2", "3", "4", "5", "5K", "6", "6K"}},
}

// waterCover lists what each protection against water covers.
//
// IEC 60529 clause 6: up to 6, a figure implies all lower ones (confirmed).
// Those for immersion, 7 and 8, do not imply the jets 5 and 6, and 9 implies
// neither jets nor immersion (from memory). That 7 covers drips and splashes, 1
// to 4, is our reading: the clause takes only the jets away. The jet of 6K is
// stronger than that of 6, and 4K is splashing under pressure, which 5 and 6
// are not tested for; 9 and 9K are the same jet (ISO 20653, from memory).
var waterCover = []entry[[]string]{
	{"X", nil},
	{"0", nil},
	{"1", []string{"1"}},
	{"2", []string{"1", "2"}},
	{"3", []string{"1", "2", "3"}},
	{"4K", []string{"1", "2", "3", "4", "4K"}},
	{"4", []string{"1", "2", "3", "4"}},
	{"5", []string{"1", "2", "3", "4", "5"}},
	{"6K", []string{"1", "2", "3", "4", "4K", "5", "6", "6K"}},
	{"6", []string{"1", "2", "3", "4", "5", "6"}},
	{"7", []string{"1", "2", "3", "4", "7"}},
	{"8", []string{"1", "2", "3", "4", "7", "8"}},
	{"9K", []string{"9", "9K"}},
	{"9", []string{"9", "9K"}},
}

// ParseIngress reads an ingress protection code. An enclosure tested in two
// ways carries two codes, as in IP66/IP67; the second IP may be left out. The
// letters that may follow (A to D for access, H, M, S, W) are read and dropped,
// as they say nothing about dust and water.
//
// Range: the figures of IEC 60529 and ISO 20653; anything else is an error
// that says what would be right.
// Source: IEC 60529 clause 4; ISO 20653 (figures with K confirmed in part, the
// rest from memory).
func ParseIngress(code string) ([]Ingress, error) {
	plain, err := plainCode(code)
	if err != nil {
		return nil, fmt.Errorf("ingress code %q: %w: write %s", shorten(code), err, ingressShape)
	}
	if !strings.HasPrefix(plain, "IP") {
		return nil, fmt.Errorf("ingress code %q: it does not begin with IP: write %s", code, ingressShape)
	}
	parts := strings.Split(plain, "/")
	if len(parts) > mostIngress {
		return nil, fmt.Errorf("ingress code %q: it names %d protections, and no enclosure has more than %d: write %s", code, len(parts), mostIngress, ingressShape)
	}
	var all []Ingress
	for _, part := range parts {
		one, err := parseFigures(strings.TrimPrefix(part, "IP"))
		if err != nil {
			return nil, fmt.Errorf("ingress code %q: %w: write %s", code, err, ingressShape)
		}
		all = append(all, one)
	}
	return all, nil
}

// mostIngress is how many protections one enclosure is marked with: three are
// seen, IP66/IP68/IP69K (from memory).
const mostIngress = 6

func parseFigures(figures string) (Ingress, error) {
	solids, rest, err := cutFigure(solidsCover, figures, "dust")
	if err != nil {
		return Ingress{}, err
	}
	water, rest, err := cutFigure(waterCover, rest, "water")
	if err != nil {
		return Ingress{}, err
	}
	if letters := strings.TrimLeft(rest, "ABCD"); len(rest)-len(letters) > 1 || strings.Trim(letters, "HMSW") != "" {
		return Ingress{}, fmt.Errorf("%q at its end has no meaning", rest)
	}
	return Ingress{Solids: solids, Water: water}, nil
}

// cutFigure takes the figure at the start of s. The tables list a figure with K
// before the one without.
func cutFigure(table []entry[[]string], s, what string) (figure, rest string, err error) {
	for _, e := range table {
		if after, ok := strings.CutPrefix(s, e.letter); ok {
			return e.letter, after, nil
		}
	}
	if s == "" {
		return "", "", fmt.Errorf("the figure for %s is missing", what)
	}
	return "", "", fmt.Errorf("%q is no figure for %s", s[:1], what)
}

// IngressCovers reports whether an enclosure that carries one code satisfies a
// need stated as another. A double code satisfies a need when one of its codes
// does, for dust and for water each; a double need must be met in both halves.
//
// A higher figure is not always better: IP67 stands immersion but not a hose,
// and IP69 a pressure washer but, as tested, neither.
//
// Range: codes as [ParseIngress].
// Source: IEC 60529 clause 6; ISO 20653; see [ParseIngress] for what is from
// memory.
func IngressCovers(code, need string) (bool, error) {
	have, err := ParseIngress(code)
	if err != nil {
		return false, err
	}
	needs, err := ParseIngress(need)
	if err != nil {
		return false, fmt.Errorf("needed protection: %w", err)
	}
	for _, n := range needs {
		solids := slices.ContainsFunc(have, func(h Ingress) bool { return coversFigure(solidsCover, h.Solids, n.Solids) })
		water := slices.ContainsFunc(have, func(h Ingress) bool { return coversFigure(waterCover, h.Water, n.Water) })
		if !solids || !water {
			return false, nil
		}
	}
	return true, nil
}

func coversFigure(table []entry[[]string], have, need string) bool {
	if need == "X" || need == "0" {
		return true
	}
	for _, e := range table {
		if e.letter == have {
			return slices.Contains(e.means, need)
		}
	}
	return false
}

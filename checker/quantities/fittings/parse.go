package fittings

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
)

// longest bounds the text of a designation, in bytes.
const longest = 40

const shapes = "write M10x1, R 1/8, G 1/8, 1/8-27 NPT or 1/4-28 UNF"

// Parse reads the designation of a thread: ISO metric (M10x1; M10 is the
// coarse pitch; M10x1 keg is taper), ISO 7-1 (R, Rp, Rc 1/8), ISO 228-1 (G
// 1/8), ASME B1.20.1 and B1.20.3 (1/8-27 NPT, NPTF) and ASME B1.1 (1/4-28 UNF,
// 10-32 UNF).
//
// Spellings of the trade are read too: case, spaces and inch marks do not
// matter, a decimal comma and the sign for times are taken, threads per inch
// may be left out where the series tells them, the series may stand in front
// (NPT 1/8) or be left out where the threads per inch tell it (1/4-28), BSPT
// is R and BSPP is G, a tolerance class at the end (-6H, -2B) is dropped.
//
// Range: M3 to M39, pipe threads from 1/16 to 1, unified threads from number 6
// to 1 inch, coarse and fine; anything else is an error that says what would
// be right.
func Parse(text string) (Thread, error) {
	plain := normal(text)
	if plain == "" {
		return Thread{}, fmt.Errorf("the thread is empty: %s", shapes)
	}
	if len(plain) > longest {
		return Thread{}, fmt.Errorf("%s... is too long for a thread: %s", quoted(plain[:longest/2]), shapes)
	}
	for _, r := range readers {
		if m := r.shape.FindStringSubmatch(plain); m != nil {
			t, err := r.read(m)
			if err != nil {
				return Thread{}, fmt.Errorf("thread %s: %w", quoted(text), err)
			}
			return t, nil
		}
	}
	return Thread{}, fmt.Errorf("%s is no thread designation: %s", quoted(text), shapes)
}

// readers are tried in order: the shape of a designation in normal form, and
// what makes a thread of its parts.
var readers = []struct {
	shape *regexp.Regexp
	read  func(parts []string) (Thread, error)
}{
	{regexp.MustCompile(`^M([0-9.]+)(?:X([0-9.]+))?(?:-?(KEG|TAPER)\.?|-[0-9][EFGH](?:[0-9][GH])?)?$`), readMetric},
	{regexp.MustCompile(`^(?:ISO7-?1?-?)?(RP|RC|R|BSPT)([0-9/]+)(?:-([0-9.]+))?(?:KEG\.?)?$`), readJointing},
	{regexp.MustCompile(`^()([0-9/]+)(?:-([0-9.]+))?BSPT$`), readJointing},
	{regexp.MustCompile(`^(?:ISO228-?1?-?)?(?:G|BSPP)([0-9/]+)(?:-([0-9.]+))?[AB]?$`), readFastening},
	{regexp.MustCompile(`^([0-9/]+)(?:-([0-9.]+))?BSPP$`), readFastening},
	{regexp.MustCompile(`^()([0-9/]+)(?:-([0-9.]+))?(NPTF|NPT|PTF)$`), readAmerican},
	{regexp.MustCompile(`^(NPTF|NPT|PTF)([0-9/]+)(?:-([0-9.]+))?()$`), readAmerican},
	{regexp.MustCompile(`^()(?:#|NO\.?)?([0-9/]+)(?:-([0-9.]+))?(UNF|UNC|UN)(?:-[123][AB])?$`), readUnified},
	{regexp.MustCompile(`^(UNF|UNC|UN)(?:#|NO\.?)?([0-9/]+)(?:-([0-9.]+))?()(?:-[123][AB])?$`), readUnified},
	{regexp.MustCompile(`^()(?:#|NO\.?)?([0-9/]+)-([0-9.]+)()$`), readUnified},
	{regexp.MustCompile(`^(?:BSP[0-9/]+|[0-9/]+(?:-[0-9.]+)?BSP)$`), readAmbiguous},
}

var variants = strings.NewReplacer(
	" ", "", "\t", "", "\u00a0", "", `"`, "", "\u201d", "", "\u2033", "", "''", "", "INCH", "", "IN", "",
	"\u00d7", "X", "*", "X", ",", ".", "\u2010", "-", "\u2011", "-", "\u2013", "-", "\u2212", "-", "\u2044", "/",
	"\u215b", "1/8", "\u00bc", "1/4", "\u215c", "3/8", "\u00bd", "1/2", "\u00be", "3/4",
)

// normal is the text without what does not matter. Only ASCII letters change
// their case: a letter from elsewhere is never taken for one of a designation.
func normal(text string) string {
	upper := strings.Map(func(r rune) rune {
		if r >= 'a' && r <= 'z' {
			return r - 'a' + 'A'
		}
		return r
	}, strings.TrimSpace(text))
	return variants.Replace(upper)
}

func quoted(text string) string {
	if len(text) > longest {
		text = strings.ToValidUTF8(text[:longest], "") + "..."
	}
	return strconv.Quote(text)
}

func readMetric(m []string) (Thread, error) {
	diameter, err := strconv.ParseFloat(m[1], 64)
	if err != nil {
		return Thread{}, fmt.Errorf("%q is no diameter", m[1])
	}
	var pitches []float64
	for _, row := range metric {
		if row.diameter == diameter {
			pitches = row.pitches
		}
	}
	if pitches == nil {
		return Thread{}, fmt.Errorf("ISO 261 has no diameter of %s mm between 3 and 39 mm", m[1])
	}
	pitch := pitches[0]
	if m[2] != "" {
		if pitch, err = strconv.ParseFloat(m[2], 64); err != nil {
			return Thread{}, fmt.Errorf("%q is no pitch", m[2])
		}
	}
	if pitch <= 0 || !slices.Contains(pitches, pitch) {
		return Thread{}, fmt.Errorf("M%g comes with a pitch of %s mm", diameter, list(pitches))
	}
	t := Thread{
		Name: fmt.Sprintf("M%gx%g", diameter, pitch), Standard: ISOMetric,
		Major: diameter / 1000, Pitch: pitch / 1000, Flanks: 60 * degrees,
	}
	if m[3] != "" {
		t.Name, t.Standard, t.Side, t.Taper = t.Name+" keg", MetricTaper, External, PipeTaper
	}
	return t, nil
}

// list writes pitches out; 0 stands for a coarse pitch that there is not.
func list(pitches []float64) string {
	var words []string
	for _, p := range pitches {
		if p > 0 {
			words = append(words, strconv.FormatFloat(p, 'g', -1, 64))
		}
	}
	if len(words) == 1 {
		return words[0]
	}
	return strings.Join(words[:len(words)-1], ", ") + " or " + words[len(words)-1]
}

// find looks a pipe thread up; the threads per inch may be left out.
func find(table []pipe, series, size, perInch string) (pipe, error) {
	for _, p := range table {
		if p.size != size {
			continue
		}
		if perInch != "" && perInch != strconv.FormatFloat(p.perInch, 'g', -1, 64) {
			return pipe{}, fmt.Errorf("%s %s has %g threads per inch, not %s", series, size, p.perInch, perInch)
		}
		return p, nil
	}
	return pipe{}, fmt.Errorf("there is no size %q of %s from 1/16 to 1", size, series)
}

func readJointing(m []string) (Thread, error) {
	series, side, taper := "R", External, PipeTaper
	switch m[1] {
	case "RP":
		series, side, taper = "Rp", Internal, 0
	case "RC":
		series, side = "Rc", Internal
	}
	p, err := find(british, series, m[2], m[3])
	if err != nil {
		return Thread{}, err
	}
	return Thread{
		Name: series + " " + p.size, Standard: Jointing, Side: side,
		Major: p.diameter, Pitch: inch / p.perInch, Taper: taper, Flanks: 55 * degrees,
	}, nil
}

func readFastening(m []string) (Thread, error) {
	p, err := find(british, "G", m[1], m[2])
	if err != nil {
		return Thread{}, err
	}
	return Thread{
		Name: "G " + p.size, Standard: Fastening,
		Major: p.diameter, Pitch: inch / p.perInch, Flanks: 55 * degrees,
	}, nil
}

func readAmerican(m []string) (Thread, error) {
	series, standard := "NPT", NPT
	if m[1]+m[4] != "NPT" {
		series, standard = "NPTF", Dryseal
	}
	p, err := find(american, series, m[2], m[3])
	if err != nil {
		return Thread{}, err
	}
	return Thread{
		Name: fmt.Sprintf("%s-%g %s", p.size, p.perInch, series), Standard: standard,
		Major: p.diameter, Pitch: inch / p.perInch, Taper: PipeTaper, Flanks: 60 * degrees,
	}, nil
}

func readUnified(m []string) (Thread, error) {
	series := m[1] + m[4]
	for _, u := range unified {
		if u.size != m[2] {
			continue
		}
		coarse, fine := strconv.FormatFloat(u.coarse, 'g', -1, 64), strconv.FormatFloat(u.fine, 'g', -1, 64)
		switch {
		case m[3] == fine && series != "UNC", m[3] == "" && series == "UNF":
			return inchThread(u.size, u.diameter, u.fine, "UNF"), nil
		case m[3] == coarse && series != "UNF", m[3] == "" && series == "UNC":
			return inchThread(u.size, u.diameter, u.coarse, "UNC"), nil
		}
		return Thread{}, fmt.Errorf("of size %s there are %s-%s UNC and %s-%s UNF", u.size, u.size, coarse, u.size, fine)
	}
	if series == "" {
		return Thread{}, fmt.Errorf("the series is missing: %s", shapes)
	}
	return Thread{}, fmt.Errorf("there is no size %q of %s from number 6 to 1 inch", m[2], series)
}

func inchThread(size string, diameter, perInch float64, series string) Thread {
	return Thread{
		Name: fmt.Sprintf("%s-%g %s", size, perInch, series), Standard: Unified,
		Major: diameter, Pitch: inch / perInch, Flanks: 60 * degrees,
	}
}

func readAmbiguous([]string) (Thread, error) {
	return Thread{}, fmt.Errorf("BSP alone leaves open whether the thread is taper or parallel: write R 1/8 or G 1/8")
}

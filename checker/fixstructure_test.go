package checker_test

import (
	"bytes"
	"maps"
	"math/rand/v2"
	"regexp"
	"slices"
	"strings"
	"testing"

	"kitgauge/checker"
	"kitgauge/checker/source"
)

// structureSlips are the slips by which a kit is built otherwise than it was
// meant; each is given the lines of a file and the one where it happens.
var structureSlips = []struct {
	name string
	do   func(line string) (string, bool)
}{
	{"line lost", func(string) (string, bool) { return "", false }},
	{"dash added", func(l string) (string, bool) {
		text := strings.TrimLeft(l, " ")
		if len(l)-len(text) < 2 || strings.HasPrefix(text, "- ") {
			return l, true
		}
		return l[:len(l)-len(text)-2] + "- " + text, true
	}},
	{"dash lost", func(l string) (string, bool) { return strings.Replace(l, "- ", "  ", 1), true }},
	{"two in", func(l string) (string, bool) { return "  " + l, true }},
	{"two out", func(l string) (string, bool) { return strings.TrimPrefix(l, "  "), true }},
	{"one out", func(l string) (string, bool) { return strings.TrimPrefix(l, " "), true }},
}

// What the test of slips of structure tries: in the suite, and with -full.
const fewStructureSlips, manyStructureSlips = 6, 120

// TestFixStructure makes slips of structure in the examples: what is written
// unasked stands only where the slip has changed something, or is what stood
// there before.
func TestFixStructure(t *testing.T) {
	names, tries := []string{"trailer"}, fewStructureSlips
	if *full {
		names, tries = []string{"trailer", "loader", "gritter"}, manyStructureSlips
	}
	random := rand.New(rand.NewPCG(10, 4))
	tried, wrote := 0, 0
	for _, name := range names {
		file, text := faulty(t, name)
		clean := leaves(t, file, text)
		lines := strings.SplitAfter(string(text), "\n")
		listed := slices.IndexFunc(lines, func(l string) bool { return strings.Contains(l, "- {part: FG-") })
		for n := range tries {
			i, slip := random.IntN(len(lines)-1), structureSlips[random.IntN(len(structureSlips))]
			if n == 0 {
				i, slip = listed, structureSlips[0] // after which something is written
			}
			line, stays := slip.do(lines[i])
			if trimmed := strings.TrimSpace(lines[i]); stays && line == lines[i] || trimmed == "" || strings.HasPrefix(trimmed, "#") {
				continue
			}
			tried++
			broken := []byte(strings.Join(lines[:i], "") + line + strings.Join(lines[i+1:], ""))
			fixed := mended(t, file, broken, checker.FixOptions{})
			if bytes.Equal(fixed.Text, broken) {
				continue
			}
			wrote++
			for _, at := range strange(clean, leaves(t, file, broken), leaves(t, file, fixed.Text), i+1) {
				t.Errorf("%s, line %d, %s (%s): %s is written: %+v", name, i+1, slip.name, strings.TrimSpace(lines[i]), at, fixed.Made)
				break
			}
		}
	}
	if wrote == 0 {
		t.Error("nothing was written after any slip")
	}
	t.Logf("%d slips of structure tried, after %d of them something was written", tried, wrote)
}

// leaf is a value, and the line on which it stands.
type leaf struct {
	value string
	line  int
}

// leaves are the values of a file by their places; none where it cannot be read.
func leaves(t *testing.T, file string, text []byte) map[string]leaf {
	t.Helper()
	docs, problems := source.Parse(file, text)
	if len(problems) > 0 || len(docs) != 1 {
		return nil
	}
	all := map[string]leaf{}
	scalars(docs[0].Root, func(n *source.Node) { all[n.Pointer()] = leaf{n.Scalar, n.Line} })
	return all
}

// item is the item of a list at the top of the file to which a place belongs; ""
// where it belongs to none.
func item(at string) string {
	return listItem.FindString(at)
}

var listItem = regexp.MustCompile(`^/[a-z_]+/\d+`)

// strange are the places at which something was written that the slip had left
// as it was, and where it now is not. Where the slip left nothing that can be
// read, it is the line on which it happened that it has touched.
func strange(clean, broken, fixed map[string]leaf, line int) (list []string) {
	places := maps.Clone(clean)
	maps.Copy(places, fixed)
	moved := map[string]bool{} // items of lists
	for at := range clean {
		if was, there := broken[at]; !there || was.value != clean[at].value {
			moved[item(at)] = true
		}
	}
	delete(moved, "")
	for _, at := range slices.Sorted(maps.Keys(places)) {
		before, stood := clean[at]
		was, there := broken[at]
		is, stands := fixed[at]
		touched := stood != there || before.value != was.value || moved[item(at)]
		if broken == nil {
			touched = before.line == line || !stood && is.line == line
		}
		if (stood != stands || before.value != is.value) && !touched {
			list = append(list, at)
		}
	}
	return list
}

// TestFixVouched: what somebody has to vouch for is written for nobody, and a key
// is written right only where it is misspelt.
func TestFixVouched(t *testing.T) {
	for was, is := range map[string]string{
		"status: draft": "status: release", "\nbundles:\n": "\n", "\n  - {id: drawbar, name: ": "\n  - {id: drawbar, note: ",
	} {
		file, text := faulty(t, "trailer")
		broken := bytes.Replace(text, []byte(was), []byte(is), 1)
		if bytes.Equal(broken, text) {
			t.Fatalf("no %q", was)
		}
		if fixed := mended(t, file, broken, checker.FixOptions{}); !bytes.Equal(fixed.Text, broken) {
			t.Errorf("%q: made %+v", is, fixed.Made)
		}
	}
}

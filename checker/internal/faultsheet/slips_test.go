package faultsheet

import (
	"bytes"
	"encoding/json"
	"flag"
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"kitgauge/checker"
	"kitgauge/checker/slip"
	"kitgauge/checker/source"
	"kitgauge/checker/units"
	"kitgauge/examples"
)

var (
	oneSlips = flag.String("slip", "", "look for the slips behind the mistakes with these ids, and print what is found: 13,28")
	allSlips = flag.Bool("slips", false, "look for the slip behind every mistake, and write testdata/measured/slips.md (some minutes)")
)

// leaf is a scalar of a tree that differs from that of another.
type leaf struct{ pointer, clean, faulty string }

// differing lists the scalars in which two trees of one shape differ; false
// where they are of different shapes.
func differing(clean, faulty *source.Node, at string, out *[]leaf) bool {
	if len(clean.Items) != len(faulty.Items) {
		return false
	}
	if len(clean.Items) == 0 && clean.Scalar != faulty.Scalar {
		*out = append(*out, leaf{at, clean.Scalar, faulty.Scalar})
	}
	for i := range clean.Items {
		below := at + "/" + clean.Items[i].Key()
		if clean.Kind == source.Map && clean.Members[i].Key != faulty.Members[i].Key || !differing(clean.Items[i], faulty.Items[i], below, out) {
			return false
		}
	}
	return true
}

// oneSlip is what a mistake changes, in the kit or in the catalogue, where that
// is one value or a few of one thing; nil where it is more.
func (p *Player) oneSlip(c *Case) []leaf {
	if (c.Patch == nil) == (c.Catalogue == nil) || c.Obey != nil || c.Mirrored || c.Inches {
		return nil
	}
	v, err := p.faulty(c)
	if err != nil {
		return nil
	}
	clean, text := p.kits[c.Kit].Root, v.kit
	if c.Catalogue != nil {
		clean, text = p.catalogue, v.catalogue
	}
	docs, problems := source.Parse("faulty", text)
	var leaves []leaf
	if len(problems) > 0 || !differing(clean, docs[0].Root, "", &leaves) || len(leaves) > 6 {
		return nil
	}
	return leaves
}

// slips looks for the slip behind a mistake.
func (p *Player) slips(c *Case) (*slip.Report, error) {
	v, err := p.faulty(c)
	if err != nil {
		return nil, err
	}
	kit, err := p.inOrder(v.kit)
	if err != nil {
		return nil, err
	}
	read := examples.ReadFile
	if v.catalogue != nil {
		catalogue, err := p.inOrder(v.catalogue)
		if err != nil {
			return nil, err
		}
		read = func(kit, file string) ([]byte, error) {
			if strings.HasSuffix(file, catalogueFile) {
				return catalogue, nil
			}
			return examples.ReadFile(kit, file)
		}
	}
	by := checker.New(checker.Options{ReadFile: read, NoSettings: true, On: day, Slips: slip.Usual, EverySlip: true})
	results, err := by.Check(p.kits[c.Kit].File, kit)
	if err != nil {
		return nil, err
	}
	return results[0].Slips, nil
}

// inOrder writes a file with its members in the order of the examples.
func (p *Player) inOrder(text []byte) ([]byte, error) {
	var file any
	if err := json.Unmarshal(text, &file); err != nil {
		return nil, err
	}
	var out bytes.Buffer
	p.order.write(&out, file, "")
	return out.Bytes(), nil
}

// takesBack reports whether a change gives every value back that the mistake
// changed.
func takesBack(e slip.Explanation, leaves []leaf) bool {
	return len(e.Edits) == len(leaves) && !slices.ContainsFunc(leaves, func(l leaf) bool {
		return !slices.ContainsFunc(e.Edits, func(edit slip.Edit) bool { return edit.Pointer == l.pointer && sameValue(edit.To, l.clean) })
	})
}

// sameValue compares texts, or measured values in whatever unit they are written.
func sameValue(a, b string) bool {
	if a == b {
		return true
	}
	for _, unit := range []string{a, b} {
		fields := strings.Fields(unit)
		if u, known := units.Lookup(fields[len(fields)-1]); known {
			x, err := units.Parse(a, u.Dim)
			y, err2 := units.Parse(b, u.Dim)
			return err == nil && err2 == nil && x == y
		}
	}
	return false
}

// rank is the place of the true slip: first, shared with so many, or what was
// shown instead.
func rank(r *slip.Report, leaves []leaf) (string, bool) {
	switch {
	case r == nil || r.Findings == 0:
		return "nothing is found", false
	case len(r.Best) == 0:
		return "none shown", false
	case !slices.ContainsFunc(r.Best, func(e slip.Explanation) bool { return takesBack(e, leaves) }):
		return "another: " + r.Best[0].Change.String(), false
	case len(r.Best) > 1:
		return fmt.Sprintf("shared first of %d", len(r.Best)), true
	}
	return "first", true
}

// untold says of mistakes why nobody could tell from the kit what was meant.
var untold = map[string]string{
	"55b":  "any number of hours below 20 would do; nothing in the kit says that they were 10",
	"81":   "a circuit of 10, 15 or 20 A would do as well, and so would a smaller load",
	"102":  "who else checked the kit is written nowhere in it",
	"103b": "the day of issue is written nowhere else",
}

const slipsHead = `# The one slip behind a mistake

Every mistake of testdata/faults/sheet.yaml that changes one value, or a few of one thing, in the
kit or in its catalogue. tried: how many changes, of which the likeliest come first; seconds: by
the clock, for the check and the search, as busy as the machine was. Written by
"go test ./checker/internal/faultsheet -run Slips -slips -timeout 60m"; one of them is looked at
with "-slip 13", those of a file with "-slip more.yaml".

| id | mistake | the true slip is | tried | seconds |
| --- | --- | --- | ---: | ---: |
`

// slipsTable is the page of what was measured.
type slipsTable struct {
	rows, why    strings.Builder
	found, total int
	spent        time.Duration
}

// add looks for the slip behind a mistake, and reports what it is taken for.
func (s *slipsTable) add(t *testing.T, p *Player, c *Case, leaves []leaf) (where string, right bool) {
	begun := time.Now()
	r, err := p.slips(c)
	if err != nil {
		t.Fatal(err)
	}
	took := time.Since(begun)
	where, right = rank(r, leaves)
	s.total++
	s.spent += took
	if right {
		s.found++
	} else if why := untold[c.ID]; why != "" {
		fmt.Fprintf(&s.why, "- %s: %s.\n", c.ID, why)
	}
	tried := 0
	if r != nil {
		tried = r.Tried
	}
	fmt.Fprintf(&s.rows, "| %s | %s | %s | %d | %.1f |\n", c.ID, cell(c.Words), cell(where), tried, took.Seconds())
	return where, right
}

func (s *slipsTable) page() string {
	sum := fmt.Sprintf("\n%d mistakes; the true slip is first or shared first in %d, %.0f %%; %.1f s each.\n", s.total, s.found, 100*float64(s.found)/float64(s.total), s.spent.Seconds()/float64(s.total))
	if s.why.Len() > 0 {
		sum += "\nOf those that are not found, what nobody could tell from the kit:\n\n" + s.why.String()
	}
	return slipsHead + s.rows.String() + sum
}

// The slips behind a few mistakes are found; with -slips those behind all.
func TestSlips(t *testing.T) {
	p := newPlayer(t)
	asked := []string{"04", "17", "88"}
	if *oneSlips != "" {
		asked = strings.Split(*oneSlips, ",")
	}
	var table slipsTable
	for i, s := range sheets {
		for _, c := range read(t, s.file) {
			if !(*allSlips && i == 0) && !slices.Contains(asked, c.ID) && *oneSlips != s.file {
				continue
			}
			leaves := p.oneSlip(&c)
			if leaves == nil {
				continue
			}
			where, right := table.add(t, p, &c, leaves)
			if *oneSlips != "" {
				fmt.Printf("%s: %s: %s\n", c.ID, c.Words, where)
			} else if !right && !*allSlips {
				t.Errorf("%s, %s: %s", c.ID, c.Words, where)
			}
		}
	}
	if *allSlips {
		if err := os.WriteFile("../../../testdata/measured/slips.md", []byte(table.page()), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

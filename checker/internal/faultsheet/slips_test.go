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
	by := checker.New(checker.Options{ReadFile: read, NoSettings: true, On: day, Slips: trialsDebug(), EverySlip: true})
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

// The slips behind a few mistakes are found; with -slips those behind all.
func TestSlips(t *testing.T) {
	p := newPlayer(t)
	sample := []string{"04", "17", "88"}
	if *oneSlips != "" {
		sample = strings.Split(*oneSlips, ",")
	}
	var page strings.Builder
	page.WriteString("# The one slip behind a mistake\n\nEvery mistake of testdata/faults/sheet.yaml that changes one value, or a few of one thing, in the\nkit. Written by `go test ./checker/internal/faultsheet -run Slips -slips -timeout 30m`.\n\n| id | mistake | the true slip is | tried | seconds |\n| --- | --- | --- | ---: | ---: |\n")
	found, total, spent := 0, 0, time.Duration(0)
	for _, s := range sheets {
		for _, c := range read(t, s.file) {
			leaves := p.oneSlip(&c)
			if leaves == nil || !*allSlips && !slices.Contains(sample, c.ID) && *oneSlips != s.file {
				continue
			}
			begun := time.Now()
			r, err := p.slips(&c)
			if err != nil {
				t.Fatal(err)
			}
			took := time.Since(begun)
			where, right := rank(r, leaves)
			if *oneSlips != "" {
				fmt.Printf("%s: %s: %s, %.1f s\n", c.ID, c.Words, where, took.Seconds())
			}
			total++
			spent += took
			if right {
				found++
			} else if !*allSlips {
				t.Errorf("%s, %s: %s", c.ID, c.Words, where)
			}
			tried := 0
			if r != nil {
				tried = r.Tried
			}
			fmt.Fprintf(&page, "| %s | %s | %s | %d | %.1f |\n", c.ID, cell(c.Words), cell(where), tried, took.Seconds())
		}
	}
	fmt.Fprintf(&page, "\n%d mistakes; the true slip is first or shared first in %d, %.0f %%; %.1f s each.\n", total, found, 100*float64(found)/float64(total), spent.Seconds()/float64(total))
	if *allSlips {
		if err := os.WriteFile("../../../testdata/measured/slips.md", []byte(page.String()), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

func trialsDebug() int {
	if os.Getenv("SLIPDEBUG") == "f" {
		return 1
	}
	return slip.Usual
}

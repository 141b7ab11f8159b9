package kit_test

import (
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"
	"testing"

	"kitgauge/checker/kit"
	"kitgauge/checker/source"
	"kitgauge/schema"
)

// The budgets are the maxItems of the schemas, of every list of them.
func TestBudgetsAreTheSchemas(t *testing.T) {
	got := map[string]int{}
	for _, name := range []string{"kit", "parts", "concessions"} {
		text, _ := schema.Text(name)
		listed(t, parse(t, name, string(text)).Root, got)
	}
	if !maps.Equal(got, kit.Most) {
		t.Errorf("the schemas say %v\nand package kit %v", got, kit.Most)
	}
}

// listed collects the maxItems of the lists below a part of a schema, but for
// those of three coordinates.
func listed(t *testing.T, n *source.Node, into map[string]int) {
	for i, m := range n.Members {
		member := n.Items[i]
		if most := member.Get("maxItems"); most != nil && n.Key() == "properties" {
			count, err := strconv.Atoi(most.Scalar)
			if first, twice := into[m.Key]; err != nil || twice && first != count {
				t.Errorf("%s: %d and %s items, %v", m.Key, first, most.Scalar, err)
			}
			into[m.Key] = count
		}
	}
	for _, item := range n.Items {
		listed(t, item, into)
	}
}

// A list below its budget and at it is read; of one above it as much as is
// allowed, with one problem at its place.
func TestListBudgets(t *testing.T) {
	for _, key := range slices.Sorted(maps.Keys(kit.Most)) {
		most := kit.Most[key]
		for n := most - 1; n <= most+1; n++ {
			doc := parse(t, "k", "vehicle:\n  "+key+": ["+strings.Repeat("{}, ", n)+"]\n")
			trimmed, problems := kit.Truncate(doc)
			if got := len(trimmed.Root.At("vehicle", key).Items); got != min(n, most) {
				t.Errorf("%s with %d items: %d are read", key, n, got)
			}
			if len(doc.Root.At("vehicle", key).Items) != n {
				t.Errorf("%s with %d items: the document was changed", key, n)
			}
			want := fmt.Sprintf("[k:2:%d: %s has %d items; at most %d are possible; leave out what is not needed; what comes after them is not checked]", 5+len(key), key, n, most)
			if n <= most {
				want = "[]"
			}
			if got := fmt.Sprint(problems); got != want {
				t.Errorf("got %s\nwant %s", got, want)
			}
			if (trimmed == doc) != (n <= most) {
				t.Errorf("%s with %d items: a copy was made, or none", key, n)
			}
		}
	}
}

// The stations of all routes together.
func TestStationBudget(t *testing.T) {
	for over := -1; over <= 1; over++ {
		var b strings.Builder
		b.WriteString("bundles:\n- {route: [" + strings.Repeat("{}, ", 500) + "]}\nlines:\n")
		for range 38 {
			b.WriteString("- {tail: [" + strings.Repeat("{}, ", 500) + "]}\n")
		}
		fmt.Fprintf(&b, "- {tail: [%s]}\n- {tail: [%s]}\n", strings.Repeat("{}, ", 499), strings.Repeat("{}, ", 1+over))
		trimmed, problems := kit.Truncate(parse(t, "k", b.String()))
		k, _ := kit.Read(trimmed)
		got := len(k.Bundles[0].Route)
		for _, l := range k.Lines {
			got += len(l.Tail)
		}
		if want := kit.MostStations + min(over, 0); got != want || len(k.Lines) != 40 {
			t.Errorf("%+d: %d stations and %d lines are read, want %d and 40", over, got, len(k.Lines), want)
		}
		want := "[]"
		if over > 0 {
			want = "[k:43:10: with this tail the kit has more than 20000 stations; leave out what is not needed; what comes after them is not checked]"
		}
		if got := fmt.Sprint(problems); got != want {
			t.Errorf("%+d: got %s, want %s", over, got, want)
		}
	}
}

// After so many names were compared, one that leads nowhere is told without
// the nearest.
func TestComparedNames(t *testing.T) {
	const bodies = 500
	last := kit.MostCompared / bodies // references that are compared with all
	var b strings.Builder
	b.WriteString("bodies:\n")
	for i := range bodies {
		fmt.Fprintf(&b, "- {id: body-%d}\n", i)
	}
	b.WriteString("zones:\n" + strings.Repeat("- {body: body-1x}\n", last+1))
	doc := parse(t, "k", b.String())
	k, _ := kit.Read(doc)
	none, _ := kit.NewCatalogue(nil, "")
	problems := k.Resolve(none)
	if len(problems) != last+1 {
		t.Fatalf("%d problems, want %d", len(problems), last+1)
	}
	for i, p := range problems {
		if near := strings.Contains(p.Message, "nearest is"); near != (i < last) {
			t.Fatalf("problem %d: %s", i+1, p.Message)
		}
	}
}

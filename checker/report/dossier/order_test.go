package dossier

import (
	"slices"
	"testing"

	"kitgauge/checker/compare"
)

// What the first page lists of changes is what most hangs on; two of one
// section stay as they come.
func TestGravestFirst(t *testing.T) {
	all := []compare.Change{{Section: "header"}, {Section: "vehicle"}, {Section: "lines", Text: "line 2"}, {Section: "lines", Text: "line 10"}, {Section: "feed"}, {Section: "parts_list"}}
	var got []string
	for _, c := range gravestFirst(all) {
		got = append(got, c.Section+c.Text)
	}
	if want := []string{"feed", "linesline 2", "linesline 10", "vehicle", "parts_list", "header"}; !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
	if all[0].Section != "header" {
		t.Error("the changes themselves were put in another order")
	}
}

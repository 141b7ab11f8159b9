package dossier

import (
	"slices"
	"testing"
)

// TestGravestFirst: what the first page leaves out is the least.
func TestGravestFirst(t *testing.T) {
	items := []string{"kit number A to B", "point P1: name x to y", "line 5 now 120 mm shorter", "feed: fuse distance 180 mm to 650 mm"}
	want := []string{items[3], items[2], items[1], items[0]}
	gravestFirst(items)
	if !slices.Equal(items, want) {
		t.Errorf("got %q", items)
	}
}

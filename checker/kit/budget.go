package kit

import (
	"fmt"
	"slices"

	"kitgauge/checker/source"
)

// most is how many items a list may have, by its key, in a kit as in a
// catalogue: the maxItems of the schemas, and a test holds the two together.
// A large kit of the trade has 84 lines; these are far above that, and keep
// what comes after the reading within seconds.
var most = map[string]int{
	// of the kit
	"catalogues":     100,
	"bodies":         500,
	"joints":         500,
	"points":         2000,
	"outlets":        2000,
	"lines":          2000,
	"bundles":        500,
	"route":          500,
	"tail":           500,
	"ties":           200,
	"last_ties":      200,
	"member_lengths": 500,
	"zones":          1000,
	"passages":       100,
	"connectors":     100,
	"greased_before": 100,
	"rows":           2000,
	"parts_list":     5000,
	"procedure":      1000,
	"concessions":    1000,
	// of a catalogue
	"include":        100,
	"parts":          10000,
	"element_series": 100,
	"derating":       50,
	"flow_pressures": 50,
}

// MostStations is how many stations the routes and tails of a kit may have in
// all: ten for every line of the largest kit.
const MostStations = 20_000

// Truncate cuts the lists of a kit or a catalogue that are longer than they may
// be, and reports them, so that what is done with the rest takes a bounded
// time. The document itself stays as it is.
func Truncate(doc *source.Document) (*source.Document, []*source.Problem) {
	t := trimmer{stations: MostStations}
	root := t.node(doc.Root, "")
	if root == doc.Root {
		return doc, nil
	}
	trimmed := *doc
	trimmed.Root = root
	return &trimmed, t.problems
}

type trimmer struct {
	stations int // that are still allowed
	over     bool
	problems []*source.Problem
}

// node returns the value under a key with its lists cut: itself where there
// is nothing to cut.
func (t *trimmer) node(n *source.Node, key string) *source.Node {
	items := n.Items
	if n.Kind == source.List {
		items = items[:t.keep(n, key)]
	}
	own := false // items is a copy
	for i, item := range items {
		if item.Kind != source.List && item.Kind != source.Map {
			continue
		}
		below := ""
		if n.Kind == source.Map {
			below = n.Members[i].Key
		}
		less := t.node(item, below)
		if less == item {
			continue
		}
		if !own {
			items, own = slices.Clone(items), true
		}
		items[i] = less
	}
	if !own && len(items) == len(n.Items) {
		return n
	}
	trimmed := *n
	trimmed.Items = items
	return &trimmed
}

// keep is how many items of a list are read.
func (t *trimmer) keep(n *source.Node, key string) int {
	count := len(n.Items)
	if limit, has := most[key]; has && count > limit {
		t.fail(n, fmt.Sprintf("%s has %d items; at most %d are possible", key, count, limit))
		count = limit
	}
	if key != "route" && key != "tail" {
		return count
	}
	if count > t.stations && !t.over {
		t.over = true
		t.fail(n, fmt.Sprintf("with this %s the kit has more than %d stations", key, MostStations))
	}
	count = min(count, t.stations)
	t.stations -= count
	return count
}

func (t *trimmer) fail(n *source.Node, message string) {
	if len(t.problems) < 100 {
		t.problems = append(t.problems, &source.Problem{Pos: n.Pos(), Node: n, Message: message, Remedy: "leave out what is not needed; what comes after them is not checked"})
	}
}

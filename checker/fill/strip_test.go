package fill_test

import (
	"strings"

	"kitgauge/checker/edit"
	"kitgauge/checker/source"
)

// strip takes out of a kit all that Kit writes; the text is a kit of one
// document.
func strip(text []byte) []byte {
	docs, _ := source.Parse("", text)
	out, err := edit.Apply(text, 0, bare(docs[0].Root)...)
	if err != nil {
		panic(err)
	}
	return out
}

// stripped is the same as JSON, which takes less time.
func stripped(text []byte) []byte {
	docs, _ := source.Parse("", text)
	root, err := edit.Tree(docs[0].Root, bare(docs[0].Root)...)
	if err != nil {
		panic(err)
	}
	return root.JSON()
}

// bare are the changes that take out all that Kit writes.
func bare(root *source.Node) []edit.Change {
	var changes []edit.Change
	remove := func(n *source.Node, keys ...string) {
		for _, key := range keys {
			if member := n.Get(key); member != nil {
				changes = append(changes, edit.Change{Do: edit.Remove, At: member.Pointer()})
			}
		}
	}
	each := func(list *source.Node, do func(n *source.Node)) {
		if list != nil {
			for _, n := range list.Items {
				do(n)
			}
		}
	}
	station := func(n *source.Node) { remove(n, "free_length", "ties") }
	each(root.Get("lines"), func(n *source.Node) {
		remove(n, "cut_length", "pump_fitting", "point_fitting", "pump_marker", "point_marker", "last_free_length", "last_ties")
		each(n.Get("tail"), station)
	})
	each(root.Get("bundles"), func(n *source.Node) {
		remove(n, "conduit")
		each(n.Get("route"), station)
	})
	pump := root.Get("pump")
	remove(pump, "first_fill", "outlets")
	remove(pump.Get("bolts"), "part", "count")
	remove(root.Get("feed"), "fuse", "cable")
	papers := root.Get("documents")
	for _, paper := range []string{"schematic", "call_out_sheet", "instructions"} {
		remove(papers.Get(paper), "revision", "rows")
	}
	each(root.Get("procedure"), func(n *source.Node) { remove(n, "lines") })
	remove(root, "parts_list")
	return changes
}

// size counts the values and the lines that somebody typed.
func size(text []byte) (values, lines int) {
	docs, _ := source.Parse("", text)
	var count func(n *source.Node)
	count = func(n *source.Node) {
		if n.Kind < source.List {
			values++
		}
		for _, item := range n.Items {
			count(item)
		}
	}
	count(docs[0].Root)
	for _, line := range strings.Split(string(text), "\n") {
		if s := strings.TrimSpace(line); s != "" && s[0] != '#' {
			lines++
		}
	}
	return values, lines
}

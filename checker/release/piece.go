package release

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"strings"

	"kitgauge/checker"
	"kitgauge/checker/report"
	"kitgauge/checker/source"
)

// maxPieces is how many pieces of one file are listed; beyond, none are.
const maxPieces = 20_000

// singular are the names of the items of lists.
var singular = map[string]string{
	"lines": "line", "points": "point", "bundles": "bundle", "bodies": "body", "joints": "joint", "zones": "zone",
	"parts": "part", "rules": "rule", "procedure": "step", "concessions": "concession", "outlets": "outlet",
	"stations": "station", "parts_list": "parts list,",
}

// pieces lists the parts of an input: the items of its lists, the members of
// its groups. Of a kit file they are those of one document.
func pieces(in checker.Input, document int) []Piece {
	if in.Role == checker.RoleKnown {
		return []Piece{}
	}
	docs, _ := source.Parse(in.Name, in.Text)
	if in.Role != checker.RoleKit {
		document = 0
	}
	if document >= len(docs) {
		return []Piece{}
	}
	c := collector{seen: map[string]int{}, list: []Piece{}}
	c.group(docs[document].Root, "", 0)
	if len(c.list) > maxPieces {
		return []Piece{}
	}
	return c.list
}

type collector struct {
	seen map[string]int
	list []Piece
}

// group walks through the members of a group: groups and lists of groups are
// opened two levels deep, everything else is a piece.
func (c *collector) group(n *source.Node, name string, depth int) {
	if n.Kind != source.Map {
		c.add(n, name)
		return
	}
	for i, m := range n.Members {
		item := n.Items[i]
		key := strings.TrimSpace(name + " " + strings.ReplaceAll(m.Key, "_", " "))
		switch {
		case depth < 2 && item.Kind == source.Map && len(item.Items) > 0:
			c.group(item, key, depth+1)
		case depth < 2 && isListOfGroups(item):
			c.items(item, m.Key, key)
		default:
			c.add(item, key)
		}
	}
}

func isListOfGroups(n *source.Node) bool {
	if n.Kind != source.List || len(n.Items) == 0 {
		return false
	}
	for _, item := range n.Items {
		if item.Kind != source.Map {
			return false
		}
	}
	return true
}

func (c *collector) items(list *source.Node, key, name string) {
	word, known := singular[key]
	if !known {
		word = name + ","
	}
	for i, item := range list.Items {
		c.add(item, word+" "+identity(item, i))
	}
}

func identity(item *source.Node, index int) string {
	if rule, place := item.Get("rule"), item.Get("place"); rule != nil && place != nil {
		return "for " + rule.Scalar + " at " + place.Scalar
	}
	for _, key := range []string{"number", "id", "part", "step", "name", "rule"} {
		if v := item.Get(key); v != nil && v.Scalar != "" {
			return v.Scalar
		}
	}
	return fmt.Sprintf("%d in the list", index+1)
}

func (c *collector) add(n *source.Node, name string) {
	name = short(name)
	c.seen[name]++
	if again := c.seen[name]; again > 1 {
		name = fmt.Sprintf("%s (%d)", name, again)
	}
	sum := sha256.Sum256(n.JSON())
	c.list = append(c.list, Piece{Name: name, Digest: hex.EncodeToString(sum[:8])})
}

// short makes a text fit to stand in a record.
func short(text string) string {
	const longest = 80
	if runes := []rune(text); len(runes) > longest {
		text = string(runes[:longest]) + "..."
	}
	return report.Visible(text)
}

// difference names the pieces of an input that are not what they were; none
// where the pieces of one side were not listed.
func difference(before, after []Piece) []string {
	if len(before) == 0 || len(after) == 0 {
		return nil
	}
	was := map[string]string{}
	for _, p := range before {
		was[p.Name] = p.Digest
	}
	is := map[string]bool{}
	var list []string
	for _, p := range after {
		is[p.Name] = true
		switch digest, known := was[p.Name]; {
		case !known:
			list = append(list, p.Name+" (new)")
		case digest != p.Digest:
			list = append(list, p.Name)
		}
	}
	for _, p := range before {
		if !is[p.Name] {
			list = append(list, p.Name+" (gone)")
		}
	}
	return list
}

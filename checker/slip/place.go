package slip

import (
	"strconv"
	"strings"

	"kitgauge/checker/kit"
	"kitgauge/checker/source"
)

// placeOf names a value of a kit file in the trade's words: "station fl-4,
// position z", "joint left kingpin, axis".
func placeOf(n *source.Node) string {
	var keys []string
	for ; n != nil && n.Parent() != nil; n = n.Parent() {
		if name := itemName(n); name != "" {
			if of := holder(n); of != "" {
				name = of + ", " + name
			}
			return strings.Join(append([]string{name}, join(keys)...), ", ")
		}
		keys = append([]string{keyName(n)}, keys...)
	}
	if len(keys) > 1 {
		return keys[0] + ", " + strings.Join(keys[1:], " ")
	}
	return strings.Join(keys, " ")
}

// holder names the thing that lists an item which itself is named by another
// thing alone: the station of the length that a line has there.
func holder(item *source.Node) string {
	if item.Get("line") == nil || item.Get("id") != nil || item.Get("number") != nil {
		return ""
	}
	for n := item.Parent().Parent(); n != nil && n.Parent() != nil; n = n.Parent() {
		if name := itemName(n); name != "" {
			return name
		}
	}
	return ""
}

func join(keys []string) []string {
	if len(keys) == 0 {
		return nil
	}
	return []string{strings.Join(keys, " ")}
}

// itemName names an item of a list by its name, id or number; "" where it has
// none.
func itemName(n *source.Node) string {
	list := n.Parent()
	if list.Kind != source.List || n.Kind != source.Map {
		return ""
	}
	for _, key := range []string{"id", "number", "line", "part", "name", "step"} {
		if v := n.Get(key); v != nil && v.Scalar != "" {
			word, _ := kit.Thing(list.Key())
			return strings.TrimSpace(word + " " + v.Scalar)
		}
	}
	return ""
}

// keyName is a key in words, the index of a coordinate as its letter.
func keyName(n *source.Node) string {
	list := n.Parent()
	if list.Kind == source.List && len(list.Items) == 3 && n.Kind != source.Map {
		return map[string]string{"0": "x", "1": "y", "2": "z"}[n.Key()]
	}
	if i, err := strconv.Atoi(n.Key()); err == nil && list.Kind == source.List {
		return strconv.Itoa(i + 1) // as findings count
	}
	return strings.ReplaceAll(n.Key(), "_", " ")
}

package slip

import (
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
			return strings.Join(append([]string{name}, join(keys)...), ", ")
		}
		keys = append([]string{keyName(n)}, keys...)
	}
	if len(keys) > 1 {
		return keys[0] + ", " + strings.Join(keys[1:], " ")
	}
	return strings.Join(keys, " ")
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
	return strings.ReplaceAll(n.Key(), "_", " ")
}

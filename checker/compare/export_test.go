package compare

import (
	"kitgauge/checker/kit"
	"kitgauge/checker/units"
)

// Kits compares two models.
func Kits(old, new *kit.Kit) []Change {
	d := &differ{family: units.Metric}
	d.kit(old, new)
	return d.changes
}

// Parts compares two parts of one kind: pointers to structs of package kit.
func Parts(old, new any) []Change {
	d := &differ{family: units.Metric, section: "parts"}
	d.group(place{text: "part"}, pointee(old), pointee(new), measure{}, measure{})
	return d.changes
}

// Lists tells which members hold lists that the table knows, with the members
// that it names for each.
func Lists() map[string][]string {
	out := map[string][]string{}
	for key, l := range lists {
		out[key] = append(append(out[key], l.by...), l.detail...)
		if l.name != "" {
			out[key] = append(out[key], l.name)
		}
	}
	return out
}

// Shortened cuts two texts down to where they differ.
var Shortened = shortened

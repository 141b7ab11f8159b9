package kit

// things are the words for what the lists of a kit and of a catalogue hold.
var things = map[string]string{
	"lines": "line", "points": "point", "bundles": "bundle", "bodies": "body", "joints": "joint", "zones": "zone",
	"parts_list": "parts list, part", "parts": "part", "procedure": "step", "concessions": "concession",
	"route": "station", "tail": "station", "ties": "tie", "last_ties": "tie", "member_lengths": "member length",
	"outlets": "outlet", "rows": "row", "connectors": "connector", "passages": "passage",
}

// Thing is the word for what the list under a key holds: "line" for lines.
func Thing(list string) (word string, listed bool) {
	word, listed = things[list]
	return word, listed
}

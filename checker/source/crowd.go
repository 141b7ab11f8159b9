package source

// crowded reports whether a text certainly holds more values than are
// accepted, before the YAML library makes a tree of it, which takes a few
// hundred bytes a value. Every value stands behind a colon, a comma, a dash or
// an opening bracket of its own, and there may be as many of each of these as
// of values; what a text or a remark holds of them is counted too.
func crowded(text []byte) bool {
	if len(text) <= MaxNodes {
		return false
	}
	var colons, commas, dashes, brackets int
	for i, c := range text {
		switch c {
		case ':':
			colons++
		case ',':
			commas++
		case '-':
			if i+1 < len(text) && isSpace(rune(text[i+1])) {
				dashes++
			}
		case '[', '{':
			brackets++
		}
	}
	return max(colons, commas, dashes, brackets) > MaxNodes
}

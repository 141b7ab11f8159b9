package visible

import (
	"fmt"
	"strings"

	"golang.org/x/text/unicode/runenames"
)

// Named is a character by its code point and its name in the Unicode standard,
// as "U+200B (zero width space)".
func Named(r rune) string {
	name := strings.ToLower(runenames.Name(r))
	if r == 0 {
		name = "null" // as its alias is: control characters have no name
	}
	return fmt.Sprintf("U+%04X (%s)", r, strings.Trim(name, "<>"))
}

package markdown

import (
	"strings"

	"kitgauge/checker/report"
)

// mostRunes bounds one text, so that no single one fills the summary.
const mostRunes = 2000

// code writes a text as a code span (GFM 0.29, 6.3), in which there are no
// emphasis, HTML, links, mentions, images or escapes. A code span ends at the
// first run of as many backticks as it began with: runs in the text are
// broken at two, and the span begins with three.
func code(text string) string {
	text = strings.TrimSpace(clip(report.Visible(text)))
	if text == "" {
		return "``` (empty) ```"
	}
	for strings.Contains(text, "```") {
		text = strings.ReplaceAll(text, "```", "`` `")
	}
	if !strings.Contains(text, "`") {
		return "`" + text + "`"
	}
	return "``` " + text + " ```" // one space at each end is taken away
}

// cell writes a code span in a table, where a bar would end the cell even
// within a code span, unless it is escaped (GFM 0.29, 4.10). A backslash in
// front of it would take the escape away, and is set apart.
func cell(text string) string {
	if text == "" {
		return ""
	}
	return strings.ReplaceAll(strings.ReplaceAll(code(text), `\|`, `\ |`), "|", `\|`)
}

func clip(text string) string {
	if len(text) <= mostRunes {
		return text
	}
	if r := []rune(text); len(r) > mostRunes {
		return string(r[:mostRunes]) + "..."
	}
	return text
}

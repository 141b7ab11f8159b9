package terminal

import (
	"strings"
	"unicode/utf8"

	"github.com/rivo/uniseg"

	"kitgauge/checker/report"
)

const (
	cut      = "..." // stands where a line goes on
	tabWidth = 4
)

// glyph is one character as a person sees it, made fit for a terminal.
type glyph struct {
	text  string
	width int
	first int // column of its first code point, from 1
}

// excerpt makes a line of a file fit into width cells around a column, which
// counts code points from 1, and tells how many cells stand before the column.
// The indentation is left out.
func excerpt(line string, column, width int) (text string, caret int) {
	list := glyphs(line)
	at := 0 // the glyph that the column points at
	for at < len(list)-1 && list[at+1].first <= column {
		at++
	}
	from := 0
	for from < at && strings.TrimSpace(list[from].text) == "" {
		from++
	}
	list, at = list[from:], at-from
	if at < len(list)-1 {
		list = list[:len(list)-1] // the place behind the end is not asked for
	}
	from, to := window(list, at, width)
	var b strings.Builder
	if from > 0 {
		b.WriteString(cut)
	}
	for i, g := range list[from:to] {
		if from+i == at {
			caret = cells(b.String())
		}
		b.WriteString(g.text)
	}
	if to < len(list) {
		b.WriteString(cut)
	}
	return strings.TrimRight(b.String(), " "), caret
}

// glyphs splits a line. The last glyph is the place behind its end.
func glyphs(line string) []glyph {
	var list []glyph
	column, wide := 1, 0
	add := func(text string, codePoints int) {
		list = append(list, glyph{text: text, width: cells(text), first: column})
		column += codePoints
		wide += list[len(list)-1].width
	}
	for state := -1; line != ""; {
		var character string
		character, line, _, state = uniseg.FirstGraphemeClusterInString(line, state)
		if character == "\t" {
			add(spaces(tabWidth-wide%tabWidth), 1)
			continue
		}
		add(report.Visible(character), utf8.RuneCountInString(character))
	}
	add(" ", 1)
	return list
}

// window chooses the glyphs from, up to but without to, that fit with the
// marks where the line is cut: a third of the width for what stands before the
// glyph at, the rest for what follows, and what that leaves over for more
// before it.
func window(list []glyph, at, width int) (from, to int) {
	all := 0
	for _, g := range list {
		all += g.width
	}
	if all <= width {
		return 0, len(list)
	}
	used := list[at].width
	from, to = at, at+1
	fits := func(from, to, used int) bool {
		if from > 0 {
			used += len(cut)
		}
		if to < len(list) {
			used += len(cut)
		}
		return used <= width
	}
	left := func(room int) {
		for from > 0 && used+list[from-1].width <= room && fits(from-1, to, used+list[from-1].width) {
			from--
			used += list[from].width
		}
	}
	left(width / 3)
	for to < len(list) && fits(from, to+1, used+list[to].width) {
		used += list[to].width
		to++
	}
	left(width)
	return from, to
}

package languageserver

import (
	"bytes"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"github.com/rogpeppe/go-internal/diff"

	"kitgauge/checker/edit"
)

var hunk = regexp.MustCompile(`^@@ -(\d+),(\d+) \+\d+,\d+ @@`)

// lineEdits are the pieces that make one text of another, whole lines each, so
// that an editor keeps its marks and folds in those that stay.
func lineEdits(old, now []byte) []edit.Splice {
	if bytes.Equal(old, now) {
		return nil
	}
	end := []byte("\n") // so that no last line is without one
	begins := lineBegins(old)
	var list []edit.Splice
	at, open := 0, false
	text := string(diff.Diff("", slices.Concat(old, end), "", slices.Concat(now, end)))
	for i, line := range slices.Collect(strings.Lines(text)) {
		m := hunk.FindStringSubmatch(line)
		switch {
		case i < 3: // the head
			continue
		case m != nil:
			n, _ := strconv.Atoi(m[1])
			if m[2] != "0" {
				n--
			}
			at, open = begins[n], false
			continue
		case line[0] == ' ':
			at, open = at+len(line)-1, false
			continue
		case !open:
			list = append(list, edit.Splice{From: at, To: at})
			open = true
		}
		last := &list[len(list)-1]
		if line[0] == '+' {
			last.With += line[1:]
			continue
		}
		at += len(line) - 1
		last.To = at
	}
	if n := len(list); n > 0 && list[n-1].To > len(old) {
		list[n-1].To, list[n-1].With = len(old), strings.TrimSuffix(list[n-1].With, "\n")
	}
	if !bytes.Equal(splice(old, list), now) { // a last line without an end went or came
		return []edit.Splice{{From: 0, To: len(old), With: string(now)}}
	}
	return list
}

// splice is a text with pieces of it changed.
func splice(text []byte, list []edit.Splice) []byte {
	var out []byte
	at := 0
	for _, p := range list {
		if p.From < at || p.From > len(text) {
			return nil
		}
		out = append(append(out, text[at:p.From]...), p.With...)
		at = min(p.To, len(text))
	}
	return append(out, text[at:]...)
}

func lineBegins(text []byte) []int {
	list := []int{0}
	for i, b := range text {
		if b == '\n' {
			list = append(list, i+1)
		}
	}
	return list
}

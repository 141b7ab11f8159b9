package report

import (
	"bytes"

	"kitgauge/checker/visible"
)

// Visible is [visible.Text]: every report writes text from files so.
func Visible(text string) string { return visible.Text(text) }

// Unseen is [visible.Unseen].
func Unseen(r rune) bool { return visible.Unseen(r) }

// JSON breaks, in JSON, the sign by which the runner of a CI job knows a
// command anywhere in a line. It can stand within strings alone, and the data
// stay as they are.
func JSON(text []byte) []byte {
	return bytes.ReplaceAll(text, []byte("##["), []byte(`#\u0023[`))
}

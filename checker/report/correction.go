package report

import (
	"kitgauge/checker/edit"
	"kitgauge/checker/source"
)

// CorrectionKind says who may make a correction.
type CorrectionKind string

// The kinds of correction.
const (
	Safe     CorrectionKind = "safe"     // it follows from the rest of the file, or from arithmetic
	Decision CorrectionKind = "decision" // somebody has to decide
)

// Correction is how a program can clear a finding: the edits that its rule
// states, and what they make of the text of the file.
type Correction struct {
	Kind    CorrectionKind
	Title   string // for a person: "cut it to 2792 mm"
	File    string // that is changed
	Changes []edit.Change
	// Pieces are what the changes make of the text, all of which belong together:
	// in order, apart from each other. None where the changes cannot be made, or
	// change nothing.
	Pieces []Piece
	// Doubt is what speaks against making the correction before something else
	// is looked at; "" where nothing does. What is safe and without doubt is what
	// fix makes unasked, where that brings no other finding.
	Doubt string
}

// Piece is a piece of a document's text, in bytes of its text in UTF-8 without
// a byte order mark, with what takes its place.
type Piece struct {
	edit.Splice
	Start, End source.Pos // End is the place behind it
}

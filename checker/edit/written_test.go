package edit_test

import (
	"testing"

	"kitgauge/checker/edit"
	"kitgauge/checker/source"
)

// A text that is written stands for itself, on a line and between brackets;
// what would be read as something else goes in quotes.
func TestWritten(t *testing.T) {
	for text, plain := range map[string]bool{
		"chassis": true, "front axle": true, "FG-T4": true, "45 mm": true, "slack/steered": true, "größe": true,
		"12":   true, // whole numbers are written as they are
		"true": false, "False": false, "?": false,
		"a: b": false, "a #b": false, "[a]": false, "a, b": false, "007": false, "1e5": false, "0x1F": false, "null": false, "yes": false, "-": false, "": false, "*a": false, "'": false, "x\ty": false,
	} {
		got := edit.Written(text, 0, true)
		docs, problems := source.Parse("", []byte("[{a: "+got+"}]"))
		if len(problems) > 0 || docs[0].Root.Items[0].Get("a").Scalar != text || (got == text) != plain {
			t.Errorf("%q is written %s, plain: %v; %v", text, got, plain, problems)
		}
	}
	if got := edit.Written("it's", '\'', false); got != "'it''s'" {
		t.Errorf("got %s", got)
	}
}

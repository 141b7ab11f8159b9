package checker_test

import (
	"bytes"
	"testing"

	"kitgauge/checker"
)

// A measure is written otherwise only where it stays the same: feet are twelve
// inches, and nothing is dropped, moved or taken for another unit.
func TestFixMeasures(t *testing.T) {
	for wrong, want := range map[string]string{
		"10 mohmz": "10 mohmz", "1O mohm": "1O mohm", "10 Mohm": "10 Mohm", "10 nohm": "10 nohm", "1'0 mohm": "1'0 mohm",
		"10 MilliOhms": "10 mohm", "10 mohms": "10 mohm", "10 miliohm": "10 mohm", "10,0 mohm": "10.0 mohm",
	} {
		file, text := faulty(t, "trailer")
		is := bytes.Replace(text, []byte("holder_resistance: 10 mohm"), []byte("holder_resistance: "+wrong), 1)
		fixed := mended(t, file, is, checker.FixOptions{})
		if bytes.Equal(is, text) || !bytes.Contains(fixed.Text, []byte("holder_resistance: "+want+"\n")) {
			t.Errorf("%s: made %+v, left %+v", wrong, fixed.Made, fixed.Left)
		}
	}
}

// A document is said to be at a revision by who has brought it there, and by
// nobody unasked.
func TestFixRevisions(t *testing.T) {
	for _, tt := range []struct{ kit, paper string }{{"A", "B"}, {"B", "A"}, {"10", "9"}} {
		file, text := faulty(t, "trailer")
		text = bytes.ReplaceAll(text, []byte("revision: A"), []byte(`revision: "`+tt.kit+`"`))
		text = bytes.Replace(text, []byte(`WS-0311-S, revision: "`+tt.kit+`"`), []byte(`WS-0311-S, revision: "`+tt.paper+`"`), 1)
		fixed := mended(t, file, text, checker.FixOptions{})
		if len(fixed.Made) > 0 || len(fixed.Before[0].Findings) != 1 {
			t.Errorf("the kit at %s, a document at %s: made %+v, left %+v", tt.kit, tt.paper, fixed.Made, fixed.Left)
		}
		if asked := mended(t, file, text, checker.FixOptions{Rules: []string{"paperwork/document-revision"}}); len(asked.Made) != 1 {
			t.Errorf("asked for: made %+v, left %+v", asked.Made, asked.Left)
		}
	}
}

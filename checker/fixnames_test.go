package checker_test

import (
	"bytes"
	"testing"

	"kitgauge/checker"
)

// What refers to a thing whose row was lost is not hung on another that is in
// use; where it is the row that is misspelt, that is written right.
func TestFixNames(t *testing.T) {
	file, text := faulty(t, "gritter")
	lost := bytes.Replace(text, []byte("{id: rear-axle, name"), []byte("{id: spare-axle, name"), 1)
	if fixed := mended(t, file, lost, checker.FixOptions{}); !bytes.Equal(fixed.Text, lost) {
		t.Errorf("lost: made %+v", fixed.Made)
	}
	wrong := bytes.Replace(text, []byte("{id: knuckle-right, name"), []byte("{id: knuckle-rigth, name"), 1)
	if fixed := mended(t, file, wrong, checker.FixOptions{}); !bytes.Equal(fixed.Text, text) {
		t.Errorf("misspelt: made %+v, left %+v", fixed.Made, fixed.Left)
	}
	once := bytes.Replace(text, []byte("body: knuckle-right"), []byte("body: knuckle-rigth"), 1)
	if fixed := mended(t, file, once, checker.FixOptions{}); !bytes.Equal(fixed.Text, text) {
		t.Errorf("once: made %+v, left %+v", fixed.Made, fixed.Left)
	}
}

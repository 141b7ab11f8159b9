package visible_test

import (
	"testing"

	"kitgauge/checker/visible"
)

// The names are those of the Unicode Character Database, UnicodeData.txt; the
// look-alikes those of Unicode Technical Standard 39.
func TestPlain(t *testing.T) {
	for _, tt := range []struct{ text, plain, odd string }{
		{"FG-T4", "FG-T4", ""}, {"FG\u2013T4", "FG-T4", "U+2013 (en dash)"}, {"\u04101", "A1", "U+0410 (cyrillic capital letter a)"},
		{"dra\u200bft", "draft", "U+200B (zero width space)"}, {"a\u200db", "ab", "U+200D (zero width joiner)"}, {"\uff41", "a", "U+FF41 (fullwidth latin small letter a)"},
		{"L\x002", "L2", "U+0000 (null)"}, {"Schäkel", "Schäkel", ""}, {"\u041e\u0441\u044c", "Oc\u044c", ""},
	} {
		odd := ""
		if r, _, found := visible.Odd(tt.text); found {
			odd = visible.Named(r)
		}
		if got := visible.Plain(tt.text); odd != tt.odd || got != tt.plain {
			t.Errorf("%q: %q, %q", tt.text, got, odd)
		}
	}
}

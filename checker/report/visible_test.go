package report_test

import (
	"testing"
	"unicode"
	"unicode/utf8"

	"pgregory.net/rapid"

	"kitgauge/checker/internal/reporttest"
	"kitgauge/checker/report"
)

func TestVisible(t *testing.T) {
	tests := []struct{ name, text, want, source string }{
		{"ordinary text", "line 7, Schlauch für 北の車両 ½ in", "line 7, Schlauch für 北の車両 ½ in", "nothing to escape"},
		{"escape sequence", "a\x1b[2Jb", `a\x1b[2Jb`, "ECMA-48, 5.3 (CSI in its 7-bit form); printed"},
		{"8-bit introducer", "a\u009b2Jb", `a\u009b2Jb`, "ECMA-48, 5.3 (CSI in its 8-bit form); printed"},
		{"line ends", "a\r\nb", `a\r\nb`, "YAML 1.2.2, 5.7; printed"},
		{"tab", "a\tb", `a\tb`, "YAML 1.2.2, 5.7; printed"},
		{"delete", "a\x7f", `a\x7f`, "ECMA-48, 7.1; printed"},
		{"override of direction", "a\u202eb", `a\u202eb`, "UAX #9, 2.2 (RLO); printed"},
		{"isolate", "a\u2067b\u2069", `a\u2067b\u2069`, "UAX #9, 2.4 (RLI, PDI); printed"},
		{"line separator", "a\u2028b", `a\u2028b`, "Unicode, chapter 5.8; from memory"},
		{"byte order mark", "\ufeffa", `\ufeffa`, "YAML 1.2.2, 5.2; printed"},
		{"tag characters", "a\U000e0041", `a\U000e0041`, "Unicode block E0000; from memory"},
		{"not UTF-8", "a\xffb", `a\xffb`, "RFC 3629, 3 (FF never appears); printed"},
		{"replacement character itself", "a\ufffdb", "a\ufffdb", "is valid UTF-8"},
		{"joiner in a word", "می\u200cخواهم", "می\u200cخواهم", "Unicode, chapter 23.2 (Persian needs it); from memory"},
		{"letters without a shape", "a\u3164\u115f\u1160\uffa0b", `a\u3164\u115f\u1160\uffa0b`, "Unicode 15, DerivedCoreProperties.txt (Default_Ignorable_Code_Point); from memory"},
		{"marks without a shape", "a\u034f\ufe0f\U000e0100b", `a\u034f\ufe0f\U000e0100b`, "the same"},
		{"Braille pattern without a dot", "a\u2800b", `a\u2800b`, "Unicode block Braille Patterns; from memory"},
		{"backslash", `C:\kits`, `C:\kits`, "nothing to escape"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			if got := report.Visible(tt.text); got != tt.want {
				t.Errorf("got %q, want %q (%s)", got, tt.want, tt.source)
			}
		})
	}
}

// TestUnseenCovers holds the whole of the classes of Unicode that can do harm
// against the function: Cc (C0 and C1 of ECMA-48), Bidi_Control (UAX #9), and of
// the default ignorable ones (UAX #44) those that are not Cf.
func TestUnseenCovers(t *testing.T) {
	for r := rune(0); r <= unicode.MaxRune; r++ {
		harmful := unicode.In(r, unicode.Cc, unicode.Bidi_Control, unicode.Variation_Selector, unicode.Other_Default_Ignorable_Code_Point)
		if harmful && !report.Unseen(r) {
			t.Errorf("%U is let through", r)
		}
	}
}

func TestVisibleIsHarmless(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		harmless(t, report.Visible(rapid.String().Draw(t, "text")))
	})
	harmless(t, report.Visible(reporttest.HarmfulText))
}

func FuzzVisible(f *testing.F) {
	f.Add(reporttest.HarmfulText)
	f.Fuzz(func(t *testing.T, text string) { harmless(t, report.Visible(text)) })
}

type tester interface {
	Errorf(format string, args ...any)
}

func harmless(t tester, shown string) {
	if !utf8.ValidString(shown) {
		t.Errorf("%q is not UTF-8", shown)
	}
	for _, r := range shown {
		if unicode.Is(unicode.Cc, r) || unicode.Is(unicode.Bidi_Control, r) {
			t.Errorf("%q holds %U", shown, r)
		}
	}
	if again := report.Visible(shown); again != shown {
		t.Errorf("shown twice: got %q, want %q", again, shown)
	}
}

package webpage_test

import (
	"strings"
	"testing"

	"kitgauge/checker/report/webpage"
)

// TestCSSString: no text leaves its string (CSS Syntax 3, 4.3.5: a quote, a
// newline or a backslash would).
func TestCSSString(t *testing.T) {
	for _, text := range []string{`"}body{display:none}`, "a\nb", `\"`, "</style>", "ä\u202e"} {
		got := webpage.CSSString(text)
		inside := strings.TrimSuffix(strings.TrimPrefix(got, `"`), `"`)
		if len(got) != len(inside)+2 || strings.ContainsAny(inside, "\"\n<>{};") {
			t.Errorf("%q became %s", text, got)
		}
	}
	if got := webpage.CSSString("WS-1, a: 2"); got != `"WS-1, a: 2"` {
		t.Errorf("got %s", got)
	}
}

// TestPolicy: the digest is that of the style (the SHA-256 of nothing: FIPS
// 180-4, from memory).
func TestPolicy(t *testing.T) {
	if got := webpage.Policy(""); !strings.Contains(got, "sha256-47DEQpj8HBSa+/TImW+5JCeuQeRkm5NMpJWZG3hSuFU='") {
		t.Errorf("got %s", got)
	}
}

// Package webpage holds what pages need that are one file each: a policy that
// lets their own style sheet through and nothing else, and strings of CSS.
package webpage

import (
	"crypto/sha256"
	"encoding/base64"
	"fmt"
	"strings"

	"kitgauge/checker/report"
)

// Policy is the Content-Security-Policy of a page with one style element of
// this text, and without scripts, pictures or fonts (Content Security Policy 3).
func Policy(style string) string {
	sum := sha256.Sum256([]byte(style))
	return "default-src 'none'; style-src 'sha256-" + base64.StdEncoding.EncodeToString(sum[:]) + "'; base-uri 'none'; form-action 'none'"
}

// CSSString writes a text as a string of CSS: whatever is not a plain letter,
// digit or space stands as its number (CSS Syntax 3, 4.3.7).
func CSSString(text string) string {
	var b strings.Builder
	b.WriteByte('"')
	for _, r := range report.Visible(text) {
		if r < 0x80 && (r == ' ' || r == '-' || r == ',' || r == ':' || r >= '0' && r <= '9' || r >= 'A' && r <= 'Z' || r >= 'a' && r <= 'z') {
			b.WriteRune(r)
			continue
		}
		fmt.Fprintf(&b, `\%06x`, r)
	}
	b.WriteByte('"')
	return b.String()
}

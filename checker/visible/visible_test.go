package visible_test

import (
	"testing"

	"kitgauge/checker/visible"
)

// TestNoCommand: a runner of CI jobs takes a line for a command that begins with
// two colons behind white space, or that holds the older sign anywhere ("Workflow
// commands" in the manual of GitHub Actions; the older sign from memory).
func TestNoCommand(t *testing.T) {
	for _, tt := range []struct{ line, want string }{
		{"::error::x", `\x3a:error::x`},
		{" \t\u00a0::error::x\n", " \t\u00a0" + `\x3a:error::x` + "\n"},
		{"a ##[error]x ##[x", `a #\x23[error]x #\x23[x`},
		{"a ::error::x", "a ::error::x"},
		{":error", ":error"},
		{"", ""},
	} {
		got := visible.NoCommand(tt.line)
		if got != tt.want {
			t.Errorf("%q: got %q, want %q", tt.line, got, tt.want)
		}
		if again := visible.NoCommand(got); again != got {
			t.Errorf("%q: twice gives %q", tt.line, again)
		}
	}
	if got, want := visible.Harmless("\x1b[2J::a\n##[b"), `\x1b[2J::a\n#\x23[b`; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
}

package checker

import (
	"testing"
)

// TestEmptyFiles reads files that hold nothing: settings set nothing, and of the
// others it is said how one of their kind begins.
func TestEmptyFiles(t *testing.T) {
	for name, want := range map[string]string{
		"kitgauge.settings.yaml": "", "winter.parts.yaml": "a parts catalogue begins with parts:",
		"a.concessions.yaml": "a file of concessions begins with concessions:, or goes",
		"house.pack.yaml":    "a rule pack begins with pack: and its name",
	} {
		for _, text := range []string{"", "# nothing yet\n", "---\n"} {
			got := ""
			for _, p := range ByItself(name, []byte(text)) {
				got += p.Remedy
			}
			if got != want {
				t.Errorf("%s with %q: %q, want %q", name, text, got, want)
			}
		}
	}
}

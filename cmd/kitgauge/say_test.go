package main

import (
	"os"
	"path/filepath"
	"regexp"
	"testing"
)

// TestMessagesAreSaid: nothing but the prompt for a passphrase writes to standard
// error by itself (a list of what changed is given the stream): a line break that a
// message quotes would begin a line of its own.
func TestMessagesAreSaid(t *testing.T) {
	own := map[string]int{"sign.go": 2} // the prompt, and the end of its line
	raw := regexp.MustCompile(`(?:Fprint\w*\(|WriteString\()(?:s|i)\.(?:Err|err)\b|os\.Stderr`)
	list, err := filepath.Glob("command/*.go")
	if err != nil || len(list) == 0 {
		t.Fatal(list, err)
	}
	for _, file := range list {
		text, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		if n := len(raw.FindAll(text, -1)); n != own[filepath.Base(file)] {
			t.Errorf("%s writes to standard error %d times by itself, want %d: use say", file, n, own[filepath.Base(file)])
		}
	}
}

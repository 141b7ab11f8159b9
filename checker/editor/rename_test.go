package editor_test

import (
	"strings"
	"testing"

	"go.yaml.in/yaml/v4"

	"kitgauge/checker/editor"
)

// A name that YAML reads as something else than a text is written in quotes,
// between brackets and on a line of its own. Whether it is one is told by the
// YAML library; yes, no, on and off are true and false in YAML 1.1
// (https://yaml.org/type/bool.html).
func TestRenameToWords(t *testing.T) {
	for _, text := range []string{
		"bodies:\n  - {id: axle}\npoints:\n  - {id: P, body: axle}\n",
		"bodies:\n  - id: axle\npoints:\n  - id: P\n    body: axle\n",
		"{\"bodies\": [{\"id\": \"axle\"}],\n \"points\": [{\"id\": \"P\", \"body\": \"axle\"}]}\n",
	} {
		for _, name := range []string{"true", "False", "null", "Null", "~", "yes", "No", "on", "OFF", "y", "?", "? a", "?a", "-", "- a", "a: b", "a #b", "1e3", "0x1F", ".inf", "[", "}", "&a", "*a", "!a", "%", "@", "'", "\"", "a, b"} {
			v := editor.Open("k.kit.yaml", []byte(text), shelf{}, editor.Options{})
			changes, err := v.Rename(strings.LastIndex(text, "axle")+1, name)
			if err != nil {
				t.Errorf("%q: %v", name, err)
				continue
			}
			out, at := "", 0
			for _, c := range changes {
				out += text[at:c.From] + c.With
				at = c.To
			}
			out += text[at:]
			var kit struct {
				Bodies []struct{ ID any }
				Points []struct{ Body any }
			}
			if err := yaml.Unmarshal([]byte(out), &kit); err != nil {
				t.Errorf("%q: %v in\n%s", name, err, out)
				continue
			}
			if kit.Bodies[0].ID != name || kit.Points[0].Body != name {
				t.Errorf("%q is read as %v and %v in\n%s", name, kit.Bodies[0].ID, kit.Points[0].Body, out)
			}
			switch strings.ToLower(name) {
			case "true", "null", "yes", "no", "on", "off", "y", "?":
				if !strings.ContainsAny(out, `"'`) {
					t.Errorf("%q stands without quotes in\n%s", name, out)
				}
			}
		}
	}
}

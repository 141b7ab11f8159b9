package rules_test

import (
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"kitgauge/rules"
)

// The program can be built without what is made from the packs.
func TestBuiltWithoutCompiled(t *testing.T) {
	here, err := filepath.Abs("compiled.bin")
	if err != nil {
		t.Fatal(err)
	}
	overlay := filepath.Join(t.TempDir(), "overlay.json")
	text, _ := json.Marshal(map[string]map[string]string{"Replace": {here: ""}})
	if err := os.WriteFile(overlay, text, 0o600); err != nil {
		t.Fatal(err)
	}
	for _, args := range [][]string{{"list", "-overlay", overlay, "-f", "{{.EmbedFiles}}", "."}, {"build", "-overlay", overlay, "."}} {
		out, err := exec.Command("go", args...).CombinedOutput()
		if err != nil || strings.Contains(string(out), "compiled.bin") {
			t.Errorf("go %s: %v: %s", args[0], err, out)
		}
	}
}

func TestNames(t *testing.T) {
	for _, name := range rules.Names() {
		if file, text, found := rules.Pack(name); !found || len(text) == 0 || file != "rules/"+name+".yaml" {
			t.Errorf("%s: got %s, %d bytes, %t", name, file, len(text), found)
		}
	}
}

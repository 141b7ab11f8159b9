package source_test

import (
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"kitgauge/checker/source"
)

// No file that can be read holds anything that does not fit.
func TestGrammarTakesWhatIsRead(t *testing.T) {
	n := 0
	err := filepath.WalkDir("../..", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(name, ".yaml") && !strings.HasSuffix(name, ".yml") && !strings.HasSuffix(name, ".json") {
			return err
		}
		text, err := os.ReadFile(name)
		if err != nil {
			return err
		}
		if _, problems := source.ParseYAML(name, 1, text); len(problems) > 0 {
			return nil
		}
		n++
		if why := source.Breach(string(text)); why != "" {
			t.Errorf("%s: %s", name, why)
		}
		return nil
	})
	if err != nil || n < 50 {
		t.Errorf("%d files, %v", n, err)
	}
}

// BenchmarkSlip reads a kit in which a bracket is lost.
func BenchmarkSlip(b *testing.B) {
	text, err := os.ReadFile("../../examples/gritter/gritter.kit.yaml")
	if err != nil {
		b.Fatal(err)
	}
	b.Run("whole", func(b *testing.B) {
		for b.Loop() {
			source.Parse("kit.yaml", text)
		}
	})
	torn := []byte(strings.Replace(string(text), "3100 mm]}", "3100 mm]", 1))
	b.Run("torn", func(b *testing.B) {
		for b.Loop() {
			source.Parse("kit.yaml", torn)
		}
	})
}

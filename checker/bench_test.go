package checker_test

import (
	"bytes"
	"io"
	"testing"

	"go.yaml.in/yaml/v4"

	"kitgauge/checker"
	"kitgauge/checker/source"
	"kitgauge/examples"
)

// BenchmarkCheck compares the check of a kit whose packs and catalogue have
// been read (warm) with the floor: the same text only parsed to YAML nodes.
func BenchmarkCheck(b *testing.B) {
	for _, name := range []string{"trailer", "gritter"} {
		file, text, _ := examples.Kit(name)
		b.Run(name+"/floor", func(b *testing.B) {
			for b.Loop() {
				parseOnly(b, text)
			}
		})
		b.Run(name+"/source", func(b *testing.B) {
			for b.Loop() {
				source.Parse(file, text)
			}
		})
		b.Run(name+"/check", func(b *testing.B) {
			c := checker.New(checker.Options{ReadFile: examples.ReadFile})
			if _, err := c.Check(file, text); err != nil {
				b.Fatal(err)
			}
			b.ReportAllocs()
			for b.Loop() {
				if _, err := c.Check(file, text); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func parseOnly(b *testing.B, text []byte) {
	loader, err := yaml.NewLoader(bytes.NewReader(text))
	if err != nil {
		b.Fatal(err)
	}
	for {
		var root yaml.Node
		if err := loader.Load(&root); err == io.EOF {
			return
		} else if err != nil {
			b.Fatal(err)
		}
	}
}

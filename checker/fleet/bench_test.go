package fleet_test

import (
	"bytes"
	"fmt"
	"io"
	"testing"

	"go.yaml.in/yaml/v4"

	"kitgauge/checker"
	"kitgauge/checker/fleet"
)

// The check of a kit whose packs and catalogue have been read (warm), beside
// its floor: the same text only parsed to YAML nodes.

func BenchmarkCheck24(b *testing.B) { benchmarkCheck(b, 24) }

func BenchmarkCheck84(b *testing.B) { benchmarkCheck(b, 84) }

func BenchmarkCheck2000(b *testing.B) { benchmarkCheck(b, fleet.MostPoints) }

func benchmarkCheck(b *testing.B, points int) {
	text := generate(b, 1, points).YAML()
	b.Run("floor", func(b *testing.B) {
		b.SetBytes(int64(len(text)))
		b.ReportAllocs()
		for b.Loop() {
			parseOnly(b, text)
		}
	})
	b.Run("check", func(b *testing.B) {
		c := checker.New(checker.Options{ReadFile: fleet.ReadFile})
		check(b, c, "fleet.kit.yaml", text)
		b.SetBytes(int64(len(text)))
		b.ReportAllocs()
		for b.Loop() {
			check(b, c, "fleet.kit.yaml", text)
		}
	})
}

func BenchmarkNew(b *testing.B) {
	for _, points := range []int{24, 84, fleet.MostPoints} {
		b.Run(fmt.Sprint(points), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				generate(b, 1, points).YAML()
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

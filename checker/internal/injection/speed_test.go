package injection_test

import (
	"bytes"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"go.yaml.in/yaml/v4"

	"kitgauge/checker"
	"kitgauge/checker/internal/fleet"
	"kitgauge/checker/npmtest"
	"kitgauge/rules"
	"kitgauge/schema"
)

// What a check costs, beside its floor: the same text parsed to YAML nodes,
// and nothing more. Each benchmark reports the median of its runs.
//
//	go test ./checker/internal/injection -run XXX -bench Speed
//
// TestSpeedTables runs them, and prints what they give.
func BenchmarkSpeed(b *testing.B) {
	for _, s := range speeds() {
		b.Run(s.name, s.run)
	}
}

// speed is one benchmark.
type speed struct {
	name string
	run  func(b *testing.B)
}

func speeds() []speed {
	list := []speed{
		{"process/parse", func(b *testing.B) { process(b, build(b, "./testdata/parseonly"), largeKit) }},
		{"process/check", func(b *testing.B) { process(b, build(b, "kitgauge/cmd/kitgauge"), "check", largeKit) }},
		{"process/shape", func(b *testing.B) { process(b, "node", shapeOnly(b, generate(b, farthest))...) }},
	}
	for _, n := range lineCounts {
		list = append(list,
			speed{fmt.Sprintf("%d lines/parse", n), func(b *testing.B) {
				text := generate(b, n).YAML()
				timed(b, func() { parseOnly(b, text) })
			}},
			speed{fmt.Sprintf("%d lines/check", n), func(b *testing.B) { warm(b, checker.Options{NoSettings: true}, n) }},
			speed{fmt.Sprintf("%d lines/shape", n), func(b *testing.B) { warmShape(b, n) }},
		)
	}
	for _, n := range ruleCounts {
		list = append(list,
			speed{fmt.Sprintf("%d rules/first", n), func(b *testing.B) {
				options := checker.Options{ReadFile: readFile, Settings: ownRules(b, n)}
				text := generate(b, farthest).YAML()
				timed(b, func() { checkClean(b, checker.New(options), text) })
			}},
			speed{fmt.Sprintf("%d rules/warm", n), func(b *testing.B) { warm(b, checker.Options{Settings: ownRules(b, n)}, farthest) }},
		)
	}
	return append(list, speed{"stream/parse", streamParse}, speed{"stream/check", streamCheck})
}

// largeKit is the kit of 84 points, with its catalogue beside it.
const largeKit = "../../../testdata/kits/large.kit.yaml"

// lineCounts are the sizes over which growth is shown.
var lineCounts = []int{24, 84, 500, fleet.MostPoints}

// ruleCounts are the numbers of rules over which growth is shown.
var ruleCounts = []int{100, 1000}

// timed runs f as often as the benchmark asks, and reports the median.
func timed(b *testing.B, f func()) {
	var took []time.Duration
	b.ReportAllocs()
	for b.Loop() {
		start := time.Now()
		f()
		took = append(took, time.Since(start))
	}
	slices.Sort(took)
	b.ReportMetric(float64(took[len(took)/2])/1e6, "median-ms")
}

// build builds a command for a benchmark.
func build(b *testing.B, pkg string) string {
	b.Helper()
	program := filepath.Join(b.TempDir(), filepath.Base(pkg))
	if out, err := exec.Command("go", "build", "-o", program, pkg).CombinedOutput(); err != nil {
		b.Fatalf("%v\n%s", err, out)
	}
	return program
}

// process runs a program and reports the most memory that a run of it held.
func process(b *testing.B, program string, args ...string) {
	var most int64
	timed(b, func() {
		c := exec.Command(program, args...)
		if out, err := c.CombinedOutput(); err != nil {
			b.Fatalf("%s: %v\n%s", program, err, out)
		}
		if used, ok := c.ProcessState.SysUsage().(*syscall.Rusage); ok {
			most = max(most, used.Maxrss)
		}
	})
	b.ReportMetric(float64(most)/1024, "peak-MiB") // Maxrss is in KiB on Linux
}

// shapeOnly are the arguments with which node runs a general validator of JSON
// Schema over a kit, as JSON, and the kit's schema.
func shapeOnly(b *testing.B, k *fleet.Kit) []string {
	b.Helper()
	script := filepath.Join(npmtest.Install(b, filepath.FromSlash("../../../testdata/schema/second")), "shape.cjs")
	text, _ := schema.Text("kit")
	dir := b.TempDir()
	return []string{script, writeFile(b, dir, "schema.json", text), writeFile(b, dir, "kit.json", k.JSON())}
}

// warmShape takes over the time that the validator needs for the text of a
// kit once it runs; it takes it itself, over a second.
func warmShape(b *testing.B, lines int) {
	arguments := append(shapeOnly(b, generate(b, lines)), "1")
	for b.Loop() {
		out, err := exec.Command("node", arguments...).Output()
		ms, numeric := strconv.ParseFloat(strings.TrimSpace(string(out)), 64)
		if err != nil || numeric != nil {
			b.Fatal(err, numeric)
		}
		b.ReportMetric(ms, "median-ms")
	}
}

func writeFile(b *testing.B, dir, name string, text []byte) (file string) {
	b.Helper()
	file = filepath.Join(dir, name)
	if err := os.WriteFile(file, text, 0o666); err != nil {
		b.Fatal(err)
	}
	return file
}

func generate(b *testing.B, points int) *fleet.Kit {
	b.Helper()
	k, err := fleet.New(1, points, fleet.Options{})
	if err != nil {
		b.Fatal(err)
	}
	return k
}

// warm checks a kit with packs and catalogue read and rules compiled.
func warm(b *testing.B, o checker.Options, lines int) {
	o.ReadFile = readFile
	c, text := checker.New(o), generate(b, lines).YAML()
	checkClean(b, c, text)
	timed(b, func() { checkClean(b, c, text) })
}

// parseOnly is the floor.
func parseOnly(b *testing.B, text []byte) {
	loader, err := yaml.NewLoader(bytes.NewReader(text))
	for err == nil {
		err = loader.Load(new(yaml.Node))
	}
	if err != io.EOF {
		b.Fatal(err)
	}
}

// checkClean checks a kit in which there is nothing to find, but that it may be
// larger than kits of the trade.
func checkClean(b *testing.B, c *checker.Checker, text []byte) {
	results, err := c.Check("fleet.kit.yaml", text)
	if err != nil || len(results) != 1 {
		b.Fatalf("%v, %d results", err, len(results))
	}
	for _, f := range results[0].Findings {
		if !strings.HasSuffix(f.Rule, "/kit-size") {
			b.Fatalf("%s: %s", f.Rule, f.Message)
		}
	}
}

// ownRules writes packs with n rules between them: those of the built-in
// packs, again and again under other names, and settings that put them in the
// place of the built-in ones.
func ownRules(b *testing.B, n int) (settings string) {
	b.Helper()
	dir := b.TempDir()
	var added []string
	for i := 0; n > 0; i++ {
		name := rules.Names()[i%len(rules.Names())]
		_, text, _ := rules.Pack(name)
		parts := strings.Split(string(text), "\n  - id: ")
		parts = parts[:min(len(parts), n+1)]
		n -= len(parts) - 1
		own := fmt.Sprintf("%s-%d", name, i)
		pack := strings.Replace(strings.Join(parts, "\n  - id: "), "pack: "+name, "pack: "+own, 1) + "\n"
		writeFile(b, dir, own+".pack.yaml", []byte(pack))
		added = append(added, own+".pack.yaml")
	}
	return writeFile(b, dir, "kitgauge.settings.yaml", fmt.Appendf(nil, "packs:\n  leave_out: [%s]\n  add: [%s]\n",
		strings.Join(rules.Names(), ", "), strings.Join(added, ", ")))
}

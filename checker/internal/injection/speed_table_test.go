package injection_test

import (
	"flag"
	"fmt"
	"math"
	"runtime"
	"strings"
	"testing"

	"kitgauge/checker/internal/fleet"
)

var measure = flag.Bool("speed", false, "run every benchmark of speed")

// measured are the figures of every benchmark, by its name and their unit.
type measured map[string]map[string]float64

func (m measured) ms(name string) float64 { return m[name]["median-ms"] }

// TestSpeedTables runs the benchmarks. Nothing else may run on the machine.
func TestSpeedTables(t *testing.T) {
	if !*measure {
		t.Skip("takes minutes, and the whole machine: -speed")
	}
	m := measured{}
	for _, s := range speeds() {
		r := testing.Benchmark(s.run)
		if r.N == 0 {
			t.Fatalf("%s failed; go test ./checker/internal/injection -run XXX -bench 'Speed/%s' says why", s.name, strings.ReplaceAll(s.name, " ", "_"))
		}
		m[s.name] = r.Extra
		t.Log(s.name, r.Extra)
	}
	write(t, speedPage, m.table())
}

func (m measured) table() string {
	var b strings.Builder
	fmt.Fprintf(&b, "%d cores, %s %s/%s; median times.\n\n", runtime.GOMAXPROCS(0), runtime.Version(), runtime.GOOS, runtime.GOARCH)
	b.WriteString("| a process of its own, 84 lines | time | beside the floor | peak memory |\n| --- | ---: | ---: | ---: |\n")
	for _, row := range []struct{ what, name string }{
		{"floor: parses the file and ends", "process/parse"},
		{"`kitgauge check`, all packs", "process/check"},
		{"shape only: ajv in node, of the kit as JSON", "process/shape"},
	} {
		fmt.Fprintf(&b, "| %s | %s | %.1f | %.0f MiB |\n", row.what, milliseconds(m.ms(row.name)), m.ms(row.name)/m.ms("process/parse"), m[row.name]["peak-MiB"])
	}
	b.WriteString("\n| warm, lines | floor: parsed | check | beside the floor | growth of a check over n log n | shape only: ajv, of JSON |\n| ---: | ---: | ---: | ---: | ---: | ---: |\n")
	for _, n := range lineCounts {
		of := func(what string) float64 { return m.ms(fmt.Sprintf("%d lines/%s", n, what)) }
		first := float64(lineCounts[0])
		grown := of("check") / m.ms(fmt.Sprintf("%d lines/check", lineCounts[0]))
		grown /= float64(n) * math.Log(float64(n)) / (first * math.Log(first))
		fmt.Fprintf(&b, "| %d | %s | %s | %.1f | %.2f | %s |\n", n, milliseconds(of("parse")), milliseconds(of("check")), of("check")/of("parse"), grown, milliseconds(of("shape")))
	}
	fmt.Fprintf(&b, "\n| rules of one's own, %d lines | first check: packs read and compiled | warm | growth over n |\n| ---: | ---: | ---: | ---: |\n", farthest)
	for _, n := range ruleCounts {
		of := func(n int, what string) float64 { return m.ms(fmt.Sprintf("%d rules/%s", n, what)) }
		grown := of(n, "first") / of(ruleCounts[0], "first") / (float64(n) / float64(ruleCounts[0]))
		fmt.Fprintf(&b, "| %d | %s | %s | %.2f |\n", n, milliseconds(of(n, "first")), milliseconds(of(n, "warm")), grown)
	}
	fmt.Fprintf(&b, "\n| stream of %d kits of 4 to 47 lines, as JSON | kits a second | peak memory |\n| --- | ---: | ---: |\n", *fleetSize)
	for _, row := range []struct{ what, name string }{{"floor: parsed", "stream/parse"}, {"checked, all packs", "stream/check"}} {
		fmt.Fprintf(&b, "| %s | %.0f | %.0f MiB |\n", row.what, m[row.name]["kits/s"], m[row.name]["peak-MiB"])
	}
	return b.String()
}

func milliseconds(ms float64) string {
	if ms < 10 {
		return fmt.Sprintf("%.1f ms", ms)
	}
	return fmt.Sprintf("%.0f ms", ms)
}

// TestSpeedTable holds the page to the sizes that are measured.
func TestSpeedTable(t *testing.T) {
	_, body, _ := section(t, speedPage)
	for _, n := range append(append([]int{}, lineCounts...), ruleCounts...) {
		if !strings.Contains(body, fmt.Sprintf("\n| %d | ", n)) {
			t.Errorf("no table of %s has a row of %d; the page says how it is written", speedPage, n)
		}
	}
	if n := fleet.MostPoints; lineCounts[len(lineCounts)-1] != n {
		t.Errorf("the largest kit that is measured has %d lines, want %d", lineCounts[len(lineCounts)-1], n)
	}
}

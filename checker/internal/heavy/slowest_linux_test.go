package heavy_test

import (
	"bytes"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"syscall"
	"testing"

	"kitgauge/checker/golden"
	"kitgauge/checker/internal/heavy"
	"kitgauge/checker/source"
	"kitgauge/examples"
)

var measure = flag.Bool("slowest", false, "measure the inputs that take the longest")

const (
	page                       = "../../../testdata/measured/slowest.md"
	measuredFrom, measuredTo   = "<!-- measured -->", "<!-- end of what is measured -->"
	mostSeconds, mostMegabytes = 10, 1024
)

// slow is an input with the command that it is hard for.
type slow struct {
	what, command string
	before        string // CPU s and peak memory at revision 0a33ad5
	files         func() map[string][]byte
}

var large = heavy.Shape{Lines: 2000, Bundles: 500, Stations: 40, Joints: 16, Zones: 1000}

func kit(s heavy.Shape) func() map[string][]byte {
	return func() map[string][]byte { return map[string][]byte{"a.kit.yaml": heavy.Kit(s)} }
}

func two() map[string][]byte {
	other := large
	other.Longer = 3
	return map[string][]byte{"a.kit.yaml": heavy.Kit(large), "b.kit.yaml": heavy.Kit(other)}
}

func text(b func() []byte) func() map[string][]byte {
	return func() map[string][]byte { return map[string][]byte{"a.kit.yaml": b()} }
}

func asJSON() map[string][]byte {
	docs, _ := source.Parse("a", heavy.Kit(heavy.Shape{Lines: 2000, Bundles: 40, Stations: 500, Joints: 16}))
	return map[string][]byte{"a.kit.json": heavy.OneLine(docs[0].Root.JSON())}
}

func packs(n, rules int, must, says string) func() map[string][]byte {
	return func() map[string][]byte {
		files := map[string][]byte{"a.kit.yaml": heavy.Kit(heavy.Shape{Lines: 2000, Bundles: 1, Stations: 500, Joints: 16})}
		var names []string
		for i := range n {
			names = append(names, fmt.Sprintf("p%d", i))
			files[names[i]+".pack.yaml"] = heavy.Pack(names[i], rules, must, says)
		}
		files["kitgauge.settings.yaml"] = heavy.Settings(names...)
		return files
	}
}

const b300 = "340 lines, 300 bundles of 60 stations"

// slowest are the dearest inputs that are known for each command.
var slowest = []slow{
	{"2000 lines, 500 bundles of 40 stations, 16 joints, 1000 zones", "check a.kit.yaml", "33 s, 1161 MB", kit(large)},
	{"the same", "dossier a.kit.yaml", "512 s, 1550 MB (a lighter one of the size)", kit(large)},
	{"the same, and another", "compare a.kit.yaml b.kit.yaml", "13 s, 655 MB (the lighter one)", two},
	{"the same two", "dossier --against b.kit.yaml a.kit.yaml", "not measured", two},
	{"the same", "sheets --out a.xlsx a.kit.yaml", "5 s, 332 MB (the lighter one)", kit(large)},
	{"the same", "known a.kit.yaml", "not measured", kit(large)},
	{b300, "draw a.kit.yaml", "16 s, 449 MB", kit(heavy.Shape{Lines: 340, Bundles: 300, Stations: 60, Joints: 16})},
	{"no joints, 1000 zones", "check a.kit.yaml", "9.1 s, 1869 MB", kit(heavy.Shape{Lines: 2000, Bundles: 1, Stations: 500, Zones: 1000})},
	{"40 bundles of 500 stations, on one line of JSON", "check a.kit.json", "56 s, 1490 MB", asJSON},
	{"the same", "check --report sarif a.kit.json", "62 s, 498 MB", asJSON},
	{"1.9 million numbers on one line of JSON", "check a.kit.yaml", "147 s, 23,651 MB, killed", text(func() []byte { return heavy.Numbers(1_900_000, true) })},
	{"490,000 numbers on one line of JSON", "check a.kit.yaml", "not measured", text(func() []byte { return heavy.Numbers(490_000, true) })},
	{"490,000 numbers on one line of YAML", "check a.kit.yaml", "13 s, 2300 MB (a million)", text(func() []byte { return heavy.Numbers(490_000, false) })},
	{"15 MB of escapes", "check a.kit.yaml", "23 s, 361 MB (59 MB)", text(func() []byte { return heavy.Escapes(15 << 20) })},
	{"250 keys of 60 KB", "check a.kit.yaml", "11 s, 221 MB", text(func() []byte { return heavy.Keys(250, 60_000) })},
	{"15 MB of remarks", "check a.kit.yaml", "not measured", text(func() []byte { return heavy.Remarks(15 << 20) })},
	{"a rule that joins ten texts, nine times over", "check a.kit.yaml", "out of memory at 13,373 MB", packs(1, 1, "kit.lines.size() < 0 || "+heavy.Tens(9)+".size() < 5", "s")},
	{"a rule whose message is long", "check a.kit.yaml", "152 s, 17,400 MB", packs(1, 1, "false", "{"+heavy.Tens(3)+"}")},
	{"100 packs, each with one rule of all lines over all lines", "check a.kit.yaml", "162 s, 1570 MB, given up", packs(100, 1, "kit.lines.all(a, kit.lines.all(b, b.number > 0))", "s")},
	{"18,000 rules that say no more than false", "check a.kit.yaml", "not measured", packs(9, 1990, "false", "s")},
}

// TestSlowest holds every command to its target with the inputs that are
// hardest for it, and writes the page. Nothing else may run on the machine.
func TestSlowest(t *testing.T) {
	if !*measure {
		t.Skip("takes minutes, and the whole machine: -slowest")
	}
	program := filepath.Join(t.TempDir(), "kitgauge")
	if out, err := exec.Command("go", "build", "-o", program, "kitgauge/cmd/kitgauge").CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	var b strings.Builder
	fmt.Fprintf(&b, "%s %s/%s.\n\n| input | command | before | CPU s | peak MB | written MB |\n| --- | --- | --- | ---: | ---: | ---: |\n", runtime.Version(), runtime.GOOS, runtime.GOARCH)
	for _, s := range slowest {
		seconds, megabytes, written := run(t, program, s)
		line := fmt.Sprintf("| %s | `%s` | %s | %.1f | %d | %.1f |\n", s.what, s.command, s.before, seconds, megabytes, written)
		t.Log(line)
		b.WriteString(line)
		if seconds > mostSeconds || megabytes > mostMegabytes {
			t.Errorf("%s, %s: %.1f CPU s and %d MB; at most %d and %d", s.what, s.command, seconds, megabytes, mostSeconds, mostMegabytes)
		}
	}
	if golden.Updating() {
		write(t, b.String())
	}
}

// run measures one of them, by what the system counted for the process.
func run(t *testing.T, program string, s slow) (seconds float64, megabytes int64, written float64) {
	t.Helper()
	dir := t.TempDir()
	catalogue, err := examples.ReadFile("", "parts/winter.parts.yaml")
	if err != nil {
		t.Fatal(err)
	}
	files := s.files()
	files["winter.parts.yaml"] = catalogue
	for name, text := range files {
		if err := os.WriteFile(filepath.Join(dir, name), text, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	c := exec.Command(program, strings.Fields(s.command)...)
	c.Dir = dir
	var out bytes.Buffer
	c.Stdout = &out
	_ = c.Run() // findings are no fault
	state := c.ProcessState
	usage := state.SysUsage().(*syscall.Rusage)
	return (state.UserTime() + state.SystemTime()).Seconds(), usage.Maxrss >> 10, float64(out.Len()) / 1e6
}

func write(t *testing.T, table string) {
	t.Helper()
	text, err := os.ReadFile(page)
	if err != nil {
		t.Fatal(err)
	}
	head, rest, _ := strings.Cut(string(text), measuredFrom)
	_, tail, found := strings.Cut(rest, measuredTo)
	if !found {
		t.Fatalf("%s has no place for what is measured", page)
	}
	if err := os.WriteFile(page, []byte(head+measuredFrom+"\n"+table+measuredTo+tail), 0o644); err != nil {
		t.Fatal(err)
	}
}

// TestSlowestTable holds the page to what is measured.
func TestSlowestTable(t *testing.T) {
	text, err := os.ReadFile(page)
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range slowest {
		if row := fmt.Sprintf("| %s | `%s` | %s | ", s.what, s.command, s.before); !strings.Contains(string(text), row) {
			t.Errorf("the page has no row %q; it says how it is written", row)
		}
	}
}

// Small ones of each kind are kits in which the check finds what they are made
// for: many free spans, and every line.
func TestKits(t *testing.T) {
	docs, problems := source.Parse("a.kit.yaml", heavy.Kit(heavy.Shape{Lines: 4, Bundles: 2, Stations: 3, Joints: 2, Zones: 2}))
	if len(problems) > 0 {
		t.Fatal(problems[0])
	}
	root := docs[0].Root
	for key, want := range map[string]int{"lines": 4, "bundles": 2, "joints": 2, "zones": 2, "bodies": 3} {
		if got := len(root.Get(key).Items); got != want {
			t.Errorf("%d %s, want %d", got, key, want)
		}
	}
}

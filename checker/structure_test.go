package checker_test

import (
	"bytes"
	"cmp"
	"encoding/json"
	"fmt"
	"regexp"
	"slices"
	"strings"
	"testing"

	"kitgauge/checker"
	"kitgauge/checker/finding"
	"kitgauge/checker/report"
	"kitgauge/checker/source"
	"kitgauge/examples"
	"kitgauge/schema"
)

// standing are the findings of a kit that follow from no other.
func standing(t *testing.T, c *checker.Checker, file, text string) []finding.Finding {
	t.Helper()
	results, err := c.Check(file, []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	var list []finding.Finding
	for _, r := range results {
		for _, f := range report.Standing(r.Findings, finding.Violated) {
			if f.Follows == "" {
				list = append(list, f)
			}
		}
	}
	return list
}

func plainChecker() *checker.Checker {
	return checker.New(checker.Options{NoSettings: true, On: "2026-11-25", ReadFile: examples.ReadFile})
}

// lineOf is the number of the first line that holds a piece of a text.
func lineOf(t *testing.T, text, piece string) int {
	t.Helper()
	at := strings.Index(text, piece)
	if at < 0 {
		t.Fatalf("the text has no %q", piece)
	}
	return 1 + strings.Count(text[:at], "\n")
}

var sectionLine = regexp.MustCompile(`(?m)^([a-z_]+):`)

// sections gives the sections of a kit as they are written: where each begins and
// ends.
func sections(text string) [][3]int {
	marks := sectionLine.FindAllStringIndex(text, -1)
	list := make([][3]int, len(marks))
	for i, m := range marks {
		end := len(text)
		if i+1 < len(marks) {
			end = marks[i+1][0]
		}
		list[i] = [3]int{m[0], m[1], end}
	}
	return list
}

var lineStart = regexp.MustCompile(`(?m)^(.)`)

// A section of an example moved in, alone or with all that it holds, by spaces,
// by a tab or by a blank that only looks like one, or what it holds moved out: one
// finding, at most two lines off, or the same kit as before. Of all examples with
// -full.
func TestSectionsMoved(t *testing.T) {
	c := plainChecker()
	names := examples.Names()
	if !*full {
		names = []string{"trailer"}
	}
	for _, name := range names {
		file, text, _ := examples.Kit(name)
		kit := string(text)
		for i, s := range sections(kit) {
			head, section, tail := kit[:s[0]], kit[s[0]:s[2]], kit[s[2]:]
			first := s[1] - s[0]
			for kind, moved := range map[string]string{
				"key in":                     "  " + section,
				"all in":                     lineStart.ReplaceAllString(section, "  $1"),
				"key in by tab":              "\t" + section,
				"key in by a no-break space": "\u00a0" + section,
				"all out":                    section[:first] + strings.ReplaceAll(section[first:], "\n  ", "\n"),
			} {
				text := head + moved + tail
				line := 1 + strings.Count(head, "\n")
				found := standing(t, c, file, text)
				if kind == "all out" && len(found) == 0 && moved == strings.ReplaceAll(section, "\n  ", "\n") {
					continue // a list may stand as far out as its key
				}
				if i == 0 && strings.HasSuffix(kind, "in") && len(found) > 1 {
					t.Errorf("%s: the first section %s: %v", name, kind, found)
				}
				if len(found) != 1 || max(found[0].Pos.Line-line, line-found[0].Pos.Line) > 2 {
					t.Errorf("%s, line %d, %q %s: %d findings, %s", name, line, section[:first], kind, len(found), briefs(found))
					continue
				}
				if with, could := obey(text, found[0].Pos.Line, found[0].Pos.Column, found[0].Remedy); !could || len(standing(t, c, file, with)) >= 1 && kind == "key in" && i > 0 {
					t.Errorf("%s, line %d, %q %s: the remedy clears nothing: %s", name, line, section[:first], kind, briefs(found))
				}
			}
		}
	}
}

func briefs(list []finding.Finding) string {
	if len(list) == 0 {
		return "none"
	}
	return brief(&list[0])
}

// Slips of pasting and of keyboards, names and keys given twice: each is one
// finding at the place, and what it says is plain.
func TestPastedSlips(t *testing.T) {
	const (
		quiet = "" // nothing is told
		point = `{id: A2, name: "Brake camshaft, left"`
	)
	c := plainChecker()
	file, text, _ := examples.Kit("trailer")
	for _, tt := range []struct {
		name, old, with string
		at              string // what stands on the line of the finding
		says            string
	}{
		{"no-break space in an indentation", "  filler_side: left", "\u00a0 filler_side: left", "filler_side", "a no-break space (U+00A0)"},
		{"no-break space behind a colon", "filler_side: left", "filler_side:\u00a0left", "filler_side", "a no-break space (U+00A0)"},
		{"no-break space behind a value", "filler_side: left", "filler_side: left\u00a0", "filler_side", "a no-break space (U+00A0)"},
		{"no-break space before a key between braces", "{id: axle, name", "{id: axle,\u00a0name", "id: axle,", "a no-break space (U+00A0)"},
		{"no-break space before a unit", "745 mm", "745\u00a0mm", "", quiet},
		{"ideographic space", "  filler_side: left", "\u3000filler_side: left", "filler_side", "an ideographic space (U+3000)"},
		{"zero-width space", "filler_side: left", "filler_side\u200b: left", "filler_side", "a zero-width space (U+200B)"},
		{"mark within the file", "\nlines:", "\n\ufefflines:", "lines:", "a byte order mark (U+FEFF)"},
		{"typographic quotes", `"Spring pin, left", body`, "“Spring pin, left”, body", "{id: A1", "a typographic quote (U+201C)"},
		{"low typographic quotes", `"Spring pin, left", body`, "„Spring pin, left“, body", "{id: A1", "a typographic quote (U+201E)"},
		{"one typographic quote", `"Spring pin, left", body`, `"Spring pin, left”, body`, "{id: A1", "a typographic quote (U+201D)"},
		{"full-width colon", "filler_side: left", "filler_side：left", "filler_side", "a full-width colon (U+FF1A)"},
		{"full-width comma", "{id: axle, name", "{id: axle，name", "{id: axle", "a full-width comma (U+FF0C)"},
		{"full-width comma in a list", "[900 mm, 550 mm", "[900 mm，550 mm", "[900 mm", "a full-width comma (U+FF0C)"},
		{"full-width brackets", "[900 mm, 550 mm, 800 mm]", "［900 mm, 550 mm, 800 mm］", "900 mm, 550", "a full-width bracket (U+FF3B)"},
		{"dash of an item", "  - number: 3\n", "  – number: 3\n", "– number: 3", "an en dash (U+2013)"},
		{"dash for a minus", "-70 mm", "–70 mm", "–70 mm", "write a minus sign as -"},
		{"minus sign", "-500 mm, 600", "\u2212500 mm, 600", "\u2212500", "write a minus sign as -"},

		{"decimal comma in a place", "[900 mm, 550 mm, 800 mm]", "[0,9 m, 0.55 m, 0.8 m]", "0,9 m", "has a decimal comma: write 0.9 m"},
		{"decimal commas throughout", "[900 mm, 550 mm, 800 mm]", "[0,9 m, 0,55 m, 0,8 m]", "0,9 m", "write 0.9 m; so it is with another number of the list"},
		{"decimal comma and a space", "[900 mm, 550 mm, 800 mm]", "[0, 9 m, 0.55 m, 0.8 m]", "0, 9 m", "a comma stands within a number"},
		{"decimal comma in an axis", "axis: [0, 1, 0]", "axis: [0, 0,96, -0,28]", "0,96", "a comma stands within a number"},
		{"decimal comma of one measure", "745 mm", "0,745 m", "0,745", "has a decimal comma: write 0.745 m"},
		{"decimal comma between braces", "filled: 1.8 l", "filled: 1,8 l", "1,8 l", "has a decimal comma: write 1.8 l"},
		{"comma between thousands", "1265 mm", "1,265 mm", "1,265", "can be read two ways: write 1265 mm or 1.265 mm"},
		{"comma between thousands in a place", "[1200 mm, 400 mm, 800 mm], hold: clip}", "[1,200 mm, 400 mm, 800 mm], hold: clip}", "1,200", "write 1200 mm or 1.200 mm"},
		{"comma between thousands and a space", "[1200 mm, 400 mm, 800 mm], hold: clip}", "[1, 200 mm, 400 mm, 800 mm], hold: clip}", "1, 200", "a comma stands within a number"},
		{"list without spaces", "axis: [0, 1, 0]", "axis: [0,1,0]", "", quiet},

		{"point twice", "id: A2", "id: A1", `Brake camshaft, left", body`, "the id A1 already names"},
		{"point copied", "  - " + point, "  - " + `{id: A1, name: "Spring pin, left", body: chassis, position: [450 mm, 500 mm, 600 mm], thread: M10x1, access: free, nipple_removed: true, bearing: {kind: plain, diameter: 24 mm, width: 60 mm}, back_pressure: 5 bar}` + "\n  - " + point, "true, bearing", "the id A1 already names"},
		{"line twice", "- number: 2\n", "- number: 1\n", "outlet: 2", "already has the number 1"},
		{"body twice", "{id: axle, name", "{id: chassis, name", "chassis, name: axle", "the id chassis already names"},
		{"joint twice", "id: drawbar-hinge", "id: axle-springs", "name: drawbar hinge", "the id axle-springs already names"},
		{"station twice", "id: l-2", "id: l-1", "[400 mm, 470 mm, 780", "the id l-1 already names"},
		{"bundle twice", "- id: R", "- id: L", "name: axle right", "the id L already names"},
		{"zone twice", "id: wheel-right", "id: wheel-left", "name: right wheel", "the id wheel-left already names"},
		{"outlet twice", "{number: 2, element", "{number: 1, element", "{number: 1, element: FG-E15}\n    - {number: 3", "outlet 1 is listed more than once"},
		{"row twice", "{line: 2, name", "{line: 1, name", `1, name: "Brake`, "line 1 already has a row"},
		{"row of the parts list twice", "{part: FG-E25, quantity: 2}", "{part: FG-E15, quantity: 2}", "FG-E15, quantity: 2", "an earlier row lists this part"},
		{"document twice", "  instructions: {number", "  schematic: {number", "WS-0311-I", `"schematic" was already given on line 244`},
		{"number of a document twice", "WS-0311-I", "WS-0311-S", "instructions:", "is already that of the schematic"},

		{"key twice", "  filler_side: left\n", "  filler_side: left\n  filler_side: right\n", "filler_side: right", "was already given on line 79"},
		{"key twice, far apart", "  low_level_warns: true\n", "  low_level_warns: true\n  part: FG-P12\n", "  part: FG-P12\n  warning", `"part" was already given on line 74`},
		{"key twice between braces", "{id: axle, name: axle,", "{id: axle, name: axle, id: axle,", "id: axle, name: axle", "was already given on line 33"},
		{"section twice", "\nzones:\n", "\npoints: []\n\nzones:\n", "points: []", `"points" was already given on line 55`},

		{"merge", "    cut_length: 745 mm\n", "<<<<<<< HEAD\n    cut_length: 745 mm\n=======\n    cut_length: 750 mm\n>>>>>>> longer\n", "<<<<<<< HEAD", "a merge has left two versions here, of which one is meant, down to line 114"},
		{"merge with the base", "  filler_side: left\n", "<<<<<<< a\n  filler_side: left\n||||||| b\n  filler_side: top\n=======\n  filler_side: rear\n>>>>>>> c\n", "<<<<<<< a", "down to line 85"},
		{"rest of a merge", "  filler_side: left\n", "  filler_side: left\n=======\n", "=======", "a line that a merge has left"},
	} {
		kit := strings.Replace(string(text), tt.old, tt.with, 1)
		if kit == string(text) {
			t.Fatalf("%s: the kit has no %q", tt.name, tt.old)
		}
		found := standing(t, c, file, kit)
		if tt.says == quiet {
			if len(found) > 0 {
				t.Errorf("%s: %s", tt.name, briefs(found))
			}
			continue
		}
		line := lineOf(t, kit, tt.at)
		if len(found) != 1 || max(line-found[0].Pos.Line, found[0].Pos.Line-line) > 2 || !strings.Contains(found[0].Message+"; "+found[0].Remedy, tt.says) {
			t.Errorf("%s: %d findings, the first %s; want one on line %d that says %q", tt.name, len(found), briefs(found), line, tt.says)
		}
	}
}

// A look-alike put right as is said brings the kit back.
func TestLookalikesObeyed(t *testing.T) {
	file, text, _ := examples.Kit("trailer")
	for _, swap := range [][2]string{
		{"filler_side: left", "filler_side：left"}, {"{id: axle, name", "{id： axle， name"}, {`"Spring pin, left"`, "“Spring pin, left”"},
		{"  filler_side: left", "\u00a0\u00a0filler_side:\u00a0left\u200b"}, {"\nlines:", "\n\ufefflines:"}, {"  - number: 3", "  — number: 3"},
	} {
		with := strings.Replace(string(text), swap[0], swap[1], 1)
		for range 5 {
			docs, problems := source.Parse(file, []byte(with))
			if len(docs) > 0 {
				break
			}
			p := problems[0]
			with, _ = obey(with, p.Pos.Line, p.Pos.Column, p.Remedy)
		}
		got, _ := source.Parse(file, []byte(with))
		want, _ := source.Parse(file, text)
		if len(got) != 1 || !bytes.Equal(got[0].Root.JSON(), want[0].Root.JSON()) {
			t.Errorf("%q: the remedies do not bring the kit back", swap[1])
		}
	}
}

// Every example cut off within a line, as YAML and as JSON: one finding on the
// last line, which says so. Where a section may end there, nobody can tell.
func TestCutOff(t *testing.T) {
	c := plainChecker()
	names := examples.Names()
	if !*full {
		names = []string{"trailer"}
	}
	for name, text := range written(t, names...) {
		kit := strings.Replace(strings.TrimRight(string(text), "\n"), "draft", "released", 1) // a draft may end where it will
		last := strings.LastIndex(kit, "procedure")
		for at := last / 9; at < last; at += last / 9 {
			cut := strings.TrimRight(kit[:at], " \n")
			found := standing(t, c, name, cut)
			line := 1 + strings.Count(cut, "\n")
			if len(found) != 1 || found[0].Pos.Line < line-2 || !strings.Contains(found[0].Message, fmt.Sprintf("the file ends in the middle of line %d, as if it were cut off", line)) {
				t.Errorf("%s, cut off in line %d: %d findings, the first %s", name, line, len(found), briefs(found))
			}
		}
	}
}

// A draft that ends early is one that is being written.
func TestDraftNotCutOff(t *testing.T) {
	const draft = "header:\n  number: WS-0300\n  revision: A\n  title: Brine trailer\n  status: draft\npoints: []"
	for _, f := range standing(t, plainChecker(), "brine.kit.yaml", draft) {
		if strings.Contains(f.Message, "cut off") {
			t.Errorf("got %s", f.Message)
		}
	}
}

// Two kits in one file, and what it takes to part them.
func TestTwoKitsPasted(t *testing.T) {
	c := plainChecker()
	for _, name := range examples.Names() {
		file, text, _ := examples.Kit(name)
		both := string(text) + string(text)
		found := standing(t, c, file, both)
		line := lineOf(t, string(text), "header:") + strings.Count(string(text), "\n")
		if len(found) != 1 || found[0].Pos.Line != line || !strings.Contains(found[0].Message, "another file begins here within this one") {
			t.Errorf("%s: %d findings, the first %s; want one on line %d", name, len(found), briefs(found), line)
		}
		docs, problems := source.Parse(file, []byte(string(text)+"---\n"+string(text)))
		if len(docs) != 2 || len(problems) != 0 {
			t.Errorf("%s: a line of three dashes does not part them: %v", name, problems)
		}
	}
}

// As JSON: a key given twice, a comma in a number, what a merge left.
func TestPastedJSON(t *testing.T) {
	c := plainChecker()
	for name, text := range written(t, "trailer") {
		if !strings.HasSuffix(name, "json") {
			continue
		}
		if !json.Valid(text) {
			t.Fatal("no JSON")
		}
		for _, tt := range []struct{ old, with, says string }{
			{`"filler_side": "left",`, `"filler_side": "left", "filler_side": "left",`, `the key "filler_side" was already given`},
			{`"cut_length": "745 mm"`, `"cut_length": "0,745 m"`, "has a decimal comma"},
			{`"filler_side": "left",`, "“filler_side”: \"left\",", "a typographic quote (U+201C)"},
			{"\n  \"zones\"", "\n<<<<<<< a\n=======\n>>>>>>> b\n  \"zones\"", "a merge has left"},
			{"\n      \"id\": \"A2\"", "\n      \"id\": \"A1\"", "the id A1 already names"},
		} {
			kit := strings.Replace(string(text), tt.old, tt.with, 1)
			found := standing(t, c, name, kit)
			if kit == string(text) || len(found) != 1 || !strings.Contains(found[0].Message, tt.says) {
				t.Errorf("%s: %d findings, the first %s", cmp.Or(tt.with, tt.old), len(found), briefs(found))
			}
		}
	}
}

var (
	aboveIt   = regexp.MustCompile(`^write (.+) on a line of its own above it(?:, indented by ([0-9]+) spaces?)?$`)
	withDash  = regexp.MustCompile(`^begin it with (- ?\{?)[^,]*, indented by ([0-9]+) spaces?`)
	newLine   = regexp.MustCompile(`^begin a new line before .*indented by ([0-9]+) spaces?$`)
	exchange  = regexp.MustCompile(`^put line ([0-9]+) above line ([0-9]+)(?:; or, .*)?$`)
	takenOut  = regexp.MustCompile(`^take (?:the |one )?(\S+) out(?:, with (?:the (space)|([0-9]) spaces) behind it)?$`)
	ofLines   = regexp.MustCompile(`^take (\S+) out of the lines ([0-9]+) to ([0-9]+)$`)
	lineAbove = regexp.MustCompile(`^put it at the end of line [0-9]+$`)
)

// obeyLines is obey for what is said of whole lines, and of more than a mark;
// false for all else.
func obeyLines(lines []string, i int, head, tail, remedy string) ([]string, bool) {
	number := func(text string) (n int) {
		fmt.Sscan(text, &n)
		return n
	}
	body := strings.TrimLeft(lines[i], " ")
	if f := aboveIt.FindStringSubmatch(remedy); f != nil {
		return slices.Insert(lines, i, strings.Repeat(" ", number(f[2]))+f[1]), true
	}
	if f := withDash.FindStringSubmatch(remedy); f != nil {
		lines[i] = strings.Repeat(" ", number(f[2])) + f[1] + body
		return lines, true
	}
	if f := newLine.FindStringSubmatch(remedy); f != nil {
		lines[i] = strings.TrimRight(head, " ")
		return slices.Insert(lines, i+1, strings.Repeat(" ", number(f[1]))+tail), true
	}
	if f := exchange.FindStringSubmatch(remedy); f != nil {
		a, b := number(f[1])-1, number(f[2])-1
		lines[a], lines[b] = lines[b], lines[a]
		return lines, true
	}
	if f := ofLines.FindStringSubmatch(remedy); f != nil {
		for k := number(f[2]) - 1; k < number(f[3]); k++ {
			lines[k] = strings.TrimPrefix(lines[k], f[1])
		}
		return lines, true
	}
	if f := takenOut.FindStringSubmatch(remedy); f != nil && strings.HasPrefix(tail, f[1]) {
		lines[i] = head + tail[len(f[1])+len(f[2])/len("space")+number(f[3]):]
		return lines, true
	}
	switch {
	case remedy == "take the remark out":
		lines[i] = head
	case lineAbove.MatchString(remedy):
		lines[i-1] += lines[i]
		return slices.Delete(lines, i, i+1), true
	case strings.HasPrefix(remedy, "put the next line behind it: "):
		lines[i] += strings.TrimLeft(lines[i+1], " ")
		return slices.Delete(lines, i+1, i+2), true
	case strings.HasPrefix(remedy, "put quotes round it: '"):
		with := strings.TrimPrefix(remedy, "put quotes round it: ")
		lines[i] = head + with + strings.TrimPrefix(tail, strings.ReplaceAll(with[1:len(with)-1], "''", "'"))
	case strings.HasPrefix(remedy, "put }, "):
		lines[i] = head + "}," + tail
	default:
		return nil, false
	}
	return lines, true
}

// Lines that have lost their dash or their key, changed places or been pasted,
// texts that need quotes, remarks that swallow a bracket: each is one finding at
// its line, and the remedy brings the same kit back where nothing was deleted.
func TestSlipsOfLines(t *testing.T) {
	file, text, _ := examples.Kit("trailer")
	kit := string(text)
	want, _ := source.Parse(file, text)
	for _, tt := range []struct {
		old, with, at string
		same          bool // the remedy brings the same kit back
	}{
		{"  - number: 2", "  -number: 2", "-number", true},
		{"  - {id: drawbar", "  -{id: drawbar", "-{id", true},
		{"  - {id: drawbar", "  -- {id: drawbar", "--", true},
		{"  - {id: drawbar", "  * {id: drawbar", "*", true},
		{"  - {id: drawbar", "  • {id: drawbar", "•", true},
		{"  - {id: drawbar", "  -\u00a0{id: drawbar", "\u00a0", true},
		{"  - number: 2", "  - - number: 2", "- -", true},
		{"  - number: 2", "    number: 2", "    number: 2", true},
		{"  - number: 2\n", "", "    outlet: 2", false},
		{"    outlet: 2", "  - outlet: 2", "- outlet", true},
		{"  number: WS-0311", "- number: WS-0311", "- number", false},
		{"  - id: R\n", "    id: R\n", "    id: R", true},
		{"hold: clip}", "#hold: clip}", "#hold", true},
		{"[2050 mm, 0 mm, 620 mm]", "[2050 mm, 0 mm, #620 mm]", "#620", true},
		{"\npump:\n", "\n", "  part: FG-P12", true},
		{"header:\n", "", "  number: WS-0311", true},
		{"\nvehicle:\n", "\n", "  description", true},
		{"\nbodies:\n", "\n", "  - {id: chassis", true},
		{"\njoints:\n", "\n", "  - id: axle-springs", true},
		{"\nbundles:\n", "\n", "  - id: L", true},
		{"\nzones:\n", "\n", "  - {id: wheel-left", true},
		{"\ndocuments:\n", "\n", "  schematic:", true},
		{"    route:\n", "", "      - {id: l-1", true},
		{"    tail:\n", "", "    tail", true},
		{"header:\n  number: WS-0311\n", "  number: WS-0311\nheader:\n", "  number", true},
		{"  - number: 2\n    outlet: 2\n", "    outlet: 2\n  - number: 2\n", "    outlet: 2", true},
		{"joints:\n  - id: axle-springs\n", "  - id: axle-springs\njoints:\n", "  - id: axle-springs", true},
		{"\njoints:\n", "\n---\njoints:\n", "---", false},
		{"\njoints:\n", "\n----\njoints:\n", "----", true},
		{"\njoints:\n", "\nRegards, Ingrid\njoints:\n", "Regards", true},
		{"    outlet: 2\n", "+    outlet: 2\n", "+", true},
		{"    outlet: 2\n", ">     outlet: 2\n", ">  ", true},
		{"    outlet: 2\n", "118     outlet: 2\n", "118 ", true},
		{"  status: draft\n", "  sta\ntus: draft\n", "sta\n", true},
		{"  status: draft\n", "  status: dr\naft\n", "aft", true},
		{"  status: draft\n", "  status: draft", "  status", true},
		{"safety_notice: >-", "safety_notice: >-x", ">-x", true},
		{"safety_notice: >-\n    ", "safety_notice: >- ", ">- ", true},
		{"    that is under pressure", "  that is under pressure", "  that is", true},
		{"    that is under pressure", "   that is under pressure", "   that is", true},
		{`"Put goggles on."`, "Goggles: put on.", "Goggles", false},
		{`"Put goggles on."`, "'Put driver's goggles on.'", "driver's", false},
		{`"Put goggles on."`, "Put goggles, gloves, boots on.", "boots", false},
		{`name: "Spring pin, left"`, "name: Spring pin, left", "Spring pin, left", true},
		{"owner: Nordhang", "owner: | Nordhang", "| Nordhang", false},
	} {
		bad := strings.Replace(kit, tt.old, tt.with, 1)
		if tt.at == "    tail" {
			tt.at = strings.Split(kit[strings.Index(kit, "    tail:\n")+len("    tail:\n"):], "\n")[0]
		}
		at := strings.Index(bad[strings.Index(kit, tt.old):], tt.at) + strings.Index(kit, tt.old)
		line := 1 + strings.Count(bad[:at], "\n")
		p, more := misread(file, bad)
		if bad == kit || p == nil || more > 0 || max(p.Pos.Line-line, line-p.Pos.Line) > 1 {
			t.Errorf("%q: %d more than %v; want one on line %d", tt.with, more, p, line)
			continue
		}
		obeyed, could := obey(bad, p.Pos.Line, p.Pos.Column, p.Remedy)
		got, problems := source.Parse(file, []byte(obeyed))
		if tt.same && (!could || len(got) != 1 || !bytes.Equal(got[0].Root.JSON(), want[0].Root.JSON())) {
			t.Errorf("%q: the remedy does not bring the kit back: %v; then %v", tt.with, p, problems)
		}
	}
}

// misread is the first thing that is told of a file that says something else
// than it should, and how many more are.
func misread(file, text string) (*source.Problem, int) {
	docs, problems := source.Parse(file, []byte(text), schema.Shape("kit"))
	if len(problems) == 0 && len(docs) == 1 {
		return schema.Misplaced("kit", docs[0].Root), 0
	}
	if len(problems) == 0 {
		return nil, 0
	}
	return problems[0], len(problems) - 1
}

// A decimal comma is written as a point unasked only where it can be nothing
// else: three digits behind it may be thousands. Between brackets as well, where
// it makes two items of the number.
func TestCommasMended(t *testing.T) {
	for _, tt := range []struct {
		old, with, fixed string // "" where nothing is written
	}{
		{"holder_resistance: 10 mohm", "holder_resistance: 10,0 mohm", "holder_resistance: 10.0 mohm"},
		{"[2050 mm, 0 mm, 620 mm]", "[2050,0 mm, 0 mm, 620 mm]", "[2050.0 mm, 0 mm, 620 mm]"},
		{"[2050 mm, 0 mm, 620 mm]", "[2,05 m, 0 mm, 620 mm]", "[2.05 m, 0 mm, 620 mm]"},
		{"[2050 mm, 0 mm, 620 mm]", "[2,050 mm, 0 mm, 620 mm]", ""},
		{"[2050 mm, 0 mm, 620 mm]", "[2,050 m, 0 mm, 620 mm]", ""},
		{"cut_length: 1265 mm", "cut_length: 1,265 mm", ""},
		{"cut_length: 1265 mm", "cut_length: 1,265 m", ""},
	} {
		file, text := faulty(t, "trailer")
		is := bytes.Replace(text, []byte(tt.old), []byte(tt.with), 1)
		fixed := mended(t, file, is, checker.FixOptions{})
		if bytes.Equal(is, text) || !bytes.Contains(fixed.Text, []byte(cmp.Or(tt.fixed, tt.with))) {
			t.Errorf("%s: made %+v, left %+v", tt.with, fixed.Made, fixed.Left)
		}
	}
}

// A part given twice is one finding of the catalogue: what misses the number that
// one of the two should have follows from it.
func TestPartTwice(t *testing.T) {
	file, text, _ := examples.Kit("trailer")
	c := checker.New(checker.Options{NoSettings: true, On: "2026-11-25", ReadFile: func(from, name string) ([]byte, error) {
		parts, err := examples.ReadFile(from, name)
		return bytes.Replace(parts, []byte("number: FG-P12\n"), []byte("number: FG-P36\n"), 1), err
	}})
	found := standing(t, c, file, string(text))
	if len(found) != 1 || found[0].Rule != "file/catalogue" || !strings.Contains(found[0].Message, `part "FG-P36" is already at`) {
		t.Errorf("%d findings, the first %s", len(found), briefs(found))
	}
}

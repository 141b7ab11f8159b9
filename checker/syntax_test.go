package checker_test

import (
	"bytes"
	"cmp"
	"encoding/json"
	"fmt"
	"maps"
	"os"
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

// sly is one slip of typing: the text with it, and the line where it is.
type sly struct {
	kind string
	text string
	line int
}

// kinds are the slips that are made wherever they can be, in the order of the
// table.
var kinds = []struct {
	name string
	at   string // what has to stand there
	with string // what it becomes
}{
	{"{ lost", "{", ""}, {"{ doubled", "{", "{{"}, {"{ of the wrong kind", "{", "["},
	{"} lost", "}", ""}, {"} doubled", "}", "}}"}, {"} of the wrong kind", "}", "]"},
	{"[ lost", "[", ""}, {"[ doubled", "[", "[["}, {"[ of the wrong kind", "[", "{"},
	{"] lost", "]", ""}, {"] doubled", "]", "]]"}, {"] of the wrong kind", "]", "}"},
	{"comma lost", ",", ""}, {"comma doubled", ",", ",,"}, {"semicolon for a comma", ",", ";"},
	{"colon lost", ":", ""}, {"colon doubled", ":", "::"}, {"= for a colon", ":", "="}, {"space behind a colon lost", ": ", ":"},
	{"opening quote lost", "“", ""}, {"opening quote doubled", "“", `""`},
	{"closing quote lost", "”", ""}, {"closing quote doubled", "”", `""`},
	{"line indented by a space too many", "^", " "}, {"line indented by a space too few", "^ ", ""},
	{"line indented by two spaces too many", "^", "  "}, {"line indented by two spaces too few", "^  ", ""}, {"indentation of a line lost", "^*", ""},
	{"tab for an indentation", "^ ", "\t"}, {"decimal comma", ".", ","},
}

// marksIn gives the bytes of a text that are part of how it is written, by kind:
// what stands in quoted texts, blocks and remarks is not.
func marksIn(text []byte) map[string][]int {
	at := map[string][]int{}
	put := func(kind string, i int) { at[kind] = append(at[kind], i) }
	block := -1 // how far in the key of a block stands
	for from := 0; from < len(text); {
		line := text[from:]
		if i := bytes.IndexByte(line, '\n'); i >= 0 {
			line = line[:i]
		}
		lead := len(line) - len(bytes.TrimLeft(line, " "))
		switch body := line[lead:]; {
		case len(body) == 0 || body[0] == '#':
		case block >= 0 && lead > block:
		default:
			block = -1
			put("^", from)
			if lead > 0 {
				put("^ ", from)
				put("^  ", from)
				put("^*", from)
			}
			marksOf(line, from+lead, lead, put)
			if bytes.HasSuffix(line, []byte(">-")) || bytes.HasSuffix(line, []byte("|")) {
				block = lead
			}
		}
		from += len(line) + 1
	}
	return at
}

func marksOf(line []byte, base, i int, put func(string, int)) {
	base -= i
	quoted, depth := false, 0
	for ; i < len(line); i++ {
		c := line[i]
		next := byte('\n')
		if i+1 < len(line) {
			next = line[i+1]
		}
		switch {
		case quoted && c == '"':
			quoted = false
			put("”", base+i)
		case quoted:
		case c == '"':
			quoted = true
			put("“", base+i)
		case c == '#' && i > 0 && line[i-1] == ' ':
			return
		case c == '{' || c == '[':
			depth++
			put(string(c), base+i)
		case c == '}' || c == ']':
			depth--
			put(string(c), base+i)
		case c == ',' && (depth > 0 || next == '\n'):
			put(",", base+i)
		case c == ':' && (next == ' ' || next == '\n' || line[max(i-1, 0)] == '"'):
			put(":", base+i)
			if next == ' ' {
				put(": ", base+i)
			}
		case c == '.' && i > 0 && digit(line[i-1]) && digit(next):
			put(".", base+i)
		}
	}
}

func digit(c byte) bool { return '0' <= c && c <= '9' }

// slies makes every so many of the slips of a text.
func slies(text []byte, every int) []sly {
	at := marksIn(text)
	var all []sly
	n := 0
	for _, k := range kinds {
		for _, i := range at[k.at] {
			if n++; n%every != 0 {
				continue
			}
			if k.at == "^*" {
				all = append(all, sly{k.name, string(text[:i]) + strings.TrimLeft(string(text[i:]), " "), 1 + bytes.Count(text[:i], []byte("\n"))})
				continue
			}
			old := len(strings.NewReplacer("“", `"`, "”", `"`, "^", "").Replace(k.at))
			all = append(all, sly{k.name, string(text[:i]) + k.with + string(text[i+old:]), 1 + bytes.Count(text[:i], []byte("\n"))})
		}
	}
	return all
}

// row is what came of a kind of slip.
type row struct {
	kind                                       string
	cases, exact, near, far, more, not, obeyed int
	worst                                      int
}

// obey does what the remedy of a slip of syntax says, to the letter: put, take
// out, write, indent, at the place that is told.
func obey(text string, line, column int, remedy string) (string, bool) {
	lines := strings.Split(text, "\n")
	if line < 1 || line > len(lines) {
		return text, false
	}
	l := []rune(lines[line-1])
	at := column - 1
	if at < 0 || at > len(l) {
		return text, false
	}
	head, tail := string(l[:at]), string(l[at:])
	switch {
	case strings.HasPrefix(remedy, "get the whole of it again"):
		return text, true
	case strings.HasPrefix(remedy, "indent lines "):
		from, to, by := 0, 0, 0
		fmt.Sscanf(remedy, "indent lines %d to %d by %d", &from, &to, &by)
		for i := from - 1; i < min(to, len(lines)); i++ {
			lines[i] = strings.Repeat(" ", by) + lines[i]
		}
		return strings.Join(lines, "\n"), true
	case remedy == "take it out" && len(tail) > 0 && tail[0] >= 0x80:
		tail = string(l[at+1:])
	case remedy == "put a plain space in its place":
		tail = " " + string(l[at+1:])
	case strings.HasSuffix(remedy, " and a space in its place"):
		tail = strings.Fields(remedy)[1] + " " + string(l[at+1:])
	case strings.HasPrefix(remedy, "put a comma "):
		head += ","
	case strings.HasPrefix(remedy, "put a space "):
		head += " "
	case strings.HasPrefix(remedy, "put "):
		head += strings.TrimSuffix(strings.Fields(remedy)[1], ",")
		if strings.HasSuffix(head, ":") || strings.HasSuffix(head, ":{") || strings.HasSuffix(head, ":[") {
			head = strings.NewReplacer(":{", ": {", ":[", ": [").Replace(head)
		}
	case remedy == "begin it in the first column":
		head, tail = "", strings.TrimLeft(lines[line-1], " ")
	case strings.HasPrefix(remedy, "take "):
		tail = tail[1:]
	case strings.HasSuffix(remedy, " in its place"):
		tail = strings.Fields(remedy)[1] + string(l[at+1:])
	case strings.HasPrefix(remedy, "write "):
		with := strings.TrimPrefix(remedy, "write ")
		i := 0
		for _, r := range with { // what is written now has the same letters
			for i < len(tail) && strings.IndexByte(" :=,", tail[i]) >= 0 && rune(tail[i]) != r {
				i++
			}
			if i < len(tail) && strings.HasPrefix(tail[i:], string(r)) {
				i += len(string(r))
			}
		}
		tail = with + tail[i:]
	case strings.HasPrefix(remedy, "indent it by "):
		n := 0
		fmt.Sscanf(remedy, "indent it by %d", &n)
		head, tail = strings.Repeat(" ", n), strings.TrimLeft(lines[line-1], " \t")
	case remedy == "indent with spaces":
		head, tail = strings.ReplaceAll(head, "\t", " "), strings.Replace(tail, "\t", " ", 1)
	default:
		return text, false
	}
	lines[line-1] = head + tail
	return strings.Join(lines, "\n"), true
}

func (r row) String() string {
	return fmt.Sprintf("| %s | %d | %d | %d | %d | %d | %d | %d | %d |", r.kind, r.cases, r.exact, r.near, r.far, r.worst, r.not, r.more, r.obeyed)
}

// tell judges one slip: how many lines off the first finding is, and how many
// findings stand that do not follow from another.
func tell(t *testing.T, c *checker.Checker, file string, s sly) (off, count int, first string, obeyed bool) {
	results, err := c.Check(file, []byte(s.text))
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range results {
		for _, f := range report.Standing(r.Findings, finding.Violated) {
			if f.Follows != "" {
				continue
			}
			if count++; first == "" {
				first = brief(&f) // and not the finding, which holds the whole kit
				off, obeyed = judged(s, &f)
			}
		}
	}
	return off, count, first, obeyed
}

// judged says how far off a finding is, and whether its remedy, obeyed, makes the
// file readable.
func judged(s sly, f *finding.Finding) (off int, obeyed bool) {
	remedy := f.Remedy
	if _, says, ok := strings.Cut(f.Message, ": write "); ok && f.Rule == "file/value" {
		remedy = "write " + says
	}
	with, could := obey(s.text, f.Pos.Line, f.Pos.Column, remedy)
	_, problems := source.Parse(f.Pos.File, []byte(with))
	return max(f.Pos.Line-s.line, s.line-f.Pos.Line), could && len(problems) == 0 && slices.Contains([]string{"file/syntax", "file/value", "file/shape"}, f.Rule)
}

// tellFast is tell where no rule has to be asked: the file cannot be read, a
// member stands elsewhere, or the kit is the same as without the slip.
func tellFast(t *testing.T, c *checker.Checker, file string, s sly, same []byte) (off, count int, first string, obeyed bool) {
	docs, problems := source.Parse(file, []byte(s.text), schema.Of("kit").Keys()...)
	rule := "file/syntax"
	if len(docs) == 1 && len(problems) == 0 {
		if bytes.Equal(docs[0].Root.JSON(), same) {
			return 0, 0, "", false
		}
		if p := schema.Misplaced("kit", docs[0].Root); p != nil {
			docs, problems, rule = nil, []*source.Problem{p}, "file/shape"
		}
	}
	if len(docs) > 0 || len(problems) == 0 {
		return tell(t, c, file, s)
	}
	f := finding.Finding{Rule: rule, Pos: problems[0].Pos, Message: problems[0].Message, Remedy: problems[0].Remedy}
	off, obeyed = judged(s, &f)
	return off, len(problems), brief(&f), obeyed
}

func syntaxTable(t *testing.T, show bool, every int, texts map[string][]byte) []row {
	c := checker.New(checker.Options{NoSettings: true, On: "2026-11-25", ReadFile: examples.ReadFile})
	rows := make([]row, len(kinds))
	byKind := map[string]*row{}
	for i, k := range kinds {
		rows[i].kind = k.name
		byKind[k.name] = &rows[i]
	}
	for _, name := range slices.Sorted(maps.Keys(texts)) {
		all := slies(texts[name], every)
		offs, counts, firsts := make([]int, len(all)), make([]int, len(all)), make([]string, len(all))
		obeyed := make([]bool, len(all))
		docs, _ := source.Parse(name, texts[name])
		same := docs[0].Root.JSON()
		checker.Parallel(len(all), func(i int) {
			offs[i], counts[i], firsts[i], obeyed[i] = tellFast(t, c, name, all[i], same)
			if i%10 != 0 || *full {
				return
			}
			if off, count, first, could := tell(t, c, name, all[i]); off != offs[i] || count != counts[i] || first != firsts[i] || could != obeyed[i] {
				t.Errorf("%s:%d: %d findings, first %s; without the rules %d, first %s", name, all[i].line, count, first, counts[i], firsts[i])
			}
		})
		for i, s := range all {
			r := byKind[s.kind]
			r.cases++
			switch {
			case firsts[i] == "":
				r.not++
			case offs[i] == 0:
				r.exact++
			case offs[i] <= 2:
				r.near++
			default:
				r.far++
				r.worst = max(r.worst, offs[i])
			}
			if obeyed[i] {
				r.obeyed++
			}
			if counts[i] > 1 {
				r.more++
			}
			if show && (offs[i] > 2 || counts[i] > 1 || firsts[i] != "" && !obeyed[i]) {
				t.Logf("%s %s:%d: %d findings, first %v", s.kind, name, s.line, counts[i], firsts[i])
			}
		}
	}
	return rows
}

func brief(f *finding.Finding) string {
	return cmp.Or(f.Pos.String(), "nowhere") + ": " + f.Rule + ": " + f.Message + "; " + f.Remedy
}

// written gives the example kits as they are, and as indented JSON.
func written(t testing.TB, names ...string) map[string][]byte {
	texts := map[string][]byte{}
	for _, name := range names {
		file, text, _ := examples.Kit(name)
		texts[file] = text
		docs, problems := source.Parse(file, text)
		if len(problems) > 0 {
			t.Fatal(problems[0])
		}
		var b bytes.Buffer
		if err := json.Indent(&b, docs[0].Root.JSON(), "", "  "); err != nil {
			t.Fatal(err)
		}
		texts[strings.TrimSuffix(file, ".yaml")+".json"] = b.Bytes()
	}
	return texts
}

// Every bracket, comma, colon and quote of the examples lost, doubled or
// another, one at a time, and every line indented otherwise: what is told is one
// finding, at most two lines off, and its remedy obeyed to the letter makes the
// file readable. A part of the trailer's; with -full every 5th of all kits and, as
// JSON, of the trailer, which writes the page.
func TestSyntaxCampaign(t *testing.T) {
	every, names := 61, []string{"trailer"}
	if *full {
		every, names = fullEvery, examples.Names()
	}
	var page strings.Builder
	texts := written(t, names...)
	for _, ext := range []string{"yaml", "json"} {
		fmt.Fprintf(&page, "\n%s:\n\n%s", strings.ToUpper(ext), tableHead)
		some := maps.Clone(texts)
		maps.DeleteFunc(some, func(name string, _ []byte) bool {
			return !strings.HasSuffix(name, ext) || ext == "json" && !strings.Contains(name, "trailer")
		})
		for _, r := range syntaxTable(t, true, every, some) {
			if r.cases == 0 {
				continue
			}
			fmt.Fprintln(&page, r)
			if regroups[r.kind] {
				continue
			}
			if r.far+r.more > 0 || r.obeyed+r.not < r.cases {
				t.Errorf("%s, %s: of %d, %d are told more than two lines off, %d with more than one finding, %d with a remedy that clears it", ext, r.kind, r.cases, r.far, r.more, r.obeyed)
			}
		}
	}
	if !*full {
		return
	}
	const file = "../testdata/measured/syntax.md"
	old, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	head, _, _ := strings.Cut(string(old), "\n## Now\n")
	if err := os.WriteFile(file, []byte(head+"\n## Now\n"+page.String()), 0o644); err != nil {
		t.Fatal(err)
	}
}

// fullEvery is every how manieth slip is made with -full.
const fullEvery = 5

// regroups are the slips that may make another kit that can be read: a line moves
// to another group, an axis gets a fourth number. They are measured alone.
var regroups = map[string]bool{"line indented by two spaces too many": true, "line indented by two spaces too few": true, "indentation of a line lost": true, "decimal comma": true}

const tableHead = `| slip | cases | on its line | one or two lines off | further | furthest | same kit | several findings | remedy clears it |
| --- | ---: | ---: | ---: | ---: | ---: | ---: | ---: | ---: |
`

package editor_test

import (
	"fmt"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/txtar"

	"kitgauge/checker/editor"
	"kitgauge/checker/golden"
)

// mark stands for the cursor.
const mark = "¦"

// table plays an archive: what is asked at the mark of each of its files, with
// all of them within reach, and what was answered.
func table(t *testing.T, name string, answer func(v *editor.View, files shelf, text string, at int) string) {
	file := filepath.Join("testdata", name+".txtar")
	a, err := txtar.ParseFile(file)
	if err != nil {
		t.Fatal(err)
	}
	files := shelf{}
	for _, f := range a.Files {
		files[f.Name] = strings.Replace(string(f.Data), mark, "", 1)
	}
	out := &txtar.Archive{Comment: a.Comment}
	for _, f := range a.Files {
		if strings.HasSuffix(f.Name, ".want") {
			continue
		}
		out.Files = append(out.Files, f)
		at := strings.Index(string(f.Data), mark)
		if at < 0 {
			continue
		}
		text := files[f.Name]
		if strings.HasPrefix(f.Name, "carriage-returns") {
			at += strings.Count(text[:at], "\n")
			text = strings.ReplaceAll(text, "\n", "\r\n")
		}
		v := editor.Open(f.Name, []byte(text), files, editor.Options{Kits: filesOf(files, ".kit."), Tree: func() []string { return slices.Concat(filesOf(files, ".parts."), filesOf(files, ".pack.")) }})
		out.Files = append(out.Files, txtar.File{Name: f.Name + ".want", Data: []byte(answer(v, files, text, at))})
	}
	golden.Compare(t, file, txtar.Format(out))
}

// excerpt is the line of a place, with the place between marks.
func excerpt(files editor.Files, p editor.Place) string {
	text, err := files.ReadFile(p.Path)
	if err != nil {
		return p.Path + ": " + err.Error()
	}
	from := strings.LastIndexByte(string(text[:p.From]), '\n') + 1
	rest, _, _ := strings.Cut(string(text[p.To:]), "\n")
	return fmt.Sprintf("%s: %s»%s«%s", p.Path, strings.TrimLeft(string(text[from:p.From]), " "), text[p.From:p.To], rest)
}

// filesOf are the files of a kind, by what their names hold.
func filesOf(files shelf, kind string) []string {
	var list []string
	for name := range files {
		if strings.Contains(name, kind) && !strings.HasSuffix(name, ".want") {
			list = append(list, name)
		}
	}
	slices.Sort(list)
	return list
}

func TestGoldenCompletions(t *testing.T) {
	table(t, "completions", func(v *editor.View, _ shelf, text string, at int) string {
		list := v.Completions(at)
		var b strings.Builder
		for _, c := range list[:min(len(list), 4)] {
			line := text[strings.LastIndexByte(text[:c.From], '\n')+1 : c.From]
			rest, _, _ := strings.Cut(text[c.To:], "\n")
			fmt.Fprintf(&b, "%s%s%s%s%s", strings.TrimLeft(line, " "), c.Insert[:c.Caret], mark, c.Insert[c.Caret:], strings.TrimSuffix(rest, "\r"))
			if c.Required {
				b.WriteString("  # has to be there")
			} else if c.Detail != "" {
				b.WriteString("  # " + c.Detail)
			}
			b.WriteString("\n")
		}
		if len(list) > 4 {
			fmt.Fprintf(&b, "and %d more\n", len(list)-4)
		}
		if len(list) == 0 {
			return "nothing\n"
		}
		return b.String()
	})
}

// What is said, where it is written, where it is named, and what becomes of
// another name for it.
func TestGoldenPlaces(t *testing.T) {
	table(t, "places", func(v *editor.View, files shelf, _ string, at int) string {
		var b strings.Builder
		if h, ok := v.Hover(at); ok {
			fmt.Fprintf(&b, "hover: %s\n%s\n", excerpt(files, h.Place), strings.TrimSpace(h.Text))
		}
		for _, p := range v.Definition(at) {
			fmt.Fprintf(&b, "definition: %s\n", excerpt(files, p))
		}
		for _, p := range v.References(at) {
			fmt.Fprintf(&b, "reference: %s\n", excerpt(files, p))
		}
		for _, name := range []string{"X-9", "9", "taken", "2", " ", ""} {
			if _, _, err := v.RenameRange(at); err != nil {
				fmt.Fprintf(&b, "no other name: %v\n", err)
				break
			}
			changes, err := v.Rename(at, name)
			if err != nil {
				fmt.Fprintf(&b, "not %q: %v\n", name, err)
				continue
			}
			fmt.Fprintf(&b, "as %q:", name)
			for _, c := range changes {
				fmt.Fprintf(&b, " %s:%d-%d %s", c.Path, c.From, c.To, c.With)
			}
			b.WriteString("\n")
		}
		return b.String()
	})
}

// The outline of a file, its links and what can be put away.
func TestGoldenOutline(t *testing.T) {
	table(t, "outline", func(v *editor.View, files shelf, text string, _ int) string {
		var b strings.Builder
		var write func(list []editor.Symbol, indent string)
		write = func(list []editor.Symbol, indent string) {
			for _, s := range list {
				fmt.Fprintf(&b, "%s%s", indent, s.Name)
				if s.Detail != "" {
					fmt.Fprintf(&b, " (%s)", s.Detail)
				}
				b.WriteString("\n")
				write(s.Children, indent+"  ")
			}
		}
		write(v.Symbols(), "")
		for _, l := range v.Links() {
			fmt.Fprintf(&b, "link to %s: %s\n", l.To, excerpt(files, l.Place))
		}
		line := func(at int) int { return 1 + strings.Count(text[:at], "\n") }
		for _, f := range v.Folds() {
			fmt.Fprintf(&b, "fold from line %d to %d", line(f.From), line(f.To))
			if f.Remark {
				b.WriteString(", remarks")
			}
			b.WriteString("\n")
		}
		return b.String()
	})
}

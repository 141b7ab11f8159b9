package editor_test

import (
	"bytes"
	"slices"
	"strings"
	"testing"

	"kitgauge/checker/editor"
	"kitgauge/checker/source"
	"kitgauge/examples"
)

// shelf are files by their paths: those that are open before the examples.
type shelf map[string]string

func (s shelf) ReadFile(path string) ([]byte, error) {
	if text, ok := s[path]; ok {
		return []byte(text), nil
	}
	return examples.ReadFile("", path)
}

const trailer = "trailer/trailer.kit.yaml"

var kits = []string{"gritter/gritter.kit.yaml", "loader/loader.kit.yaml", trailer}

func example(t testing.TB, name string) []byte {
	t.Helper()
	text, err := examples.ReadFile("", name)
	if err != nil {
		t.Fatal(err)
	}
	return text
}

// put is a text with a completion in it.
func put(text []byte, c editor.Completion) []byte {
	return slices.Concat(text[:c.From], []byte(c.Insert), text[c.To:])
}

// What is completed leaves a file that can be read, at every place of a kit
// that can be: of a whole run through the examples every so many bytes are
// tried here.
func TestCompletedIsReadable(t *testing.T) {
	tried := 0
	for _, name := range kits {
		text := example(t, name)
		v := editor.Open(name, text, shelf{}, editor.Options{})
		for at := step / 2; at < len(text); at += step {
			list := v.Completions(at)
			for i := range list {
				if i > 1 && i < len(list)-1 {
					continue
				}
				c := list[i]
				tried++
				if c.From > at || c.To < at || c.Caret < 0 || c.Caret > len(c.Insert) {
					t.Fatalf("%s, byte %d: %+v does not hold the byte", name, at, c)
				}
				if _, problems := source.Parse(name, put(text, c)); len(problems) > 0 {
					t.Errorf("%s, byte %d: %q leaves a file with %v", name, at, c.Insert, problems[0])
				}
			}
		}
	}
	if tried < 100 {
		t.Errorf("only %d were tried", tried)
	}
}

const step = 397

// A thing that is given another name and then its own again is the same file,
// byte for byte; and the definition is among the references.
func TestRenameThereAndBack(t *testing.T) {
	for _, name := range kits[1:] {
		text := example(t, name)
		v := editor.Open(name, text, shelf{}, editor.Options{})
		renamed := 0
		for _, s := range flat(v.Symbols()) {
			at := s.Named.From
			_, was, err := v.RenameRange(at)
			if err != nil || renamed%stepNames != 0 {
				renamed++
				continue
			}
			renamed++
			to := "renamed-x"
			if strings.Trim(was, "0123456789") == "" {
				to = "977"
			}
			there, moved := renamedAs(t, v, shelf{name: string(text)}, at, to)
			back := editor.Open(name, []byte(there[name]), there, editor.Options{})
			again, _ := renamedAs(t, back, there, moved, was)
			if again[name] != string(text) {
				t.Errorf("%s, %s: there and back is another file", name, s.Name)
			}
			if !slices.Contains(v.References(at), v.Definition(at)[0]) {
				t.Errorf("%s, %s: the definition is not among the references", name, s.Name)
			}
		}
		if renamed < 50 {
			t.Errorf("%s: only %d names", name, renamed)
		}
	}
}

const stepNames = 9

func flat(list []editor.Symbol) []editor.Symbol {
	var out []editor.Symbol
	for _, s := range list {
		out = append(append(out, s), flat(s.Children)...)
	}
	return out
}

// renamedAs are the files after a renaming, and where the byte is then.
func renamedAs(t *testing.T, v *editor.View, files shelf, at int, name string) (shelf, int) {
	t.Helper()
	changes, err := v.Rename(at, name)
	if err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	out := shelf{}
	for path, text := range files {
		out[path] = text
	}
	moved := at
	for _, c := range slices.Backward(changes) {
		if _, own := files[c.Path]; own && c.From < at {
			moved += len(c.With) - (c.To - c.From)
		}
		text, err := out.ReadFile(c.Path)
		if err != nil {
			t.Fatal(err)
		}
		out[c.Path] = string(slices.Concat(text[:c.From], []byte(c.With), text[c.To:]))
	}
	return out, moved
}

// Nothing that is asked of a text that is cut off panics, and what it answers
// lies within the text.
func TestCutOff(t *testing.T) {
	for _, name := range append(kits, "parts/winter.parts.yaml") {
		text := example(t, name)
		for at := 0; at < len(text); at += 7 * step {
			ask(t, name, text[:at], at)
		}
	}
}

// ask asks all that can be asked of a text at a byte.
func ask(t testing.TB, name string, text []byte, at int) {
	t.Helper()
	v := editor.Open(name, text, shelf{}, editor.Options{Kits: []string{trailer}})
	within := func(p editor.Place) {
		t.Helper()
		if p.Path == name && (p.From < 0 || p.To < p.From || p.To > len(text)) {
			t.Fatalf("%s, byte %d: %d to %d lies outside of the text", name, at, p.From, p.To)
		}
	}
	for _, c := range v.Completions(at) {
		within(editor.Place{Path: name, From: c.From, To: c.To})
	}
	if h, ok := v.Hover(at); ok {
		within(h.Place)
		if strings.TrimSpace(h.Text) == "" {
			t.Fatalf("%s, byte %d: it says nothing", name, at)
		}
	}
	for _, p := range slices.Concat(v.Definition(at), v.References(at)) {
		within(p)
	}
	if p, was, err := v.RenameRange(at); err == nil {
		within(p)
		if changes, err := v.Rename(at, was+"x"); err == nil && len(changes) == 0 {
			t.Fatalf("%s, byte %d: renaming %q changes nothing", name, at, was)
		}
	}
	for _, s := range flat(v.Symbols()) {
		within(s.Whole)
		within(s.Named)
	}
	for _, l := range v.Links() {
		within(l.Place)
	}
	for _, f := range v.Folds() {
		within(f.Place)
	}
	v.Figures(0, len(text))
}

// Whatever stands in a text, and whatever it is called, nothing panics.
func FuzzView(f *testing.F) {
	for _, name := range kits {
		text, err := examples.ReadFile("", name)
		if err != nil {
			f.Fatal(err)
		}
		for i := range 8 {
			from := i * len(text) / 9
			f.Add(name, text[from:from+300], 100+i)
		}
	}
	f.Add("x.parts.yaml", []byte("parts:\n  - {number: A, kind: tube, "), 35)
	f.Add("x.concessions.yaml", []byte("concessions: [{rule: "), 21)
	f.Add("kitgauge.settings.yaml", []byte("limits:\n  "), 10)
	f.Fuzz(func(t *testing.T, name string, text []byte, at int) {
		if len(text) > 1<<14 || bytes.IndexByte(text, 0) >= 0 {
			return
		}
		ask(t, name, text, min(max(at, 0), len(text)))
	})
}

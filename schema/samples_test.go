package schema_test

import (
	"fmt"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/rogpeppe/go-internal/txtar"

	"kitgauge/checker/golden"
	"kitgauge/checker/source"
	"kitgauge/schema"
)

const samplesDir = "../testdata/schema"

// written are the schemas of the files that people write. The result is the
// program's own, and package record holds it to its schema.
var written = []string{"cards", "concessions", "kit", "pack", "parts", "settings"}

// sample is a small file with at most one fault, and the findings wanted.
type sample struct {
	name string
	root *source.Node
	want string
}

func parse(t testing.TB, name, text string) *source.Node {
	t.Helper()
	docs, problems := source.Parse(name, []byte(text))
	if len(problems) > 0 || len(docs) != 1 {
		t.Fatalf("%s: not one readable document: %v", name, problems)
	}
	return docs[0].Root
}

func archive(t testing.TB, name string) *txtar.Archive {
	t.Helper()
	a, err := txtar.ParseFile(filepath.Join(samplesDir, name+".txtar"))
	if err != nil {
		t.Fatal(err)
	}
	return a
}

func samples(t testing.TB, name string) []sample {
	t.Helper()
	var list []sample
	for _, f := range archive(t, name).Files {
		base, isWant := strings.CutSuffix(f.Name, ".want")
		if !isWant {
			list = append(list, sample{name: f.Name, root: parse(t, f.Name, string(f.Data))})
			continue
		}
		last := &list[len(list)-1]
		if last.name != base+".yaml" {
			t.Fatalf("%s.txtar: %s does not follow its sample", name, f.Name)
		}
		last.want = string(f.Data)
	}
	return list
}

// everyMember is the sample of a schema that uses each member once.
func everyMember(t testing.TB, name string) *source.Node {
	t.Helper()
	s := samples(t, name)[0]
	if s.name != "every-member.yaml" {
		t.Fatalf("%s.txtar begins with %s", name, s.name)
	}
	return s.root
}

func format(problems []*source.Problem) string {
	var b strings.Builder
	for _, p := range problems {
		fmt.Fprintf(&b, "%d:%d: %s", p.Pos.Line, p.Pos.Column, p.Message)
		if p.Remedy != "" {
			b.WriteString("; " + p.Remedy)
		}
		b.WriteString("\n")
	}
	return b.String()
}

// The findings are read by eye when they change; the tests below hold them to
// things outside this package.
func TestGoldenSamples(t *testing.T) {
	for _, name := range written {
		list := samples(t, name)
		if golden.Updating() {
			rewrite(t, name, list)
			continue
		}
		for _, s := range list {
			t.Run(name+"/"+s.name, func(t *testing.T) {
				if diff := cmp.Diff(s.want, format(schema.Validate(name, s.root))); diff != "" {
					t.Errorf("findings, refreshed by go generate ./... (-want +got):\n%s", diff)
				}
			})
		}
	}
}

func rewrite(t *testing.T, name string, list []sample) {
	t.Helper()
	old := archive(t, name)
	updated := &txtar.Archive{Comment: old.Comment}
	for _, f := range old.Files {
		if strings.HasSuffix(f.Name, ".want") {
			continue
		}
		updated.Files = append(updated.Files, f)
		for _, s := range list {
			if s.name != f.Name {
				continue
			}
			if got := format(schema.Validate(name, s.root)); got != "" {
				updated.Files = append(updated.Files, txtar.File{Name: strings.TrimSuffix(f.Name, ".yaml") + ".want", Data: []byte(got)})
			}
		}
	}
	golden.Write(t, filepath.Join(samplesDir, name+".txtar"), txtar.Format(updated))
}

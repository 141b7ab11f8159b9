package command

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"kitgauge/checker"
	"kitgauge/checker/report"
	"kitgauge/checker/report/annotations"
	"kitgauge/checker/report/junit"
	"kitgauge/checker/report/markdown"
	"kitgauge/checker/report/record"
	"kitgauge/checker/report/sarif"
)

// writers are the reports that a check can write, in the order of the help.
var writers = []struct {
	name  string
	write func(w io.Writer, o checkOptions, run report.Run) error
}{
	{"text", writeText},
	{"json", func(w io.Writer, _ checkOptions, run report.Run) error { return record.Write(w, run) }},
	{"sarif", writeSARIF},
	{"junit", func(w io.Writer, _ checkOptions, run report.Run) error { return junit.Write(w, run) }},
	{"annotations", func(w io.Writer, _ checkOptions, run report.Run) error {
		return annotations.Write(w, run, annotations.Options{})
	}},
	{"markdown", func(w io.Writer, _ checkOptions, run report.Run) error {
		return markdown.Write(w, run, markdown.Options{})
	}},
}

func writeSARIF(w io.Writer, _ checkOptions, run report.Run) error {
	root, err := os.Getwd()
	if err != nil {
		root = "" // file names stay as they are
	}
	return sarif.Write(w, run, sarif.Options{Root: root})
}

func writerNames() []string {
	var names []string
	for _, w := range writers {
		names = append(names, w.name)
	}
	return names
}

// output is one report, and the file that it goes to; "" is standard output.
type output struct {
	write func(w io.Writer, o checkOptions, run report.Run) error
	file  string
}

// outputs reads what --report asks for: NAME or NAME=FILE, as often as wanted.
func outputs(asked []string) ([]output, error) {
	if len(asked) == 0 {
		asked = []string{"text"}
	}
	var list []output
	for _, a := range asked {
		name, file, named := strings.Cut(a, "=")
		i := slices.Index(writerNames(), name)
		switch {
		case i < 0:
			return nil, wrong("--report: %q is no report: it is %s", name, strings.Join(writerNames(), ", "))
		case named && file == "":
			return nil, wrong("--report: %s= names no file", name)
		case file == "-":
			file = ""
		case file != "":
			file = filepath.Clean(file)
		}
		for _, other := range list {
			switch {
			case other.file == file && file == "":
				return nil, wrong("--report: only one report can go to standard output; name a file for the others, as in %s=FILE", name)
			case other.file == file:
				return nil, wrong("--report: two reports go to %s", file)
			}
		}
		list = append(list, output{writers[i].write, file})
	}
	return list, nil
}

// writeAll writes the reports. No file is changed before all of them are made,
// and what goes to standard output comes last.
func writeAll(s Streams, o checkOptions, list []output, run report.Run) error {
	var drafts []*draft
	defer func() {
		for _, d := range drafts {
			d.discard()
		}
	}()
	for _, out := range list {
		if out.file == "" {
			continue
		}
		d, err := newDraft(out.file)
		if err != nil {
			return unwritten(out.file, err)
		}
		drafts = append(drafts, d)
		var text bytes.Buffer
		if err := out.write(&text, o, run); err != nil {
			return unwritten(out.file, err)
		}
		if err := d.fill(text.Bytes()); err != nil {
			return unwritten(out.file, err)
		}
	}
	for _, d := range drafts {
		if err := d.keep(); err != nil {
			return unwritten(d.asked, err)
		}
	}
	for _, out := range list {
		if out.file == "" {
			if err := out.write(s.Out, o, run); err != nil {
				return unwritten("standard output", err)
			}
		}
	}
	return nil
}

func unwritten(file string, err error) error {
	why := checker.Cause(err)
	if errors.Is(err, fs.ErrNotExist) {
		why = "there is no such directory"
	}
	return &failure{exitUnread, fmt.Errorf("the report cannot be written to %s: %s", file, why)}
}

// draft is a file that is written beside the one asked for and renamed when it
// is whole, so that there is never half a report.
type draft struct {
	asked  string
	target string   // what asked leads to
	file   *os.File // nil once it is kept or discarded
	direct bool     // target is no regular file: it is written as it is
}

func newDraft(asked string) (*draft, error) {
	d := &draft{asked: asked, target: asked}
	info, err := os.Stat(asked)
	switch {
	case err == nil && info.IsDir():
		return nil, errors.New("it is a directory")
	case err == nil && !info.Mode().IsRegular():
		d.direct = true
		d.file, err = os.OpenFile(asked, os.O_WRONLY, 0)
		return d, err
	case err == nil:
		if d.target, err = filepath.EvalSymlinks(asked); err != nil {
			return nil, err
		}
	}
	const most = 1000 // drafts that broken runs may have left
	for i := range most {
		d.file, err = os.OpenFile(fmt.Sprintf("%s.draft%d", d.target, i), os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
		if !errors.Is(err, fs.ErrExist) {
			break
		}
	}
	return d, err
}

func (d *draft) fill(text []byte) error {
	_, err := d.file.Write(text)
	return err
}

func (d *draft) keep() error {
	name := d.file.Name()
	if err := d.file.Close(); err != nil {
		return err
	}
	if !d.direct {
		if err := os.Rename(name, d.target); err != nil {
			return err
		}
	}
	d.file = nil
	return nil
}

func (d *draft) discard() {
	if d.file == nil {
		return
	}
	d.file.Close() // may be closed already
	if !d.direct {
		os.Remove(d.file.Name())
	}
}

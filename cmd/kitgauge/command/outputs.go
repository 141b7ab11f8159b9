package command

import (
	"cmp"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"kitgauge/checker/files"
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

// writeAll writes the reports. No file is changed before all of them are whole,
// and what goes to standard output comes last.
func writeAll(s Streams, o checkOptions, list []output, run report.Run) error {
	set := &s.during.files
	defer set.Discard()
	for _, out := range list {
		if out.file == "" {
			continue
		}
		if err := refuseKit(out.file); err != nil {
			return err
		}
		text, err := out.text(o, run)
		if err != nil {
			return unwritten(out.file, err)
		}
		if err := set.Add(out.file, text); err != nil {
			return unwritten(out.file, err)
		}
	}
	if err := set.Keep(); err != nil {
		return unwritten("", err)
	}
	for _, out := range list {
		if out.file == "" {
			o.screen = s.Out
			text, err := out.text(o, run)
			if err == nil {
				_, err = s.Out.Write(text)
			}
			if err != nil {
				return unwritten("standard output", err)
			}
		}
	}
	return nil
}

// text is the whole report.
func (out *output) text(o checkOptions, run report.Run) ([]byte, error) {
	return whole(toWrite(o.time), len(run.Kits), func(w io.Writer) error { return out.write(w, o, run) })
}

// writeWhole writes what was asked for: to standard output where no file is
// named, else to a file that takes the place of an older one when it is whole.
func writeWhole(s Streams, limit time.Duration, file string, write func(io.Writer) error) error {
	if file != "" {
		if err := refuseKit(file); err != nil {
			return err
		}
	}
	text, err := whole(toWrite(limit), 1, write)
	switch {
	case err != nil:
	case file == "":
		_, err = s.Out.Write(text)
	default:
		err = s.during.files.Write(file, text)
	}
	if err != nil {
		return unwritten(cmp.Or(file, "standard output"), err)
	}
	return nil
}

// refuseKit refuses to write a report over a kit, which is what comes of two
// names in the wrong order.
func refuseKit(file string) error {
	if files.IsKitName(file) {
		return wrong("%s has the name of a kit file, which no report is written to", report.Visible(file))
	}
	return nil
}

// unwritten says that a report could not be written, to a file unless the
// error names another.
func unwritten(file string, err error) error {
	var fault *files.Error
	if errors.As(err, &fault) {
		file, err = fault.File, fault.Err
	}
	why := files.PlainError(err)
	if errors.Is(err, fs.ErrNotExist) {
		why = "there is no such directory"
	}
	return &failure{exitUnread, fmt.Errorf("the report cannot be written to %s: %s", file, why)}
}

// reportNames completes a report; behind the sign comes any file.
func reportNames(_ *cobra.Command, _ []string, prefix string) ([]string, cobra.ShellCompDirective) {
	if strings.Contains(prefix, "=") {
		return nil, cobra.ShellCompDirectiveDefault
	}
	return begun(prefix, "", writerNames()), cobra.ShellCompDirectiveNoFileComp
}

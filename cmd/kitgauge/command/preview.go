package command

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"kitgauge/checker"
	"kitgauge/checker/files"
	"kitgauge/checker/report"
	"kitgauge/checker/report/preview"
)

type previewOptions struct {
	checkFlags
	number string
}

func previewCommand(s Streams) *cobra.Command {
	var o previewOptions
	c := &cobra.Command{
		Use:   "preview KIT",
		Short: "Show a kit in a browser while it is edited",
		Long: `Serve a page that shows a kit while it is edited: its drawing, what is found
in it, its margins, and the kit with its joints wherever they are moved to, with
spans, loops and zones as the check computes them. The page is shown anew when
the kit, its catalogues, settings or concessions are saved; a file that cannot
be read leaves the last picture, and says what is wrong.

The address of the page is written to standard output; no browser is opened. It
is on 127.0.0.1 alone, at a port and with a secret that are new each time, and
the page takes nothing from the network and writes nothing. Interrupt the
command (Ctrl-C) to end it.

Exit status:
  2  the kit could not be read at all, or the page cannot be served
  3  wrong use of the command, or a broken rule pack
  129, 130, 143  ended by a signal, as it usually is`,
		Example: `  kitgauge preview kits/gritter.kit.yaml`,
		Args:    needs(1, 1, "preview needs one kit file"),
		RunE:    func(_ *cobra.Command, args []string) error { return o.serve(s, args[0]) },
	}
	c.ValidArgsFunction = kitsUpTo(1)
	o.checkFlags.flags(c)
	numberFlag(c, &o.number, "the file holds")
	return c
}

func (o *previewOptions) serve(s Streams, name string) error {
	if name == "-" {
		return wrong("preview watches a file: name one in place of -")
	}
	if info, err := os.Stat(name); err == nil && info.IsDir() {
		return wrong("%s is a directory: name a kit file in it", report.Visible(name))
	}
	site := newSite(func(before *looked) (*looked, error) { return o.look(s, name, before) })
	if err := site.check(); err != nil {
		return err
	}
	watch, err := watchFiles(site)
	if err != nil {
		return &failure{exitUnread, fmt.Errorf("the files cannot be watched: %s", files.PlainError(err))}
	}
	defer watch.Close()
	if err := site.listen(); err != nil {
		return &failure{exitUnread, fmt.Errorf("the page cannot be served: %s", files.PlainError(err))}
	}
	if _, err := fmt.Fprintln(s.Out, site.address()); err != nil {
		return err
	}
	say(s.Err, "the page shows %s as it is saved; interrupt to end", name)
	return &failure{exitUnread, fmt.Errorf("the page is no longer served: %w", site.serve())}
}

// looked is one look at a kit: the state that the page shows, and what it rests
// on.
type looked struct {
	*preview.State
	inputs []checker.Input // nil where the files could not be read
	dirs   []string        // in which files stand that it rests on, or might
}

// look checks the kit. What the page can show is no error; where nothing has
// changed it returns the look before.
func (o *previewOptions) look(s Streams, name string, before *looked) (*looked, error) {
	number, state := 1, (*preview.State)(nil)
	if before != nil {
		number, state = before.Number+1, before.State
	}
	saved := savedAt(name)
	r, run, err := o.checked(s, name)
	if err != nil {
		if before == nil {
			return nil, err
		}
		if before.inputs == nil && before.Trouble == err.Error() {
			return before, nil
		}
		return &looked{preview.Failed(number, err.Error(), state), nil, before.dirs}, nil
	}
	if before != nil && before.inputs != nil && sameInputs(before.inputs, r.Inputs) {
		return before, nil
	}
	return &looked{preview.New(number, preview.Input{Run: run, Facts: r.Facts, Saved: saved}, state), r.Inputs, dirsOf(name, r)}, nil
}

// savedAt tells when a file was saved, to the second, as the clock of this
// machine has it.
func savedAt(name string) string {
	info, err := os.Stat(name)
	if err != nil {
		return "at a time that is not known" // and it cannot be read
	}
	return info.ModTime().Format(time.DateTime)
}

func (o *previewOptions) checked(s Streams, name string) (*checker.Result, report.Run, error) {
	c, err := o.checker(s, checker.Options{Margins: true, Figures: true})
	if err != nil {
		return nil, report.Run{}, err
	}
	results, err := c.CheckFile(name)
	if err != nil {
		return nil, report.Run{}, failed(err)
	}
	r, err := pick(results, o.number)
	if err != nil {
		return nil, report.Run{}, err
	}
	run, err := c.Report(version, r)
	if err != nil {
		return nil, run, failed(err)
	}
	return r, run, nil
}

// sameInputs reports whether two checks rest on the same texts.
func sameInputs(a, b []checker.Input) bool {
	if len(a) != len(b) {
		return false
	}
	for i := range a {
		if a[i].Role != b[i].Role || a[i].Name != b[i].Name || string(a[i].Text) != string(b[i].Text) {
			return false
		}
	}
	return true
}

// dirsOf lists the directories whose files a check may rest on: that of the kit
// and those above it, in which settings may come to stand, those of all that
// went in, and of the catalogues that it names.
func dirsOf(name string, r *checker.Result) []string {
	seen := map[string]bool{}
	var dirs []string
	add := func(file string) {
		for _, f := range []string{file, followed(file)} {
			if dir := filepath.Dir(f); !seen[dir] {
				seen[dir] = true
				dirs = append(dirs, dir)
			}
		}
	}
	add(name)
	for _, file := range files.Upwards(filepath.Dir(name), "x") {
		add(filepath.FromSlash(file))
	}
	for _, in := range r.Inputs {
		if !in.BuiltIn {
			add(filepath.FromSlash(in.Name))
		}
	}
	if r.Facts != nil {
		for _, c := range r.Facts.Catalogues {
			if file, why := files.CatalogueBeside(name, c.V); why == "" {
				add(filepath.FromSlash(file))
			}
		}
	}
	return dirs
}

// followed is the file that a link leads to.
func followed(file string) string {
	if real, err := filepath.EvalSymlinks(file); err == nil {
		return real
	}
	return file
}

// mayMatter reports whether a file of this name may be one that a kit rests on.
func mayMatter(name string) bool {
	switch strings.ToLower(filepath.Ext(name)) {
	case ".yaml", ".yml", ".json", ".txt":
		return true
	}
	return false
}

// errNoPicture is told to a page that asks for what is no longer shown.
var errNoPicture = errors.New("the kit was checked again since")

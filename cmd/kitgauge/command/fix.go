package command

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"strings"

	"github.com/rogpeppe/go-internal/diff"
	"github.com/spf13/cobra"

	"kitgauge/checker"
	"kitgauge/checker/edit"
	"kitgauge/checker/files"
	"kitgauge/checker/finding"
	"kitgauge/checker/report"
)

type fixOptions struct {
	checkFlags
	rules  []string
	places []string
	dryRun bool
}

func fixCommand(s Streams) *cobra.Command {
	var o fixOptions
	c := &cobra.Command{
		Use:   "fix KIT",
		Short: "Write into a kit file what its findings ask for",
		Long: `Write into a kit file what follows from the rest of it, or from arithmetic:
cut lengths, markers, rows of the call-out sheet and of the parts list, blanked
outlets, document revisions, misspelt keys and ids, units. Remarks, order and
everything that is not touched stay as they are. It is repeated until nothing
more can be mended. An edit that would add a finding, or make one worse, is left
out and said; so is a finding that follows from another, which comes first.

What somebody has to decide (a fuse, an element, a free length, a conduit, a
part) is written only where it is asked for with --rule or --place: then what
matches is mended, and nothing else. Look at the vehicle first, and read the
difference before the kit is built.

` + fixExitHelp,
		Example: `  kitgauge fix --dry-run examples/gritter-faulty/gritter-faulty.kit.yaml
  kitgauge fix fleet/gritter.kit.yaml
  kitgauge fix --rule power/fuse-covers-draw fleet/gritter.kit.yaml
  kitgauge fix --place "line 7" fleet/gritter.kit.yaml`,
		Args:              needs(1, 1, "fix needs one kit file"),
		ValidArgsFunction: kitsUpTo(1),
		RunE:              func(_ *cobra.Command, args []string) error { return fix(s, o, args[0]) },
	}
	f := c.Flags()
	o.checkFlags.flags(c)
	o.ruleFlag(c, &o.rules, "mend the findings of this rule, as often as wanted, what has to be decided as well")
	f.StringArrayVar(&o.places, "place", nil, "mend the findings at this place, as findings name it (\"line 7\"), and within it; a name alone (D1) will do where one thing has it; as often as wanted")
	f.BoolVar(&o.dryRun, "dry-run", false, "write nothing: show the difference, which patch can read")
	_ = c.RegisterFlagCompletionFunc("place", inKits(checker.Options{}, placesFound))
	return c
}

// placesFound are the places at which something is found.
func placesFound(r *checker.Result) []string {
	var places []string
	for _, f := range r.Findings {
		places = append(places, f.Place)
	}
	return places
}

const fixExitHelp = `The exit status is that of a check of the kit as it is mended:
  0  every kit is within the gate
  1  there are findings at or above the gate
  2  a kit could not be read or written, or does not have the shape of a kit
  3  wrong use of the command, or a broken rule pack`

func fix(s Streams, o fixOptions, name string) error {
	if name == "-" {
		return wrong("fix writes the file that it reads: name a kit file")
	}
	c, err := o.checker(s, checker.Options{Remember: true})
	if err != nil {
		return err
	}
	if err := knownRules(c, o.rules, []string{name}); err != nil {
		return err
	}
	text, err := files.ReadFile(name)
	if err != nil {
		return failed(&files.Error{File: name, Err: err})
	}
	fixed, err := c.Fix(name, text, checker.FixOptions{Rules: o.rules, Places: o.places})
	var ambiguous *checker.AmbiguousPlace
	if errors.As(err, &ambiguous) {
		return wrong("--place: %s", ambiguous)
	}
	if err != nil {
		return failed(err)
	}
	run, err := c.Report(version, fixed.After...)
	if err != nil {
		return failed(err)
	}
	if o.dryRun {
		if err := writeDiff(s.Out, diff.Diff(name, text, name, fixed.Text)); err != nil {
			return unwritten("standard output", err)
		}
		tellFix(s.Err, fixed, "would be ")
		return exit(run.Exit())
	}
	if err := replace(s, name, text, fixed.Text); err != nil {
		return err
	}
	tellFix(s.Out, fixed, "")
	return exit(run.Exit())
}

// writeDiff writes a difference as it is, for patch; what a file holds steers no
// terminal.
func writeDiff(w io.Writer, text []byte) error {
	if _, is := screen(w); is {
		var b bytes.Buffer
		for line := range strings.Lines(string(text)) {
			b.WriteString(report.Visible(strings.TrimRight(line, "\r\n")) + "\n")
		}
		text = b.Bytes()
	}
	_, err := w.Write(text)
	return err
}

// replace puts the new text in the place of the file, where that is still as it
// was read.
func replace(s Streams, name string, old, text []byte) error {
	if bytes.Equal(old, text) {
		return nil
	}
	now, err := files.ReadFile(name)
	if err == nil && !bytes.Equal(now, old) {
		err = fmt.Errorf("it was changed by somebody else meanwhile, and stays as it is")
	}
	if err == nil {
		err = s.during.files.Write(name, text)
	}
	if err != nil {
		return &failure{exitUnread, fmt.Errorf("%s cannot be mended: %s", name, files.PlainError(err))}
	}
	return nil
}

// tellFix says what was mended, what was not, and what is left.
func tellFix(w io.Writer, f *checker.Fix, would string) {
	for _, says := range f.Nowhere() {
		fmt.Fprintln(w, report.Visible(says))
	}
	for _, m := range f.Made {
		fmt.Fprintf(w, "%s  %s\n", report.Visible(m.Place), m.Rule)
		for i, c := range m.Edits {
			if idle(c, m.Was[i]) {
				continue
			}
			fmt.Fprintf(w, "    %s\n", report.Visible(said(c, m.Was[i])))
		}
	}
	for _, s := range f.Slips {
		fmt.Fprintf(w, "%s  %s\n", report.Visible(s.Pos.String()), report.Visible(s.Says))
	}
	if len(f.Slips) > 0 {
		fmt.Fprintln(w, "    look at the vehicle before anything is changed; --rule or --place mends what waits for it all the same")
	}
	for _, h := range f.Hidden() {
		fmt.Fprintf(w, "%s  %s\n    is no longer found, and was not mended: look at the vehicle whether it is right: %s\n", report.Visible(h.Place), h.Rule, report.Visible(h.Message))
	}
	if len(f.Left) > 0 {
		fmt.Fprintf(w, "left as they are:\n")
	}
	for _, u := range f.Left {
		fmt.Fprintf(w, "%s  %s\n    %s\n", report.Visible(u.Place), u.Rule, report.Visible(u.Why))
	}
	unread(w, f.After)
	unmeant(w, f.After)
	was, is := open(f.Before), open(f.After)
	fmt.Fprintf(w, "%s %smended; of %s %s left\n", amounts(len(f.Made), "finding", "findings"), would, amounts(was, "finding", "findings"), amounts(is, "is", "are"))
	choices, follow, none := remaining(f.After)
	if choices > 0 {
		fmt.Fprintf(w, "%d of them have an edit that somebody has to decide on; --rule or --place makes it\n", choices)
	}
	if follow > 0 {
		fmt.Fprintf(w, "%d of them have an edit that waits for another finding; --rule or --place makes it all the same\n", follow)
	}
	if none > 0 {
		fmt.Fprintf(w, "%d of them have no edit that could be written for you: kitgauge check tells what would be right\n", none)
	}
}

// unread says why a file is not read as a kit.
func unread(w io.Writer, results []*checker.Result) {
	for _, r := range results {
		for _, f := range r.Findings {
			if !r.Shaped && f.Status == finding.Violated && strings.HasPrefix(f.Rule, "file/") && f.Rule != "file/reference" {
				fmt.Fprintf(w, "%s  %s\n    %s\n", report.Visible(f.Pos.String()), f.Rule, wrongAndRight(&f))
			}
		}
	}
}

// unmeant says of names and values that are wrong, and have no edit, what is
// wrong: it is not certain what is meant.
func unmeant(w io.Writer, results []*checker.Result) {
	for _, r := range results {
		for _, f := range r.Findings {
			reference := f.Rule == "file/reference"
			if f.Status == finding.Violated && len(f.Edits) == 0 && (reference || r.Shaped && strings.HasPrefix(f.Rule, "file/")) {
				fmt.Fprintf(w, "%s  %s\n    left, since it is not certain what is meant: %s\n", report.Visible(f.Place), f.Rule, wrongAndRight(&f))
			}
		}
	}
}

// wrongAndRight is what is wrong and what would be right, on one line.
func wrongAndRight(f *finding.Finding) string {
	if f.Remedy == "" {
		return report.Visible(f.Message)
	}
	return report.Visible(f.Message + "; " + f.Remedy)
}

func amounts(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

// idle reports whether an edit, which goes with others, changes nothing here.
func idle(c edit.Change, was string) bool {
	return c.Do == edit.Set && was == c.Value || c.Do == edit.Remove && was == ""
}

// said is an edit in words.
func said(c edit.Change, was string) string {
	switch {
	case c.Do == edit.Rename:
		return c.At + " becomes " + c.Key
	case c.Do == edit.Remove:
		return c.At + ": " + was + " goes"
	case c.Do == edit.Insert:
		return strings.TrimSuffix(c.At, "/-") + " gets " + c.Value
	case was == "":
		return c.At + ": " + c.Value
	}
	return c.At + ": " + was + " becomes " + c.Value
}

// open counts the findings that stand.
func open(results []*checker.Result) int {
	n := 0
	for _, r := range results {
		for _, f := range r.Findings {
			if f.Status == finding.Violated || f.Status == finding.NotEvaluated {
				n++
			}
		}
	}
	return n
}

// remaining counts the findings whose edits were not asked for, those that
// somebody has to decide on and those that wait for another, and the findings
// that have none.
func remaining(results []*checker.Result) (choices, follow, none int) {
	for _, r := range results {
		for _, f := range r.Findings {
			open := f.Status == finding.Violated || f.Status == finding.NotEvaluated
			switch {
			case open && len(f.Edits) == 0:
				none++
			case f.Status != finding.Violated:
			case f.Follows != "":
				follow++
			case f.Choice:
				choices++
			}
		}
	}
	return choices, follow, none
}

// Package annotations writes the results of a run as workflow commands, with
// which a CI job puts findings at the lines of the files that it checked. The
// runner carries out what it reads as a command, so that text from a kit is
// written in a way in which it cannot become one.
package annotations

import (
	"cmp"
	"fmt"
	"io"
	"path"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"kitgauge/checker/finding"
	"kitgauge/checker/report"
	"kitgauge/checker/source"
)

// Most is the number of annotations of each kind that a runner keeps for one
// step; more are dropped without a word.
const Most = 10

// Options says how the annotations are written.
type Options struct {
	// See names where the rest stands when there is more than a step may
	// say; empty stands for the other reports of the run.
	See string
}

// note is one annotation.
type note struct {
	file         string
	line, column int
	end          source.Pos // of the value; no place where it is not known
	title        string
	text         string
	weight       int // the heaviest is shown first
}

// The commands of the runner, by how grave they are.
const (
	errorCommand   = "error"
	warningCommand = "warning"
	noticeCommand  = "notice"
)

// Write writes the results of a run: for each kind the gravest findings first,
// at most as many as a step may have, and in the last one how many more there
// are. The verdict and the caution close the log in words of kitgauge alone.
// The same run and options give the same bytes.
func Write(w io.Writer, run report.Run, o Options) error {
	see := cmp.Or(o.See, "the other reports of this run")
	var b strings.Builder
	notes := gather(run)
	write(&b, errorCommand, notes[errorCommand], nil, see)
	write(&b, warningCommand, notes[warningCommand], judged(run, see), see)
	write(&b, noticeCommand, notes[noticeCommand], sums(run, see), see)
	fmt.Fprintf(&b, "%s\n", run.Counts().Verdict(run.Gate))
	if run.Policy != "" {
		fmt.Fprintf(&b, "%s\n", data(run.JudgedBy()))
	}
	fmt.Fprintf(&b, "%s\n", report.Caution)
	_, err := io.WriteString(w, b.String())
	return err
}

// gather sorts the findings by command, the gravest first and within that in
// the order of the run.
func gather(run report.Run) map[string][]note {
	notes := map[string][]note{}
	for i := range run.Kits {
		k := &run.Kits[i]
		for j := range k.Findings {
			f := &k.Findings[j]
			if f.Status == finding.Known {
				continue // summed up
			}
			kind := command(k, f, run.Gate)
			notes[kind] = append(notes[kind], noteOf(k, f))
		}
	}
	for _, list := range notes {
		slices.SortStableFunc(list, func(a, b note) int { return cmp.Compare(b.weight, a.weight) })
	}
	return notes
}

// command is an error for what the gate stops, and where the kit was not
// checked in full, for why; what it lets through is a warning, so that a job
// that passes shows no error.
func command(k *report.Kit, f *finding.Finding, gate finding.Severity) string {
	switch {
	case f.Status == finding.Conceded:
		return noticeCommand
	case f.AtOrAbove(gate), !k.Shaped && report.Pack(f.Rule) == "file":
		return errorCommand
	case f.Severity == finding.None:
		return noticeCommand
	}
	return warningCommand
}

func noteOf(k *report.Kit, f *finding.Finding) note {
	n := note{
		file: cmp.Or(f.Pos.File, k.File), line: f.Pos.Line, column: f.Pos.Column,
		end: k.EndOf(f.Pos, f.Pointer), title: f.Severity.String() + ": " + f.Rule, text: f.Message, weight: 2 * int(f.Severity),
	}
	if f.Title != "" {
		n.title += ": " + f.Title
	}
	if f.Place != "" {
		n.text = f.Place + ": " + n.text
	}
	if f.Status == finding.Violated {
		n.weight++ // what is known to be wrong goes before what is not known
	}
	if c := f.Concession; c != nil {
		n.title = "conceded, " + n.title
		n.text += fmt.Sprintf("; conceded by %s until %s: %s", c.GrantedBy, c.Until, c.Reason)
	} else if f.Remedy != "" {
		n.text += "; remedy: " + f.Remedy
	}
	return n
}

// judged are notes on what the kits were judged by, as far as that is less than
// usual, and on what was not looked at.
func judged(run report.Run, see string) []note {
	var list []note
	weakened := run.Weakened()
	for i, w := range weakened {
		if i == 2 && len(weakened) > 3 {
			list = append(list, note{title: "weakened by settings", text: fmt.Sprintf("and by %d further settings: see %s", len(weakened)-i, see)})
			break
		}
		list = append(list, note{file: w.Settings[len(w.Settings)-1], line: 1, title: "weakened by settings", text: w.Where()})
	}
	if len(run.Passed) > 0 {
		const shown = 5
		text := strings.Join(run.Passed[:min(shown, len(run.Passed))], "; ")
		if more := len(run.Passed) - shown; more > 0 {
			text += fmt.Sprintf("; and %d more: see %s", more, see)
		}
		list = append(list, note{title: "not checked", text: text})
	}
	return list
}

// sums are notes on what is not shown one by one.
func sums(run report.Run, see string) []note {
	var list []note
	if known := run.Counts().Known; known > 0 {
		list = append(list, note{title: "known findings", text: report.Count(known, "known finding does", "known findings do") + " not count against the gate: see " + see})
	}
	if gone := len(run.Gone); gone > 0 {
		list = append(list, note{title: "no longer found", text: report.Count(gone, "known finding is", "known findings are") + " no longer found and can leave the record: see " + see})
	}
	return list
}

// write writes the notes of one kind. Those that close come last and have
// their place in any case.
func write(b *strings.Builder, command string, list, closing []note, see string) {
	if room := Most - len(closing); len(list) > room {
		rest := len(list) - (room - 1)
		list = append(slices.Clone(list[:room-1]), note{title: "more findings", text: fmt.Sprintf("and %d more: see %s", rest, see)})
	}
	for _, n := range append(slices.Clone(list), closing...) {
		b.WriteString("::" + command + n.properties() + "::" + data(n.text) + "\n")
	}
}

func (n note) properties() string {
	var list []string
	if n.file != "" {
		list = append(list, "file="+property(path.Clean(filepath.ToSlash(n.file))))
		if n.line > 0 {
			list = append(list, "line="+strconv.Itoa(n.line))
		}
		if n.line > 0 && n.column > 0 {
			list = append(list, "col="+strconv.Itoa(n.column))
			if n.end.Line == n.line { // a runner knows columns within a line alone
				list = append(list, "endColumn="+strconv.Itoa(n.end.Column))
			}
		}
	}
	list = append(list, "title="+property(n.title))
	return " " + strings.Join(list, ",")
}

var (
	dataEscapes     = strings.NewReplacer("%", "%25", "\r", "%0D", "\n", "%0A")
	propertyEscapes = strings.NewReplacer("%", "%25", "\r", "%0D", "\n", "%0A", ":", "%3A", ",", "%2C")
)

// data writes text behind a command. There is no line break left in it to
// begin a line with, nor the older sign of a command, which runners look for
// anywhere in a line.
func data(text string) string {
	return dataEscapes.Replace(strings.ReplaceAll(report.Visible(text), "##[", "## ["))
}

// property writes the value of a property, in which a colon or a comma would
// end it.
func property(text string) string {
	return propertyEscapes.Replace(strings.ReplaceAll(report.Visible(text), "##[", "## ["))
}

package command

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path"
	"path/filepath"

	"github.com/spf13/cobra"

	"kitgauge/checker"
	"kitgauge/checker/finding"
	"kitgauge/checker/report"
	"kitgauge/checker/stream"
)

type streamOptions struct {
	checkFlags
	base    string
	margins bool
	figures bool
}

func streamCommand(s Streams) *cobra.Command {
	var o streamOptions
	c := &cobra.Command{
		Use:   "stream",
		Short: "Check kits that come as JSON lines",
		Long: `Check kits that come on standard input as JSON lines, a kit on each, and write
the result of each to standard output as JSON on one line, in the same order:
what check --report json writes of a kit (the schema's $defs/kit: kitgauge
schema result), with line, the number of the line it came on. A line that
cannot be read gives a result with its fault, and the stream goes on. The sum
comes on standard error when the stream ends.

The catalogues that a kit names are read, and settings are looked for, as if
the kit stood in the directory of --base. Memory is bounded, however long the
stream is.

When it is interrupted, the lines that it has written are whole, and standard
error says of how many lines they are, so that one can go on after them.

` + exitHelp,
		Example: `  kitgauge stream < kits.jsonl > results.jsonl
  kitgauge stream --base fleet/kits --gate critical < kits.jsonl`,
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) > 0 {
				return fmt.Errorf("stream takes no arguments: it reads standard input")
			}
			return nil
		},
		RunE: func(*cobra.Command, []string) error { return checkStream(s, &o) },
	}
	f := c.Flags()
	o.checkFlags.flags(c)
	f.StringVar(&o.base, "base", ".", "the directory from which kits name their catalogues")
	f.BoolVar(&o.figures, "figures", false, "write the computed figures: lengths, pressures, amounts, voltages")
	f.BoolVar(&o.margins, "margins", false, "write how near each rule came to its limit")
	_ = c.MarkFlagDirname("base")
	return c
}

func checkStream(s Streams, o *streamOptions) error {
	if info, err := os.Stat(o.base); err != nil {
		return &failure{exitUnread, fmt.Errorf("--base: %s: %s", o.base, checker.PlainError(err))}
	} else if !info.IsDir() {
		return &failure{exitUnread, fmt.Errorf("--base: %s is not a directory", o.base)}
	}
	c, err := o.checker(checker.Options{Margins: o.margins})
	if err != nil {
		return err
	}
	name := path.Join(filepath.ToSlash(o.base), "standard input")
	gate, err := o.gateOf(c, name)
	if err != nil {
		return err
	}

	ctx := s.during.gently()
	check := func(l stream.Line) ([]report.Kit, error) { return o.line(c, name, l) }
	counts, err := stream.Run(ctx, s.In, s.Out, stream.Options{Check: check, Gate: gate})
	return o.ended(ctx, s, counts, gate, err)
}

// gateOf is the gate for all lines: they stand in one place, so that one
// settings file applies to them all.
func (o *streamOptions) gateOf(c *checker.Checker, name string) (finding.Severity, error) {
	profile, err := c.Config(name)
	if err != nil {
		return 0, &failure{exitUsage, err}
	}
	if o.gate != "" {
		return finding.ParseSeverity(o.gate)
	}
	return profile.Gate(finding.Major), nil
}

// line checks one line of the stream.
func (o *streamOptions) line(c *checker.Checker, name string, l stream.Line) ([]report.Kit, error) {
	if l.Fault != nil {
		l.Fault.Pos.File = name
		return []report.Kit{reported(checker.Unread(name, nil, l.Fault), c)}, nil
	}
	results, err := c.CheckAt(name, l.Number, l.Text)
	if err != nil {
		return nil, &failure{exitUsage, err}
	}
	kits := make([]report.Kit, len(results))
	for i, r := range results {
		kits[i] = reported(r, c)
		if o.figures && r.Facts != nil {
			kits[i].Figures = figuresOf(r.Facts)
		}
	}
	return kits, nil
}

// ended sums up, and turns the way in which the stream ended into a status.
func (o *streamOptions) ended(ctx context.Context, s Streams, counts stream.Counts, gate finding.Severity, err error) error {
	written := report.Count(counts.Lines, "line", "lines")
	switch {
	case errors.Is(err, stream.ErrWrite):
		return &failure{exitUnread, fmt.Errorf("%w: %s; the results of %s are whole", stream.ErrWrite, checker.PlainError(err), written)}
	case errors.Is(err, stream.ErrRead):
		return &failure{exitUnread, fmt.Errorf("%w; the results of %s are written", err, written)}
	case err != nil && ctx.Err() == nil:
		return err
	}
	status := exit(counts.Exit())
	if err != nil {
		fmt.Fprintf(s.Err, "kitgauge: %s after %s\n", saidOf(s.during.caught), written)
		status = exit(exitInterrupted)
	}
	fmt.Fprintf(s.Err, "kitgauge: %s: %d with nothing found, %d with findings, %d not checked in full; %s\n",
		report.Count(counts.Kits, "kit", "kits"), counts.Clean, counts.WithFindings, counts.Unreadable, counts.Verdict(gate))
	return status
}

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
	"kitgauge/checker/files"
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
		Args:              needs(0, 0, "stream takes no arguments: it reads standard input"),
		ValidArgsFunction: cobra.NoFileCompletions,
		RunE:              func(*cobra.Command, []string) error { return checkStream(s, &o) },
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
		return &failure{exitUnread, fmt.Errorf("--base: %s: %s", o.base, files.PlainError(err))}
	} else if !info.IsDir() {
		return &failure{exitUnread, fmt.Errorf("--base: %s is not a directory", o.base)}
	}
	c, err := o.checker(s, checker.Options{Margins: o.margins, Figures: o.figures})
	if err != nil {
		return err
	}
	name := path.Join(filepath.ToSlash(o.base), "standard input")
	gate, err := c.GateFor(name)
	if err != nil {
		return failed(err)
	}
	config, err := c.Config(name)
	if err != nil {
		return failed(err)
	}
	if w := config.Weakened(o.gate == ""); w != nil {
		say(s.Err, "weakened by settings: %s", w.Where())
	}
	ctx := s.during.gently()
	counts, err := stream.Run(ctx, s.In, s.Out, stream.Options{Check: stream.By(c, name), Gate: gate})
	return ended(ctx, s, counts, gate, err)
}

// ended sums up, and turns the way in which the stream ended into a status.
func ended(ctx context.Context, s Streams, counts stream.Counts, gate finding.Severity, err error) error {
	written := report.Count(counts.Lines, "line", "lines")
	switch {
	case errors.Is(err, stream.ErrWrite):
		return &failure{exitUnread, fmt.Errorf("%w: %s; the results of %s are whole", stream.ErrWrite, files.PlainError(err), written)}
	case errors.Is(err, stream.ErrRead):
		return &failure{exitUnread, fmt.Errorf("%w; the results of %s are written", err, written)}
	case err != nil && ctx.Err() == nil:
		return failed(err)
	}
	status := exit(counts.Exit())
	if err != nil {
		say(s.Err, "%s after %s", saidOf(s.during.caught), written)
		status = exit(exitInterrupted)
	}
	say(s.Err, "%s: %d with nothing found, %d with findings, %d not checked in full; %s",
		report.Count(counts.Kits, "kit", "kits"), counts.Clean, counts.WithFindings, counts.Unreadable, counts.Verdict(gate))
	return status
}

package command

import (
	"context"

	"github.com/spf13/cobra"

	"kitgauge/checker"
	"kitgauge/cmd/kitgauge/languageserver"
)

type serverOptions struct {
	checkFlags
	slips string
	stdio bool // what is done anyway
	of    int  // the process of the editor, whose end is that of standard input
}

func languageServerCommand(s Streams) *cobra.Command {
	var o serverOptions
	c := &cobra.Command{
		Use:   "language-server",
		Short: "Answer an editor while a kit is typed",
		Long: `Answer an editor while a kit is typed: the Language Server Protocol, version
3.17, over standard input and standard output. The editor starts it; README
says how. It shows findings as they come, offers the edits that clear them, and
knows what can be written where.

Open kits are checked as check does, with the text of catalogues, concessions,
settings and packs that are open taken as it stands in the editor. Nothing that
stands in a tree is run, nothing leaves the machine, no file is written, and
nothing is read that a check would not read. What can be set in the editor:
figures: false, in the initialization options or in the settings of kitgauge,
leaves computed figures out of the text.

Exit status:
  0  the editor asked for the end, shutdown first and then exit
  1  the connection ended otherwise
  3  wrong use of the command
  129, 130, 143  ended by a signal`,
		Example: `  kitgauge language-server
  kitgauge language-server --gate critical --slips never`,
		Args:              needs(0, 0, "language-server takes no file: the editor opens them"),
		ValidArgsFunction: cobra.NoFileCompletions,
		RunE:              func(*cobra.Command, []string) error { return serve(s, o) },
	}
	f := c.Flags()
	o.checkFlags.flags(c)
	f.StringVar(&o.slips, "slips", "auto", "look for the one slip that explains what is found, once nothing is typed: auto (where much or something grave is found), always or never")
	f.BoolVar(&o.stdio, "stdio", true, "speak over standard input and output, as is done anyway: some editors say so")
	f.IntVar(&o.of, "clientProcessId", 0, "the editor's process, which some editors tell; it is not needed")
	_ = f.MarkHidden("clientProcessId")
	words(c, "slips", "auto", "always", "never")
	words(c, "clientProcessId")
	return c
}

func serve(s Streams, o serverOptions) error {
	if o.slips != "auto" && o.slips != "always" && o.slips != "never" {
		return wrong("--slips: %q is neither auto, always nor never", o.slips)
	}
	options, err := o.options(s, checker.Options{})
	if err != nil {
		return err
	}
	today := func() string {
		now, _ := day(o.on) // which was looked at
		return now
	}
	return exit(languageserver.Serve(context.Background(), s.In, s.Out, languageserver.Options{
		Version: version, Check: options, Day: today, Slips: o.slips != "never", EverySlip: o.slips == "always",
		Say: func(message string) { say(s.Err, "%s", message) },
		Unheard: func() {
			say(s.Err, "standard input ended, and no editor began a conversation in the Language Server Protocol: it is the editor that starts this command, as README.md says")
		},
	}))
}

// Package command holds the command line: one file a command, no logic of
// the check itself. Text rules: what was asked for goes to standard output,
// all else to standard error; messages are lower case without a full stop.
package command

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
	"golang.org/x/term"

	"kitgauge/checker"
	"kitgauge/checker/files"
	"kitgauge/checker/finding"
	"kitgauge/checker/report/terminal"
	"kitgauge/checker/spelling"
)

// The exit statuses.
const (
	exitWithin  = 0 // every kit is within the gate
	exitOutside = 1 // there are findings at or above the gate
	exitUnread  = 2 // a kit could not be read, or is not of the shape of a kit
	exitUsage   = 3 // wrong use, or a broken rule pack

	// as shells know them from a program that a signal ended
	exitHungUp      = 129
	exitInterrupted = 130
	exitClosedPipe  = 141 // whoever reads standard output stopped reading
	exitTerminated  = 143
)

const exitHelp = `Exit status:
  0  every kit is within the gate
  1  there are findings at or above the gate
  2  a kit could not be read, or does not have the shape of a kit
  3  wrong use of the command, or a broken rule pack
  129, 130, 143  ended by a signal: no file is half written
  141  whoever reads standard output stopped reading`

// version is that of the program; a release sets it when it is linked.
var version = "0.1.0"

// Streams are what the command reads and writes.
type Streams struct {
	In       io.Reader
	Out, Err io.Writer

	during *interruption // set by Run
}

// screen reports whether w is a terminal, and how wide it is.
func screen(w io.Writer) (width int, is bool) {
	f := file(w)
	if f == nil || !term.IsTerminal(int(f.Fd())) {
		return 100, false
	}
	width, _, err := term.GetSize(int(f.Fd()))
	if err != nil || width <= 0 {
		width = 80
	}
	return width, true
}

// failure carries an exit status up to Run.
type failure struct {
	status int
	err    error // nil where all has been said
}

func (f *failure) Error() string {
	if f.err == nil {
		return ""
	}
	return f.err.Error()
}

// Unwrap returns the cause.
func (f *failure) Unwrap() error { return f.err }

func exit(status int) error {
	if status == exitWithin {
		return nil
	}
	return &failure{status: status}
}

func wrong(format string, args ...any) error {
	return &failure{exitUsage, fmt.Errorf(format, args...)}
}

// failed gives an error of a check its exit status: rule packs that are broken
// are wrong use, anything else is a file that cannot be read.
func failed(err error) error {
	var broken *checker.BrokenPacks
	if errors.As(err, &broken) {
		return &failure{exitUsage, brokenPacks{broken}}
	}
	return &failure{exitUnread, err}
}

// faulty is failed for the file that an option names: what stands in it is
// wrong use.
func faulty(option string, err error) error {
	var unread *files.Error
	if errors.As(err, &unread) {
		return &failure{exitUnread, fmt.Errorf("%s: %w", option, err)}
	}
	return wrong("%s: %s", option, err)
}

// Run runs the command line and returns the exit status. A file that is
// standard output is closed, because only then it is known to be whole. Where a
// signal ends the command, the program ends with it, and Run does not return.
func Run(args []string, s Streams) int {
	boundMemory()
	out := &standardOut{w: s.Out, lost: wasClosed(file(s.Out), file(s.Err))}
	s.Out, s.Err = out, &standardErr{w: s.Err}
	s.during = watch(s.Err)
	root := rootCommand(s)
	root.SetArgs(args)
	root.SetIn(s.In)
	root.SetErr(s.Err)
	err := noCommand(root, args)
	if err == nil {
		err = root.Execute()
	}
	out.close()
	s.during.over()
	status := conclude(s, out, err)
	if s.during.caught != nil && status >= exitHungUp {
		die(s.during.caught)
	}
	return status
}

// conclude says what went wrong, and returns the exit status.
func conclude(s Streams, out *standardOut, err error) int {
	f := out.failure(err)
	switch {
	case f != nil:
	case err == nil:
		return exitWithin
	case !errors.As(err, &f):
		f = &failure{exitUsage, err}
	}
	var broken brokenPacks
	switch {
	case errors.As(f.err, &broken):
		broken.say(s.Err)
	case f.err != nil:
		say(s.Err, "%s", f.err)
	}
	if f.err != nil && f.status == exitUsage {
		say(s.Err, "see \"kitgauge help\" for what it takes")
	}
	return f.status
}

func rootCommand(s Streams) *cobra.Command {
	build := false
	root := &cobra.Command{
		Use:   "kitgauge",
		Short: "Check the configuration of automatic-greasing kits",
		Long: `kitgauge checks the configuration of automatic-greasing kits for trucks,
trailers, tractors and machinery before they are built: ports, free spans,
feed, reservoir, safe order of the installation.

It assists; it does not approve. The vehicle maker's instructions, local codes
and licensed practice come first.`,
		Example: `  kitgauge check examples/gritter/gritter.kit.yaml
  kitgauge rule slack/steered
  kitgauge schema kit > kit.schema.json`,
		Args: noCommand,
		RunE: func(c *cobra.Command, _ []string) error {
			if build {
				return printVersion(s)
			}
			return c.Help()
		},
		SilenceErrors: true,
		SilenceUsage:  true,
	}
	root.SetHelpTemplate(`{{with (or .Long .Short)}}{{. | trimTrailingWhitespaces}}

{{end}}{{if or .Runnable .HasSubCommands}}{{.UsageString}}{{end}}`)
	root.AddCommand(
		checkCommand(s), fixCommand(s), fillCommand(s), slipsCommand(s), streamCommand(s),
		rulesCommand(s), ruleCommand(s), packCommand(s), knownCommand(s), compareCommand(s),
		surveyCommand(s), proposeCommand(s),
		sheetsCommand(s), dossierCommand(s), bookletCommand(s), drawCommand(s), previewCommand(s),
		signCommand(s), stampCommand(s), verifyCommand(s),
		schemaCommand(s), languageServerCommand(s), manCommand(s), versionCommand(s))
	root.Flags().BoolVar(&build, "version", false, "print the version, as the command version does")
	root.SetFlagErrorFunc(flagError)
	root.SetOut(s.Out) // the completion command takes it when it is made
	root.InitDefaultHelpCmd()
	root.InitDefaultCompletionCmd()
	usual := root.HelpFunc()
	root.SetHelpFunc(func(c *cobra.Command, args []string) { // which would say itself what cannot be written
		var text bytes.Buffer
		c.SetOut(&text)
		usual(c, args)
		c.SetOut(s.Out)
		_, _ = s.Out.Write(text.Bytes())
	})
	for _, c := range root.Commands() {
		switch c.Name() {
		case "completion":
			c.Short = "Write the completion script for a shell"
			c.Args, c.RunE = noCommand, func(c *cobra.Command, _ []string) error { return c.Help() }
		case "help":
			c.Short = "Show what a command takes"
			c.Run, c.RunE = nil, func(_ *cobra.Command, args []string) error { return helpOf(root, args) }
		}
	}
	return root
}

// noCommand refuses what names no command below one, whatever comes behind.
func noCommand(c *cobra.Command, args []string) error {
	if len(args) == 0 || strings.HasPrefix(args[0], "-") || strings.HasPrefix(args[0], cobra.ShellCompRequestCmd) {
		return nil
	}
	if slices.ContainsFunc(c.Commands(), func(below *cobra.Command) bool { return below.Name() == args[0] }) {
		return nil
	}
	return fmt.Errorf("there is no command %q%s", args[0], spelling.Hint(args[0], commandNames(c)))
}

// helpOf shows what the command takes that the arguments lead to.
func helpOf(c *cobra.Command, args []string) error {
	for i, name := range args {
		if !c.HasAvailableSubCommands() {
			return fmt.Errorf("%s has no commands below it: write kitgauge help %s", c.Name(), strings.Join(args[:i], " "))
		}
		if err := noCommand(c, args[i:]); err != nil {
			return err
		}
		below := c.Commands()
		c = below[slices.IndexFunc(below, func(b *cobra.Command) bool { return b.Name() == name })]
	}
	c.InitDefaultHelpFlag()
	return c.Help()
}

func commandNames(root *cobra.Command) []string {
	var names []string
	for _, c := range root.Commands() {
		if c.IsAvailableCommand() {
			names = append(names, c.Name())
		}
	}
	return names
}

// flagError says what is wrong with an option: of one that there is not, which
// is nearest; of a value, what it has to be.
func flagError(c *cobra.Command, err error) error {
	var invalid *pflag.InvalidValueError
	if errors.As(err, &invalid) {
		return fmt.Errorf("--%s: %q is %s", invalid.GetFlag().Name, invalid.GetValue(), wanted(invalid.GetFlag().Value.Type()))
	}
	var unknown *pflag.NotExistError
	if !errors.As(err, &unknown) {
		return err
	}
	meant := unknown.GetSpecifiedName()
	if letters := unknown.GetSpecifiedShortnames(); letters != "" { // one dash, and perhaps a whole name
		if meant = letters; len(letters) == 1 {
			return fmt.Errorf("unknown flag: -%s; flags are written out", letters)
		}
	}
	var names []string
	c.Flags().VisitAll(func(f *pflag.Flag) {
		if !f.Hidden {
			names = append(names, "--"+f.Name)
		}
	})
	return fmt.Errorf("%w%s", err, spelling.Hint("--"+meant, names))
}

// wanted says what a value is not that an option of a kind has to have.
func wanted(kind string) string {
	switch kind {
	case "bool":
		return "neither true nor false"
	case "duration":
		return "no time: write it as in 90s or 5m"
	case "int":
		return "no whole number"
	}
	return "no list of names with commas between them"
}

// needs refuses so many arguments that are not between the least and the most.
func needs(least, most int, message string) cobra.PositionalArgs {
	return func(_ *cobra.Command, args []string) error {
		if len(args) < least || len(args) > most {
			return errors.New(message)
		}
		return nil
	}
}

// day is the day of an option, else today.
func day(on string) (string, error) {
	if on == "" {
		return time.Now().Format(finding.Day), nil
	}
	if _, err := time.Parse(finding.Day, on); err != nil {
		return "", wrong("--on: %q is no day: write it as in 2026-11-25", on)
	}
	return on, nil
}

// colours are the values of --colour.
var colours = []string{"auto", "always", "never"}

func colourFlag(c *cobra.Command, colour *string) {
	c.Flags().StringVar(colour, "colour", "auto", "colour the text: auto, always or never")
	words(c, "colour", colours...)
}

func checkColour(colour string) error {
	if !slices.Contains(colours, colour) {
		return wrong("--colour: %q is neither auto, always nor never", colour)
	}
	return nil
}

// look is how text is written to w.
func look(w io.Writer, colour string) terminal.Options {
	width, is := screen(w)
	return terminal.Options{Width: width, Colour: colour == "always" || colour == "auto" && is && os.Getenv("NO_COLOR") == "" && os.Getenv("TERM") != "dumb"}
}

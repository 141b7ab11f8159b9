package command

import (
	"fmt"
	"io"
	"os"
	"strings"

	"github.com/spf13/cobra"

	"kitgauge/checker"
	"kitgauge/checker/finding"
	"kitgauge/checker/report"
	"kitgauge/checker/report/record"
	"kitgauge/checker/report/terminal"
	"kitgauge/checker/source"
	"kitgauge/rules"
)

type checkOptions struct {
	gate    string
	format  string
	packs   []string
	colour  string
	brief   bool
	margins bool
}

func checkCommand(s Streams) *cobra.Command {
	var o checkOptions
	c := &cobra.Command{
		Use:   "check KIT...",
		Short: "Check kit files",
		Long: `Check kit files against the rule packs and report what is wrong, where, and
what would be right.

KIT is a kit file, a directory (every *.kit.yaml, *.kit.yml and *.kit.json
below it) or - for standard input. A file may hold several kits as YAML
documents. The catalogues that a kit names are read from beside it.

` + exitHelp,
		Example: `  kitgauge check examples/gritter/gritter.kit.yaml
  kitgauge check --gate critical kits/
  kitgauge check --format json kits/ > result.json
  kitgauge check - < draft.kit.yaml`,
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) == 0 {
				return fmt.Errorf("check needs a kit file, a directory or -")
			}
			return nil
		},
		ValidArgsFunction: kitFiles,
		RunE:              func(_ *cobra.Command, args []string) error { return check(s, o, args) },
	}
	f := c.Flags()
	f.StringVar(&o.gate, "gate", "major", "least severity that fails: critical, major, minor or none")
	f.StringVar(&o.format, "format", "text", "how to report: text or json")
	f.StringSliceVar(&o.packs, "pack", nil, "use only these rule packs (default all)")
	f.StringVar(&o.colour, "colour", "auto", "colour the text: auto, always or never")
	f.BoolVar(&o.brief, "brief", false, "leave out the working of each finding")
	f.BoolVar(&o.margins, "margins", false, "show how near each rule came to its limit")
	complete := func(words ...string) func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
		return cobra.FixedCompletions(words, cobra.ShellCompDirectiveNoFileComp)
	}
	_ = c.RegisterFlagCompletionFunc("gate", complete(finding.Severities()...))
	_ = c.RegisterFlagCompletionFunc("format", complete("text", "json"))
	_ = c.RegisterFlagCompletionFunc("colour", complete("auto", "always", "never"))
	_ = c.RegisterFlagCompletionFunc("pack", complete(rules.Names()...))
	return c
}

// writers are the formats of the check's result.
var writers = map[string]func(s Streams, o checkOptions, run report.Run) error{
	"text": writeText,
	"json": func(s Streams, _ checkOptions, run report.Run) error { return record.Write(s.Out, run) },
}

func check(s Streams, o checkOptions, names []string) error {
	gate, err := finding.ParseSeverity(o.gate)
	if err != nil {
		return wrong("--gate: %s", err)
	}
	write := writers[o.format]
	if write == nil {
		return wrong("--format: %q is no format: it is text or json", o.format)
	}
	if o.colour != "auto" && o.colour != "always" && o.colour != "never" {
		return wrong("--colour: %q is neither auto, always nor never", o.colour)
	}
	for _, p := range o.packs {
		if _, _, found := rules.Pack(p); !found {
			return wrong("--pack: there is no rule pack %q: there are %s", p, strings.Join(rules.Names(), ", "))
		}
	}
	c := checker.New(checker.Options{Margins: o.margins, Packs: o.packs})
	run := report.Run{Gate: gate, Version: version}
	if err := checkAll(s, c, names, &run); err != nil {
		return err
	}
	if err := write(s, o, run); err != nil {
		return &failure{exitUnread, fmt.Errorf("the result cannot be written: %s", checker.Cause(err))}
	}
	return exit(run.Exit())
}

// checkAll checks every kit and shows how far it has come on a terminal.
func checkAll(s Streams, c *checker.Checker, names []string, run *report.Run) error {
	files, err := inputs(names)
	if err != nil {
		return &failure{exitUnread, err}
	}
	progress := newProgress(s.Err, len(files))
	defer progress.clear()
	for i, file := range files {
		progress.show(i, file)
		kits, err := checkOne(s, c, file)
		if err != nil {
			return err
		}
		run.Kits = append(run.Kits, kits...)
	}
	return nil
}

// inputs lists the files to check; - is standard input and stays as it is.
func inputs(names []string) ([]string, error) {
	var files []string
	for _, name := range names {
		if name == "-" {
			files = append(files, name)
			continue
		}
		found, err := checker.Find([]string{name})
		if err != nil {
			return nil, err
		}
		files = append(files, found...)
	}
	seen := map[string]bool{}
	kept := files[:0]
	for _, f := range files {
		if !seen[f] {
			seen[f] = true
			kept = append(kept, f)
		}
	}
	return kept, nil
}

func checkOne(s Streams, c *checker.Checker, file string) ([]report.Kit, error) {
	name := file
	var text []byte
	var err error
	if file == "-" {
		name = "standard input"
		text, err = checker.Read(s.In)
	} else {
		text, err = checker.ReadFile(file)
	}
	if err != nil {
		return nil, &failure{exitUnread, fmt.Errorf("%s: %s", name, err)}
	}
	results, err := c.Check(name, text)
	if err != nil {
		return nil, &failure{exitUsage, err}
	}
	kits := make([]report.Kit, len(results))
	for i, r := range results {
		kits[i] = reported(r, c)
	}
	return kits, nil
}

// reported makes a result ready for the report packages.
func reported(r *checker.Result, c *checker.Checker) report.Kit {
	return report.Kit{
		File: r.File, Document: r.Document, Number: r.Number, Revision: r.Revision, Title: r.Title, Status: r.Status,
		Shaped: r.Shaped, Findings: r.Findings, Rules: r.Rules, Checks: r.Checks, NotEvaluated: r.NotEvaluated,
		Margins: r.Margins, Line: func(pos source.Pos) string { return c.Line(r, pos) },
	}
}


func writeText(s Streams, o checkOptions, run report.Run) error {
	width, is := screen(s.Out)
	colour := o.colour == "always" || o.colour == "auto" && is && os.Getenv("NO_COLOR") == "" && os.Getenv("TERM") != "dumb"
	if err := terminal.Write(s.Out, run, terminal.Options{Width: width, Colour: colour, Working: !o.brief}); err != nil {
		return err
	}
	hint(s.Out, run)
	return nil
}

// hint names what to run next.
func hint(w io.Writer, run report.Run) {
	for _, k := range run.Kits {
		for _, f := range k.Findings {
			if !strings.HasPrefix(f.Rule, "file/") {
				fmt.Fprintf(w, "\nWhat a rule is about: kitgauge rule %s\n", f.Rule)
				return
			}
		}
	}
	for _, k := range run.Kits {
		if !k.Shaped {
			fmt.Fprintf(w, "\nWhat a kit file holds: kitgauge schema\n")
			return
		}
	}
}

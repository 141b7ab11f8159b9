package command

import (
	"bytes"
	"fmt"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

func manCommand(s Streams) *cobra.Command {
	return &cobra.Command{
		Use:   "man",
		Short: "Write the manual page",
		Long: `Write the manual page with all commands and their options, as man shows it
(roff). It is the same text for the same program: no date, no place.`,
		Example: `  kitgauge man > kitgauge.1
  kitgauge man | man -l -`,
		Args:              needs(0, 0, "man takes no arguments"),
		ValidArgsFunction: cobra.NoFileCompletions,
		RunE: func(c *cobra.Command, _ []string) error {
			_, err := s.Out.Write(manual(c.Root()))
			return err
		},
	}
}

// manual is the manual page of the program (man, groff_man).
func manual(root *cobra.Command) []byte {
	var b bytes.Buffer
	fmt.Fprintf(&b, ".TH KITGAUGE 1 \"\" \"kitgauge %s\"\n.SH NAME\nkitgauge \\- %s\n", roff(version), roff(strings.ToLower(root.Short[:1])+root.Short[1:]))
	b.WriteString(".SH SYNOPSIS\n.B kitgauge\n.I command\n[options] ...\n.SH DESCRIPTION\n")
	paragraphs(&b, root.Long)
	b.WriteString(".SH COMMANDS\n")
	for _, c := range root.Commands() {
		if !c.IsAvailableCommand() || c.Name() == "help" || c.Name() == "completion" {
			continue
		}
		fmt.Fprintf(&b, ".SS %s\n%s.\n", roff(c.UseLine()), roff(c.Short))
		paragraphs(&b, c.Long)
		c.LocalFlags().VisitAll(func(f *pflag.Flag) { option(&b, f) })
		example(&b, c.Example)
	}
	b.WriteString(".SH EXIT STATUS\n")
	literal(&b, strings.SplitN(exitHelp, "\n", 2)[1])
	b.WriteString(".SH EXAMPLES\n")
	literal(&b, root.Example)
	return b.Bytes()
}

// paragraphs writes a help text: its paragraphs filled, its tables as they are.
func paragraphs(b *bytes.Buffer, text string) {
	for part := range strings.SplitSeq(strings.TrimSpace(text), "\n\n") {
		switch {
		case part == "":
		case strings.Contains(part, "\n  ") || strings.HasPrefix(part, "  "):
			b.WriteString(".PP\n")
			literal(b, part)
		default:
			fmt.Fprintf(b, ".PP\n%s\n", roff(part))
		}
	}
}

func literal(b *bytes.Buffer, text string) {
	fmt.Fprintf(b, ".nf\n%s\n.fi\n", roff(strings.Trim(text, "\n")))
}

func option(b *bytes.Buffer, f *pflag.Flag) {
	if f.Hidden {
		return
	}
	name, usage := pflag.UnquoteUsage(f)
	b.WriteString(".TP\n.B " + roff("--"+f.Name))
	if name != "" {
		b.WriteString(" \\fI" + roff(name) + "\\fR")
	}
	b.WriteString("\n" + roff(usage) + "\n")
}

func example(b *bytes.Buffer, text string) {
	if text != "" {
		b.WriteString(".PP\nExamples:\n")
		literal(b, text)
	}
}

// roff escapes what would be a command or a mark there.
func roff(text string) string {
	lines := strings.Split(strings.NewReplacer(`\`, `\e`, "-", `\-`).Replace(text), "\n")
	for i, line := range lines {
		if strings.HasPrefix(line, ".") || strings.HasPrefix(line, "'") {
			lines[i] = `\&` + line
		}
	}
	return strings.Join(lines, "\n")
}

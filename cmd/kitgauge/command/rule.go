package command

import (
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"kitgauge/checker"
	"kitgauge/checker/finding"
	"kitgauge/checker/spelling"
	"kitgauge/checker/units"
)

func ruleCommand(s Streams) *cobra.Command {
	var kit string
	c := &cobra.Command{
		Use:   "rule ID",
		Short: "Explain a rule",
		Long: `Explain a rule: what it looks at, what has to hold, why, on what basis, with
which limits, and with an example that passes and one that fails. The failing
example is a fault put into one of the example kits and checked there and then.

With --kit the settings that apply to that kit are used: rules of your own are
explained too, each limit and severity says where it comes from, and the example
kit is checked with them.`,
		Example: `  kitgauge rule slack/steered
  kitgauge rule --kit kits/gritter.kit.yaml slack/steered`,
		Args:              needs(1, 1, "rule needs the id of one rule, as in: kitgauge rule slack/steered"),
		ValidArgsFunction: ruleIDs,
		RunE:              func(_ *cobra.Command, args []string) error { return explain(s, args[0], kit) },
	}
	c.Flags().StringVar(&kit, "kit", "", "explain the rule as it stands for this kit, with its settings")
	_ = c.RegisterFlagCompletionFunc("kit", kitFiles)
	return c
}

func explain(s Streams, id, kit string) error {
	if says, ok := inEditor[id]; ok {
		_, err := fmt.Fprintf(s.Out, "%s\n%s\n", id, says)
		return err
	}
	if title, ok := checker.FileRules()[id]; ok {
		_, err := fmt.Fprintf(s.Out, "%s (major)\n%s\n\nThis is said of the file itself, before any rule is evaluated. The rest of the\nkit was still checked as far as it could be.\n", id, title)
		return err
	}
	e, ids, err := checker.New(checker.Options{NoSettings: kit == ""}).Explain(id, kit)
	switch {
	case err != nil:
		return failed(err)
	case e != nil:
		return writeRule(s.Out, e)
	}
	if n := spelling.Nearest(id, ids); n != "" {
		return wrong("there is no rule %q; nearest is %q", id, n)
	}
	return wrong("there is no rule %q: see kitgauge rules", id)
}

// inEditor says what the codes mean that kitgauge language-server gives beside
// those of findings.
var inEditor = map[string]string{
	"file/unread": `The settings and the rule packs can be read

An editor is told this of settings or of a rule pack, and of each kit for which
they count: no kit is checked with half of them. Mend the place that is named;
kitgauge check says the same, and ends with status 3.`,
	"file/not-evaluated": `What checks need is stated

An editor is told this of a thing of which something is not stated, so that some
checks of it could not be evaluated. They are listed beside it, each as a hint.
kitgauge check lists them as not evaluated; they count for the gate with the
severities of their rules.`,
	"slip": `One slip may be behind what is found

The value that is marked would, with one usual slip taken back (a digit, a sign,
two neighbours exchanged, another unit), clear most of what is found. It is a guess
with reasons: look at the vehicle before anything is changed.`,
}

func writeRule(w io.Writer, e *checker.Explanation) error {
	p, r := &page{w: w}, e.Rule
	severity := r.Severity.String()
	if up, when := r.Raised(); when != "" {
		severity += fmt.Sprintf("; %s where %s", up, when)
	}
	p.line("%s (%s)", r.ID, severity)
	p.line("%s", r.Title)
	p.line("")
	if o := e.Set; o != nil {
		p.entry("severity here", fmt.Sprintf("%s, set at %s: %s", o.Is, o.Pos(), o.Reason))
	}
	p.entry("looks at", "every "+r.Of)
	if waits := r.Waits(); waits != "" {
		p.entry("waits while", waits)
	}
	if given := r.Given(); given != "" {
		p.entry("applies where", given)
	}
	for _, n := range r.With() {
		p.entry("with "+n.Name, n.Is)
	}
	p.entry("must hold", r.Must())
	mend, choice := r.Changes()
	entries(p, "fix", mend)
	entries(p, "asked for, fix", choice)
	p.entry("why", r.Why)
	p.entry("basis", r.Basis)
	for _, l := range e.Limits {
		from := fmt.Sprintf("%s: %s", l.Pack.File, l.Basis)
		if o := l.Set; o != nil {
			from = fmt.Sprintf("set at %s: %s; the pack's own is %s, %s", o.Pos(), o.Reason, l.Text, l.Basis)
		}
		p.entry("limit."+l.Name, fmt.Sprintf("%s. %s (%s)", units.Format(l.SI, l.Dim, units.Metric), l.About, from))
	}
	if e.Example != nil {
		writeExample(p, e.Example)
	}
	return p.err
}

// entries are several under one name.
func entries(p *page, name string, list []string) {
	for _, text := range list {
		p.entry(name, text)
		name = ""
	}
}

func writeExample(p *page, e *checker.Example) {
	p.line("")
	kit := fmt.Sprintf("the example kit %q as it stands (examples/%s)", e.Card.Kit, e.Clean.File)
	switch {
	case e.Said == nil:
		p.entry("passes", kit)
	case e.Said.Status == finding.NotEvaluated:
		p.entry("cannot tell", kit)
	default:
		p.entry("fails here", kit+", which passes with the limits of the pack")
	}
	writeSaid(p, e.Said)
	fault := fmt.Sprintf("the same kit with this fault: %s", e.Card.Fault)
	if e.Found == nil {
		p.entry("passes here", fault+", which fails with the limits of the pack")
	} else {
		p.entry("fails", fault)
	}
	for _, change := range e.Card.Describe(e.Clean) {
		p.entry("", change)
	}
	writeSaid(p, e.Found)
}

// writeSaid shows what a rule says of an example, if anything.
func writeSaid(p *page, f *finding.Finding) {
	if f == nil {
		return
	}
	p.entry("which says", fmt.Sprintf("%s: %s: %s", f.Severity, f.Place, f.Message))
	if f.Remedy != "" {
		p.entry("and advises", f.Remedy)
	}
}

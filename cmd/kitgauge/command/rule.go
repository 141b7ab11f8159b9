package command

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"kitgauge/checker"
	"kitgauge/checker/engine"
	"kitgauge/checker/faultcard"
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
explained too, and each limit and severity says where it comes from.`,
		Example: `  kitgauge rule slack/steered
  kitgauge rule --kit kits/gritter.kit.yaml slack/steered`,
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) != 1 {
				return fmt.Errorf("rule needs the id of one rule, as in: kitgauge rule slack/steered")
			}
			return nil
		},
		ValidArgsFunction: ruleIDs,
		RunE:              func(_ *cobra.Command, args []string) error { return explain(s, args[0], kit) },
	}
	c.Flags().StringVar(&kit, "kit", "", "explain the rule as it stands for this kit, with its settings")
	return c
}

func explain(s Streams, id, kit string) error {
	if title, ok := checker.FileRules()[id]; ok {
		_, err := fmt.Fprintf(s.Out, "%s (major)\n%s\n\nThis is said of the file itself, before any rule is evaluated. The rest of the\nkit was still checked as far as it could be.\n", id, title)
		return err
	}
	profile, err := checker.New(checker.Options{NoSettings: kit == ""}).Config(kit)
	if err != nil {
		return &failure{exitUsage, err}
	}
	var ids []string
	for _, p := range profile.Packs {
		for _, r := range p.Rules {
			if r.ID == id {
				return writeRule(s.Out, p, r, profile)
			}
			ids = append(ids, r.ID)
		}
	}
	if n := spelling.Nearest(id, ids); n != "" {
		return wrong("there is no rule %q; nearest is %q", id, n)
	}
	return wrong("there is no rule %q: see kitgauge rules", id)
}

func writeRule(w io.Writer, pack *engine.Pack, r *engine.Rule, profile *checker.Config) error {
	p := &page{w: w}
	severity := r.Severity.String()
	if up, when := r.Raised(); when != "" {
		severity += fmt.Sprintf("; %s where %s", up, when)
	}
	p.line("%s (%s)", r.ID, severity)
	p.line("%s", r.Title)
	p.line("")
	if profile.Settings != nil {
		if o, changed := profile.Settings.ForRule(r.ID); changed {
			p.entry("severity here", fmt.Sprintf("%s, set at %s: %s", o.Is, o.Pos(), o.Reason))
		}
	}
	p.entry("looks at", "every "+r.Of)
	if given := r.Given(); given != "" {
		p.entry("applies where", given)
	}
	for _, n := range r.With() {
		p.entry("with "+n.Name, n.Is)
	}
	p.entry("must hold", r.Must())
	p.entry("why", r.Why)
	p.entry("basis", r.Basis)
	for _, l := range r.UsedLimits() {
		p.entry("limit."+l.Name, limitInForce(pack, l, profile))
	}
	if err := example(p, r); err != nil {
		return err
	}
	return p.err
}

// limitInForce says what a limit is and where that comes from.
func limitInForce(pack *engine.Pack, l *engine.Limit, profile *checker.Config) string {
	text := fmt.Sprintf("%s. %s (%s: %s)", units.Format(profile.Limit(pack.Name, l), l.Dim, units.Metric), l.About, pack.File, l.Basis)
	if profile.Settings != nil {
		if o, changed := profile.Settings.ForLimit(pack.Name + "/" + l.Name); changed {
			text = fmt.Sprintf("%s. %s (set at %s: %s; the pack's own is %s, %s)", units.Format(profile.Limit(pack.Name, l), l.Dim, units.Metric), l.About, o.Pos(), o.Reason, l.Text, l.Basis)
		}
	}
	return text
}

// example plays the rule's first fault card.
func example(p *page, r *engine.Rule) error {
	pack, _, _ := strings.Cut(r.ID, "/")
	cards, _ := checker.Cards(pack)
	i := slices.IndexFunc(cards, func(c faultcard.Card) bool { return c.Rule == r.ID })
	if i < 0 {
		return nil
	}
	c := &cards[i]
	clean, err := checker.Clean(c.Kit)
	if err != nil {
		return err
	}
	result, err := checker.OnExamples().Play(c, clean)
	if err != nil {
		return err
	}
	p.line("")
	p.entry("passes", fmt.Sprintf("the example kit %q as it stands (examples/%s)", c.Kit, clean.File))
	p.entry("fails", fmt.Sprintf("the same kit with this fault: %s", c.Fault))
	for _, change := range c.Describe(clean) {
		p.entry("", change)
	}
	for _, f := range result.Findings {
		if f.Rule == r.ID && f.Status == finding.Violated {
			p.entry("which says", fmt.Sprintf("%s: %s: %s", f.Severity, f.Place, f.Message))
			if f.Remedy != "" {
				p.entry("and advises", f.Remedy)
			}
			break
		}
	}
	return nil
}

// page writes labelled, wrapped text.
type page struct {
	w   io.Writer
	err error
}

const (
	pageWidth  = 84
	labelWidth = 15
)

func (p *page) line(format string, args ...any) {
	if p.err == nil {
		_, p.err = fmt.Fprintln(p.w, strings.TrimRight(fmt.Sprintf(format, args...), " "))
	}
}

// entry writes a label and its text, wrapped beside it.
func (p *page) entry(label, text string) {
	if len(label) >= labelWidth {
		p.line("  %s", label)
		label = ""
	}
	for _, line := range wrap(text, pageWidth-labelWidth-2) {
		p.line("  %-*s%s", labelWidth, label, line)
		label = ""
	}
}

func wrap(text string, width int) []string {
	var lines []string
	line := ""
	for _, word := range strings.Fields(text) {
		if line != "" && len(line)+1+len(word) > width {
			lines = append(lines, line)
			line = ""
		}
		if line != "" {
			line += " "
		}
		line += word
	}
	return append(lines, line)
}

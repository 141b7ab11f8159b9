package command

import (
	"fmt"
	"io"
	"slices"

	"github.com/spf13/cobra"

	"kitgauge/checker"
	"kitgauge/checker/compare"
	"kitgauge/checker/report/dossier"
	"kitgauge/rules"
)

type dossierOptions struct {
	checkFlags
	out     string
	against string
	number  string
}

func dossierCommand(s Streams) *cobra.Command {
	var o dossierOptions
	c := &cobra.Command{
		Use:   "dossier KIT",
		Short: "Write what the quality reviewer signs with in hand",
		Long: `Check a kit and write one HTML file for its quality reviewer: the verdict, the
findings with working, basis and place, how near each rule is to its limit, the
schematic and the free spans, the call-out sheet, the cut list and the parts
list, the procedure with its cautions, concessions, every computed quantity, and
the SHA-256 digests of everything that went in.

The file needs no network and no scripts, prints on A4 and Letter, and holds no
time: the same input gives the same bytes. It is written whatever the verdict
is; what gates a change is kitgauge check. With --against it also says what
differs from an older revision: a kit file, or REV:PATH for a file as it was in
the git history.

Exit status:
  0  the dossier is written
  2  the kit could not be read; or it does not have the shape of a kit, and the
     dossier says so
  3  wrong use of the command, or a broken rule pack`,
		Example: `  kitgauge dossier examples/gritter/gritter.kit.yaml --out gritter.html
  kitgauge dossier --against released/gritter.kit.yaml --out gritter.html kits/gritter.kit.yaml`,
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) != 1 {
				return fmt.Errorf("dossier needs one kit file, or -")
			}
			return nil
		},
		ValidArgsFunction: kitFiles,
		RunE:              func(_ *cobra.Command, args []string) error { return writeDossier(s, &o, args[0]) },
	}
	o.checkFlags.flags(c)
	f := c.Flags()
	f.StringVar(&o.out, "out", "", "write to this `FILE` (default standard output)")
	f.StringVar(&o.against, "against", "", "an older revision of the `KIT`, or REV:PATH, to say what changed")
	f.StringVar(&o.number, "number", "", "the `NUMBER` of the kit, where the file holds several")
	return c
}

func writeDossier(s Streams, o *dossierOptions, name string) error {
	c, err := o.checker(checker.Options{Margins: true})
	if err != nil {
		return err
	}
	results, err := checkOne(s, c, name)
	if err != nil {
		return err
	}
	r, err := oneKit(results, o.number)
	if err != nil {
		return err
	}
	in, err := o.input(c, r)
	if err != nil {
		return err
	}
	if err := o.compareWith(s, c, r, in); err != nil {
		return err
	}
	err = writeWhole(s, o.out, func(w io.Writer) error { return dossier.Write(w, *in) })
	if err == nil && !r.Shaped {
		err = exit(exitUnread)
	}
	return err
}

// input gathers what the dossier of a kit is made from.
func (o *dossierOptions) input(c *checker.Checker, r *checker.Result) (*dossier.Input, error) {
	run, err := (&checkOptions{checkFlags: o.checkFlags, figures: true}).run(c, []*checker.Result{r})
	if err != nil {
		return nil, err
	}
	in := &dossier.Input{Run: run, Facts: r.Facts}
	for _, f := range r.Inputs {
		role := string(f.Role)
		if f.BuiltIn {
			role += ", built in"
		}
		in.Files = append(in.Files, dossier.File{Role: role, Name: f.Name, Text: f.Text})
	}
	if o.known != "" {
		text, err := checker.ReadFile(o.known)
		if err != nil {
			return nil, &failure{exitUnread, fmt.Errorf("--known: %s: %s", o.known, err)}
		}
		in.Files = append(in.Files, dossier.File{Role: "known findings", Name: o.known, Text: text})
	}
	profile, err := c.Config(r.File)
	if err != nil {
		return nil, &failure{exitUsage, err}
	}
	in.Changes = overrides(profile)
	for _, pack := range rules.Names() {
		if !slices.ContainsFunc(r.Inputs, func(f checker.Input) bool { return f.BuiltIn && f.Name == pack }) {
			in.LeftOut = append(in.LeftOut, pack)
		}
	}
	return in, nil
}

// overrides lists what the settings change in the packs in use.
func overrides(profile *checker.Config) []dossier.Override {
	if profile.Settings == nil {
		return nil
	}
	var list []dossier.Override
	for _, pack := range profile.Packs {
		for _, l := range pack.Limits {
			if x, changed := profile.Settings.ForLimit(pack.Name + "/" + l.Name); changed {
				list = append(list, dossier.Override{Name: x.Name, Was: l.Text, Is: x.Is, Reason: x.Reason, Pos: x.Pos()})
			}
		}
		for _, rule := range pack.Rules {
			if x, changed := profile.Settings.ForRule(rule.ID); changed {
				list = append(list, dossier.Override{Name: x.Name, Was: rule.Severity.String(), Is: x.Is, Reason: x.Reason, Pos: x.Pos()})
			}
		}
	}
	return list
}

// compareWith adds the comparison with the older revision that is asked for,
// judged as the kit is.
func (o *dossierOptions) compareWith(s Streams, c *checker.Checker, r *checker.Result, in *dossier.Input) error {
	if o.against == "" || r.Facts == nil {
		return nil
	}
	profile, err := c.Config(r.File)
	if err != nil {
		return &failure{exitUsage, err}
	}
	old, err := (&compareOptions{checkFlags: o.checkFlags, number: o.number}).revision(s, o.against, profile)
	if err != nil {
		return err
	}
	compared := compare.Of(old.Revision, compare.Revision{File: r.File, Shaped: r.Shaped, Facts: r.Facts, Findings: r.Findings})
	in.Against = &compared
	for _, f := range old.result.Inputs {
		if f.Role != checker.RolePack && f.Role != checker.RoleSettings { // those are the same
			in.Files = append(in.Files, dossier.File{Role: "older " + string(f.Role), Name: f.Name, Text: f.Text})
		}
	}
	return nil
}

package command

import (
	"io"

	"github.com/spf13/cobra"

	"kitgauge/checker"
	"kitgauge/checker/files"
	"kitgauge/checker/release"
	"kitgauge/checker/report/dossier"
)

type dossierOptions struct {
	checkFlags
	oneKit
	against string
	full    bool
}

func dossierCommand(s Streams) *cobra.Command {
	var o dossierOptions
	c := &cobra.Command{
		Use:   "dossier KIT",
		Short: "Write what the quality reviewer signs with in hand",
		Long: `Check a kit and write one HTML file for its quality reviewer: the verdict with
every critical and major finding, or the margins that are nearest, and what
changed since the last release; then the findings with working, basis and place,
the drawings, the free spans, the call-out sheet, the cut list and the parts
list, the procedure with its cautions, concessions, and the SHA-256 digests of
the kit's own files. With --full every margin, every drawn span, every computed
quantity and the digest of everything that went in stand in an appendix.

The file needs no network and no scripts, prints on A4 and Letter, and holds no
time: the same input gives the same bytes. It is written whatever the verdict
is; what gates a change is kitgauge check. With --against it says what differs
from an older revision: a kit file, or REV:PATH for a file as it was in the git
history. Without, it says what differs from the release record that stands
beside the kit, where there is one.

Exit status:
  0  the dossier is written
  2  the kit could not be read; or it does not have the shape of a kit, and the
     dossier says so
  3  wrong use of the command, or a broken rule pack`,
		Example: `  kitgauge dossier examples/gritter/gritter.kit.yaml --out gritter.html
  kitgauge dossier --against released/gritter.kit.yaml --out gritter.html kits/gritter.kit.yaml`,
		RunE: func(_ *cobra.Command, args []string) error { return writeDossier(s, &o, args[0]) },
	}
	o.checkFlags.flags(c)
	o.oneKit.flags(c, toFile)
	c.Flags().StringVar(&o.against, "against", "", "an older revision of the `KIT`, or REV:PATH, to say what changed")
	_ = c.RegisterFlagCompletionFunc("against", orRevision(":", files.IsKitName))
	c.Flags().BoolVar(&o.full, "full", false, "add an appendix: every margin, span, computed quantity and digest")
	return c
}

func writeDossier(s Streams, o *dossierOptions, name string) error {
	c, err := o.checker(s, checker.Options{Margins: true, Figures: true, Remember: o.against != ""})
	if err != nil {
		return err
	}
	r, err := o.check(c, name)
	if err != nil {
		return err
	}
	var old *checker.Result
	if o.against != "" && r.Facts != nil {
		if old, err = olderRevision(c, r, o.against, o.number); err != nil {
			return err
		}
	}
	var broken error
	err = writeWhole(s, o.time, o.out, func(w io.Writer) error {
		in, err := dossier.Of(c, version, r, old, o.against)
		if err != nil {
			broken = failed(err)
			return err
		}
		in.Full = o.full
		if o.against == "" && name != "-" {
			in.AddRelease(releaseOf(r))
		}
		return dossier.Write(w, in)
	})
	if broken != nil {
		return broken
	}
	if err == nil && !r.Shaped {
		err = exit(exitUnread)
	}
	return err
}

// releaseOf says what became of a kit since the release record beside it, nil
// where there is none.
func releaseOf(r *checker.Result) *dossier.Release {
	since, err := release.SinceRelease(r.File, r.Document, r.Inputs)
	switch {
	case err != nil:
		return &dossier.Release{Fault: err.Error()}
	case since == nil:
		return nil
	}
	record := since.Record
	out := &dossier.Release{
		File: since.File, Text: since.Text, Revision: record.Kit.Revision, On: record.On, Signer: record.Signer, Verdict: record.Verdict, Rules: since.Rules,
	}
	for _, p := range since.Changed {
		out.Changed = append(out.Changed, dossier.ReleaseChange{Says: p.Message, Places: p.Places})
	}
	return out
}

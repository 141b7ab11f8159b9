package command

import (
	"io"

	"github.com/spf13/cobra"

	"kitgauge/checker"
	"kitgauge/checker/report/dossier"
)

type dossierOptions struct {
	checkFlags
	oneKit
	against string
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
		RunE: func(_ *cobra.Command, args []string) error { return writeDossier(s, &o, args[0]) },
	}
	o.checkFlags.flags(c)
	o.oneKit.flags(c, toFile)
	c.Flags().StringVar(&o.against, "against", "", "an older revision of the `KIT`, or REV:PATH, to say what changed")
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

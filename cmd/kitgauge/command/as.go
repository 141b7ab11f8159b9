package command

import (
	"os"
	"path/filepath"
	"slices"

	"github.com/spf13/cobra"

	"kitgauge/checker/files"
	"kitgauge/checker/report"
)

const asHelp = `With --as standard input is judged as if it were the file at that path, with
the catalogues, settings, concessions and known findings that are found from
there; reports name that path. The file need not exist, and where it is among
what is checked, standard input takes its place. What git knows of the path is
not asked for: with --staged or --since standard input is refused.

`

// asFlag adds the option that says which file standard input is.
func asFlag(c *cobra.Command, as *string) {
	c.Flags().StringVar(as, "as", "", "judge standard input as if it were the file at this `PATH`")
	_ = c.RegisterFlagCompletionFunc("as", kitFiles)
}

// standIn lets standard input take the place of the file that --as names.
func (o *checkOptions) standIn(c *cobra.Command, found []string, faults []*files.Error) ([]string, []*files.Error, error) {
	if !c.Flags().Changed("as") {
		return found, faults, nil
	}
	info, err := os.Stat(o.as)
	last := o.as[max(len(o.as)-1, 0):]
	switch {
	case o.as == "" || o.as == "-":
		return nil, nil, wrong("--as needs the path of a kit file, as in --as kits/gritter.kit.yaml")
	case !slices.Contains(found, "-"):
		return nil, nil, wrong("--as says which file standard input is: name - as the kit, as in kitgauge check - --as %s", report.Visible(o.as))
	case last == "/" || last == string(filepath.Separator) || err == nil && info.IsDir():
		return nil, nil, wrong("--as: %s is a directory: name the kit file in it that standard input is", report.Visible(o.as))
	}
	o.as = filepath.ToSlash(filepath.Clean(o.as))
	found = slices.DeleteFunc(found, func(name string) bool { return name != "-" && sameFile(name, o.as) })
	faults = slices.DeleteFunc(faults, func(f *files.Error) bool { return sameFile(f.File, o.as) })
	return found, faults, nil
}

// sameFile reports whether two paths lead to one file, which need not exist.
func sameFile(a, b string) bool {
	if absA, errA := filepath.Abs(a); errA == nil {
		if absB, errB := filepath.Abs(b); errB == nil && absA == absB {
			return true
		}
	}
	infoA, errA := os.Stat(a)
	infoB, errB := os.Stat(b)
	return errA == nil && errB == nil && os.SameFile(infoA, infoB)
}

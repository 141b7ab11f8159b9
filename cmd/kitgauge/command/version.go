package command

import (
	"fmt"
	"runtime/debug"
	"strings"

	"github.com/spf13/cobra"
)

func versionCommand(s Streams) *cobra.Command {
	return &cobra.Command{
		Use:   "version",
		Short: "Print the version",
		Long: `Print the version, and what the program was built of where that is known: the
version of the module, or the revision, and whether it had been changed. Where
git was not asked (go run, -buildvcs=false), no revision is recorded.`,
		Example: `  kitgauge version
  kitgauge --version`,
		Args:              needs(0, 0, "version takes no arguments"),
		ValidArgsFunction: cobra.NoFileCompletions,
		RunE:              func(*cobra.Command, []string) error { return printVersion(s) },
	}
}

func printVersion(s Streams) error {
	info, _ := debug.ReadBuildInfo()
	_, err := fmt.Fprintf(s.Out, "kitgauge %s%s\n", version, built(info))
	return err
}

// unknownRevision is said where nothing tells what the program was built of, as
// with go run, or -buildvcs=false: it may have been changed.
const unknownRevision = " (revision not recorded)"

// built says what the program was built of.
func built(info *debug.BuildInfo) string {
	if info == nil {
		return unknownRevision
	}
	vcs := map[string]string{}
	for _, s := range info.Settings {
		vcs[s.Key] = s.Value
	}
	revision := vcs["vcs.revision"]
	switch module := info.Main.Version; {
	case revision != "" && vcs["vcs.modified"] == "true":
		return " (revision " + revision[:min(12, len(revision))] + ", changed since)"
	case revision != "":
		return " (revision " + revision[:min(12, len(revision))] + ")"
	case module != "" && !strings.HasPrefix(module, "("): // installed as a module
		return " (module " + module + ")"
	}
	return unknownRevision
}

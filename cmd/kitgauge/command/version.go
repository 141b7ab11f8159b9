package command

import (
	"fmt"

	"github.com/spf13/cobra"
)

func versionCommand(s Streams) *cobra.Command {
	return &cobra.Command{
		Use:     "version",
		Short:   "Print the version",
		Example: `  kitgauge version`,
		Args:    cobra.NoArgs,
		RunE: func(*cobra.Command, []string) error {
			_, err := fmt.Fprintf(s.Out, "kitgauge %s\n", version)
			return err
		},
	}
}

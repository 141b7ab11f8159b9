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
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) > 0 {
				return fmt.Errorf("version takes no arguments")
			}
			return nil
		},
		RunE: func(*cobra.Command, []string) error {
			_, err := fmt.Fprintf(s.Out, "kitgauge %s\n", version)
			return err
		},
	}
}

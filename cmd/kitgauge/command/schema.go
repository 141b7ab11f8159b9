package command

import (
	"strings"

	"github.com/spf13/cobra"

	"kitgauge/schema"
)

func schemaCommand(s Streams) *cobra.Command {
	return &cobra.Command{
		Use:   "schema [NAME]",
		Short: "Print a JSON Schema (2020-12), for editors and other programs",
		Long: `Print one of the JSON Schemas (draft 2020-12): of the kit file (kit, the
default), the parts catalogue (parts), the rule pack (pack), its fault cards
(cards), or the JSON output of a check (result) or of a comparison (compare).

An editor that understands JSON Schema completes and explains a kit file whose
first line is

  # yaml-language-server: $schema=kit.schema.json`,
		Example: `  kitgauge schema > kit.schema.json
  kitgauge schema parts > parts.schema.json`,
		Args:      cobra.MaximumNArgs(1),
		ValidArgs: schema.Names(),
		RunE: func(_ *cobra.Command, args []string) error {
			name := "kit"
			if len(args) == 1 {
				name = args[0]
			}
			text, found := schema.Text(name)
			if !found {
				return wrong("there is no schema %q: there are %s", name, strings.Join(schema.Names(), ", "))
			}
			_, err := s.Out.Write(text)
			return err
		},
	}
}

package command

import (
	"bytes"
	"slices"
	"testing"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

// anyFile are the options for which every file of the shell's is as good as
// another.
var anyFile = []string{
	"known", "out", "key", "signers", "revoked", "reply", "authorities",
}

// Of every command and every option it is said what the shell completes.
func TestEverythingCompletes(t *testing.T) {
	root := rootCommand(Streams{Out: &bytes.Buffer{}, Err: &bytes.Buffer{}})
	for _, c := range root.Commands() {
		if c.Name() == "help" || c.Name() == "completion" {
			continue
		}
		if c.ValidArgsFunction == nil && len(c.ValidArgs) == 0 {
			t.Errorf("%s: nothing is said of its arguments", c.Name())
		}
		c.LocalFlags().VisitAll(func(f *pflag.Flag) {
			_, has := c.GetFlagCompletionFunc(f.Name)
			dirs := f.Annotations[cobra.BashCompSubdirsInDir] != nil
			if !has && !dirs && f.Value.Type() != "bool" && !slices.Contains(anyFile, f.Name) {
				t.Errorf("%s --%s: nothing is said of its values", c.Name(), f.Name)
			}
		})
	}
}

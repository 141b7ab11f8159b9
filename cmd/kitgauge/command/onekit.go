package command

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"kitgauge/checker"
	"kitgauge/checker/report"
)

// oneKit is what the commands share that write something of one kit.
type oneKit struct {
	number string
	out    string
}

func (o *oneKit) flags(c *cobra.Command, where string) {
	c.Args = needs(1, 1, c.Name()+" needs one kit file, or -")
	c.ValidArgsFunction = kitsUpTo(1)
	c.Flags().StringVar(&o.out, "out", "", where)
	numberFlag(c, &o.number, "the file holds")
}

// toFile is what --out says of most of them.
const toFile = "write to this `FILE` (default standard output)"

// check checks the kit.
func (o *oneKit) check(c *checker.Checker, name string) (*checker.Result, error) {
	results, err := c.CheckFile(name)
	if err != nil {
		return nil, failed(err)
	}
	return pick(results, o.number)
}

// read checks the kit, which has to be readable: what is made of it has
// nothing to show else.
func (o *oneKit) read(c *checker.Checker, name string) (*checker.Result, error) {
	r, err := o.check(c, name)
	if err == nil && r.Facts == nil {
		return nil, &failure{exitUnread, fmt.Errorf("%s cannot be read: correct it first (kitgauge check)", report.Visible(r.File))}
	}
	return r, err
}

// pick picks the kit with the number, or the only one.
func pick(results []*checker.Result, number string) (*checker.Result, error) {
	var found []*checker.Result
	var numbers []string
	for _, r := range results {
		if number == "" || r.Number == number {
			found = append(found, r)
		}
		numbers = append(numbers, report.Visible(r.Number))
	}
	file := report.Visible(results[0].File)
	switch {
	case len(found) == 1:
		return found[0], nil
	case number != "" && len(found) == 0:
		return nil, wrong("--number: %s holds no kit %q: there is %s", file, number, strings.Join(numbers, ", "))
	case number != "":
		return nil, &failure{exitUnread, fmt.Errorf("%s holds %d kits with the number %q", file, len(found), number)}
	}
	return nil, wrong("%s holds %d kits (%s): choose one with --number", file, len(results), strings.Join(numbers, ", "))
}

package command

import (
	"fmt"
	"io"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"kitgauge/checker"
	"kitgauge/checker/report"
	"kitgauge/checker/report/sheet"
)

type sheetsOptions struct {
	oneKit
	sheet string
	sort  string
	paper string
	bom   bool
	time  time.Duration
}

func sheetsCommand(s Streams) *cobra.Command {
	var o sheetsOptions
	c := &cobra.Command{
		Use:   "sheets KIT",
		Short: "Write the call-out sheet, the cut list and the parts list",
		Long: `Write the sheets by which a kit is built and fitted: the call-out sheet (a row
a line: outlet, element, point, fitting, marker), the cut list (a row a tube,
sorted for the bench) and the parts list (what the kit needs, what its own list
has, what is spare). Values are in the kit's own unit family.

Without --out, one sheet goes to standard output as CSV (RFC 4180). A FILE.csv
holds one sheet, a FILE.xlsx all three, ready to print; a file is replaced when
the new one is whole. In CSV, a text from the kit that a spreadsheet would take
for a formula, because it begins with = + - @, a tab or a line end, has an
apostrophe in front; numbers never have.

The sheets show what the kit states and check nothing: see kitgauge check.

Exit status:
  0  the sheets are written
  2  the kit could not be read, or does not have the shape of a kit
  3  wrong use of the command`,
		Example: `  kitgauge sheets --sheet cut examples/gritter/gritter.kit.yaml
  kitgauge sheets --out gritter.xlsx examples/gritter/gritter.kit.yaml`,
		RunE: func(c *cobra.Command, args []string) error { return writeSheets(s, o, args[0], c.Flags().Changed) },
	}
	o.oneKit.flags(c, "write to this `FILE`.csv or FILE.xlsx")
	f := c.Flags()
	f.StringVar(&o.sheet, "sheet", "call-out", "the sheet to write as CSV: call-out, cut or parts")
	f.StringVar(&o.sort, "sort", "length", "order of the tubes of one part on the cut list: length (the longest first) or bundle")
	f.StringVar(&o.paper, "paper", "", "paper of the XLSX file: a4 or letter (default a4 for a metric kit, letter for one in inches)")
	f.BoolVar(&o.bom, "bom", false, "begin the CSV with the mark (U+FEFF) by which some spreadsheets know UTF-8")
	timeFlag(c, &o.time)
	words(c, "sheet", sheet.Names()...)
	words(c, "sort", "length", "bundle")
	words(c, "paper", "a4", "letter")
	return c
}

var (
	cutOrders = map[string]sheet.Order{"length": sheet.ByLength, "bundle": sheet.ByBundle}
	papers    = map[string]sheet.Paper{"": sheet.Usual, "a4": sheet.A4, "letter": sheet.Letter}
)

// faulty says what is wrong with the options; changed reports whether one was
// given.
func (o *sheetsOptions) faulty(changed func(string) bool) error {
	_, sorted := cutOrders[o.sort]
	_, sized := papers[o.paper]
	ending := filepath.Ext(o.out)
	switch {
	case o.time < 0:
		return negative(o.time)
	case !slices.Contains(sheet.Names(), o.sheet):
		return wrong("--sheet: %q is no sheet: it is %s", o.sheet, strings.Join(sheet.Names(), ", "))
	case !sorted:
		return wrong("--sort: %q is neither length nor bundle", o.sort)
	case !sized:
		return wrong("--paper: %q is neither a4 nor letter", o.paper)
	case o.out != "" && ending != ".csv" && ending != ".xlsx":
		return wrong("--out: the name %q ends neither in .csv nor in .xlsx", o.out)
	case ending == ".xlsx" && (changed("sheet") || o.bom):
		return wrong("--out: an XLSX file holds all sheets; --sheet and --bom are for CSV")
	case ending != ".xlsx" && changed("paper"):
		return wrong("--paper is for an XLSX file: name one with --out")
	}
	return nil
}

func writeSheets(s Streams, o sheetsOptions, name string, changed func(string) bool) error {
	if err := o.faulty(changed); err != nil {
		return err
	}
	// no rule has a say in what the sheets show
	r, err := o.check(checker.New(checker.Options{Stdin: s.In, Packs: []string{}, NoSettings: true, Time: o.time}), name)
	if err != nil {
		return err
	}
	if !r.Shaped || r.Facts == nil {
		return &failure{exitUnread, fmt.Errorf("%s cannot be read in full, and sheets would lack what is missing: correct it first (kitgauge check)", report.Visible(r.File))}
	}
	write := func(w io.Writer) error {
		book := sheet.Of(r.Facts, cutOrders[o.sort])
		if filepath.Ext(o.out) == ".xlsx" {
			return sheet.WriteXLSX(w, book, sheet.XLSX{Paper: papers[o.paper]})
		}
		return sheet.WriteCSV(w, book.Sheet(o.sheet), sheet.CSV{BOM: o.bom})
	}
	return writeWhole(s, o.time, o.out, write)
}

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
	"kitgauge/checker/workbook"
)

type sheetsOptions struct {
	oneKit
	sheet string
	sort  string
	paper string
	bom   bool
	time  time.Duration

	separator, decimal string
}

func sheetsCommand(s Streams) *cobra.Command {
	var o sheetsOptions
	c := &cobra.Command{
		Use:   "sheets KIT",
		Short: "Write the call-out sheet, the cut list, the free lengths and the parts list",
		Long: `Write the sheets by which a kit is built and fitted: the call-out sheet (a row
a line: outlet, element, point, fitting, marker), the cut list (a row a tube,
sorted for the bench, then a row a piece of conduit, which is the length of its
way: bends come on top), the free lengths (what is measured off where a bundle
leaves one body for another) and the parts list (what the kit needs, what its
own list has, what is spare). Values are in the kit's own unit family; inches
go up to the next sixteenth, strokes are in mm3.

Without --out, one sheet goes to standard output as CSV (RFC 4180). A FILE.csv
holds one sheet, a FILE.xlsx all of them, ready to print, with a box to tick in
each row; a file is replaced when the new one is whole. An office that writes
2,5 wants --separator semicolon --decimal comma. In CSV, a text from the kit that a spreadsheet would take
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
	f.StringVar(&o.sheet, "sheet", "call-out", "the sheet to write as CSV: call-out, cut, free or parts")
	f.StringVar(&o.sort, "sort", "length", "order of the tubes of one part on the cut list: length (the longest first) or bundle")
	f.StringVar(&o.paper, "paper", "", "paper of the XLSX file: a4 or letter (default a4 for a metric kit, letter for one in inches)")
	f.BoolVar(&o.bom, "bom", false, "begin the CSV with the mark (U+FEFF) by which some spreadsheets know UTF-8")
	timeFlag(c, &o.time)
	f.StringVar(&o.separator, "separator", "comma", "between the fields of the CSV: comma, semicolon or tab")
	f.StringVar(&o.decimal, "decimal", "point", "of the numbers of the CSV: point or comma")
	words(c, "separator", "comma", "semicolon", "tab")
	words(c, "decimal", "point", "comma")
	words(c, "sheet", sheet.Names()...)
	words(c, "sort", "length", "bundle")
	words(c, "paper", "a4", "letter")
	return c
}

var (
	cutOrders  = map[string]sheet.Order{"length": sheet.ByLength, "bundle": sheet.ByBundle}
	separators = map[string]rune{"comma": ',', "semicolon": ';', "tab": '\t'}
	decimals   = map[string]rune{"point": '.', "comma": ','}
	papers     = map[string]workbook.Paper{"": workbook.Usual, "a4": workbook.A4, "letter": workbook.Letter}
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
	case separators[o.separator] == 0:
		return wrong("--separator: %q is none of comma, semicolon, tab", o.separator)
	case decimals[o.decimal] == 0:
		return wrong("--decimal: %q is neither point nor comma", o.decimal)
	case separators[o.separator] == decimals[o.decimal]:
		return wrong("--decimal: a comma in the numbers wants --separator semicolon or tab")
	case o.out != "" && ending != ".csv" && ending != ".xlsx":
		return wrong("--out: the name %q ends neither in .csv nor in .xlsx", o.out)
	case ending == ".xlsx" && (changed("sheet") || o.bom || changed("separator") || changed("decimal")):
		return wrong("--out: an XLSX file holds all sheets; --sheet, --bom, --separator and --decimal are for CSV")
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
		return sheet.WriteCSV(w, book.Sheet(o.sheet), sheet.CSV{BOM: o.bom, Separator: separators[o.separator], Decimal: decimals[o.decimal]})
	}
	return writeWhole(s, o.time, o.out, write)
}

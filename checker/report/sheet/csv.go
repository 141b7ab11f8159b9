package sheet

import (
	"encoding/csv"
	"fmt"
	"io"
	"strings"
	"unicode/utf8"

	"kitgauge/checker/visible"
)

// CSV says how a sheet is written as CSV. The zero value is right for
// programs.
type CSV struct {
	BOM       bool // begin with the mark by which some spreadsheets know UTF-8
	Separator rune // between fields; 0 is a comma
	Decimal   rune // of numbers; 0 is a point
}

// WriteCSV writes a sheet as comma-separated values (RFC 4180): UTF-8, a head
// with the units, lines that end in CR LF. Numbers are bare. Texts are made
// harmless by [Harmless].
func WriteCSV(w io.Writer, s Sheet, o CSV) error {
	if o.BOM {
		if _, err := io.WriteString(w, "\ufeff"); err != nil {
			return err
		}
	}
	c := csv.NewWriter(w)
	c.UseCRLF = true
	if o.Separator != 0 {
		c.Comma = o.Separator
	}
	head := make([]string, len(s.Columns))
	for i, column := range s.Columns {
		head[i] = column.Label()
	}
	_ = c.Write(head) // Error has it
	for _, row := range s.Rows {
		fields := make([]string, len(row))
		for i, cell := range row {
			if fields[i] = Harmless(cell.Text); cell.IsNumber {
				fields[i] = o.number(cell.Text)
			}
		}
		_ = c.Write(fields)
	}
	c.Flush()
	if err := c.Error(); err != nil {
		return fmt.Errorf("writing the %s as CSV: %w", strings.ToLower(s.Title), err)
	}
	return nil
}

func (o CSV) number(text string) string {
	if o.Decimal == 0 {
		return text
	}
	return strings.Replace(text, ".", string(o.Decimal), 1)
}

// Harmless returns the text with control characters made visible, and with an
// apostrophe in front where a spreadsheet would take it for a formula: where
// it begins with = + - @, their full-width forms, a tab, a CR or a LF. A CSV
// file has no other way to say that a field is text; a program that reads one
// takes a leading apostrophe before one of these off. Source of the list:
// OWASP, CSV Injection (from memory). Nor is a cell a command to the runner of
// a CI job that shows the sheet ([visible.NoCommand]).
func Harmless(text string) string {
	const risky = "=+-@\t\r\n＝＋－＠"
	first, _ := utf8.DecodeRuneInString(text)
	seen := visible.Harmless(text)
	if text != "" && strings.ContainsRune(risky, first) {
		return "'" + seen
	}
	return seen
}

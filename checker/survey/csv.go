package survey

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"regexp"
	"strings"
	"unicode/utf8"
)

// File is one file of a survey that is kept as CSV.
type File struct {
	Name string // "points.csv"
	Text []byte
}

// CSV is the survey as a file for each sheet (RFC 4180): the head first, then
// the rows.
func (s *Survey) CSV() ([]File, error) {
	var out []File
	for _, sheet := range s.Sheets {
		var b bytes.Buffer
		w := csv.NewWriter(&b)
		w.UseCRLF = true
		for _, row := range sheet.table(s) {
			for i := range row {
				row[i] = armoured(row[i])
			}
			_ = w.Write(row) // Error has it
		}
		w.Flush()
		if err := w.Error(); err != nil {
			return nil, fmt.Errorf("writing the sheet %s as CSV: %w", sheet.Name, err)
		}
		out = append(out, File{sheet.Name + ".csv", b.Bytes()})
	}
	return out, nil
}

// table is the sheet as rows of texts, the head first.
func (s *Sheet) table(of *Survey) [][]string {
	if s.Form {
		out := [][]string{{"member", "value", "unit"}}
		for i, c := range s.Columns {
			out = append(out, []string{c.label(), s.Rows[0][i].Text, s.Units[i]})
		}
		return out
	}
	head := make([]string, len(s.Columns))
	for i, c := range s.Columns {
		head[i] = c.Head(of.Family)
	}
	out := [][]string{head}
	for _, row := range s.Rows {
		texts := make([]string, len(row))
		for i, cell := range row {
			texts[i] = cell.Text
		}
		out = append(out, texts)
	}
	return out
}

// risky are the beginnings by which a spreadsheet takes a field for a formula,
// where it is no number. Source of the list: OWASP, CSV Injection (from memory).
const risky = "=+-@\t\r\n＝＋－＠"

// armoured puts an apostrophe before what a spreadsheet would take for a
// formula; bared takes it off again.
func armoured(text string) string {
	first, _ := utf8.DecodeRuneInString(strings.TrimLeft(text, "'"))
	if _, bare := bareNumber(text); text == "" || bare || !strings.ContainsRune(risky, first) {
		return text
	}
	return "'" + text
}

func bared(text string) string {
	rest, found := strings.CutPrefix(text, "'")
	first, _ := utf8.DecodeRuneInString(strings.TrimLeft(rest, "'"))
	if found && rest != "" && strings.ContainsRune(risky, first) {
		return rest
	}
	return text
}

// The most that is read of one sheet: more rows than a kit may have things,
// and more columns than any sheet has.
const (
	mostRows    = 8000
	mostColumns = 200
)

// ReadCSV reads the sheet of one file, whose name without its ending is that
// of the sheet. Semicolons or tabs may stand for the commas.
func ReadCSV(f File) (Grid, []Problem) {
	g := Grid{Name: strings.TrimSuffix(f.Name, ".csv")}
	text := bytes.TrimPrefix(f.Text, []byte("\ufeff"))
	if !utf8.Valid(text) {
		return g, []Problem{{g.Name, "the file is not written in UTF-8", "save it as CSV in UTF-8"}}
	}
	if !bytes.ContainsRune(text, '\n') {
		text = bytes.ReplaceAll(text, []byte("\r"), []byte("\n")) // as some spreadsheets end lines
	}
	r := csv.NewReader(bytes.NewReader(text))
	r.FieldsPerRecord, r.LazyQuotes = -1, true
	r.Comma = separator(text)
	g.Semicolons, g.Torn = r.Comma == ';', r.Comma == ','
	var marks []Problem
	for len(g.Rows) <= mostRows {
		row, err := r.Read()
		switch {
		case err != nil && row == nil && errors.Is(err, io.EOF):
			return g, marks
		case err != nil:
			return g, []Problem{{g.Name, "the file cannot be read as CSV: " + plainCSV(err), "save it again from the spreadsheet"}}
		}
		// a record may begin below an empty line, which the reader passes over
		line, _ := r.FieldPos(0)
		for len(g.Rows) < min(line-1, mostRows) {
			g.Rows = append(g.Rows, nil)
		}
		if len(row) > mostColumns {
			return g, []Problem{{g.Name, fmt.Sprintf("line %d has more than %d fields", line, mostColumns), "a survey has no sheet so wide"}}
		}
		if mergeMark.MatchString(row[0]) {
			if marks == nil {
				marks = []Problem{{g.Name, fmt.Sprintf("line %d is a mark of a merge that is not finished", line), "decide which rows stand, and take out the others with the marks"}}
			}
			row = nil
		}
		for i := range row {
			row[i] = bared(row[i])
		}
		g.Rows = append(g.Rows, row)
	}
	return g, []Problem{{g.Name, fmt.Sprintf("it has more than %d rows", mostRows), "a kit takes fewer things"}}
}

// mergeMark is what Git writes round what two people changed (git merge, "how
// conflicts are presented").
var mergeMark = regexp.MustCompile(`^(<{7}|\|{7}|={7}|>{7})( |$)`)

func plainCSV(err error) string {
	var at *csv.ParseError
	if errors.As(err, &at) {
		return fmt.Sprintf("line %d: %v", at.Line, at.Err)
	}
	return err.Error()
}

// separator is the sign between the fields of the first line that has one.
func separator(text []byte) rune {
	for line := range bytes.Lines(text) {
		best, most := ',', 0
		for _, sign := range []rune{',', ';', '\t'} {
			if n := bytes.Count(line, []byte(string(sign))); n > most {
				best, most = sign, n
			}
		}
		if most > 0 {
			return best
		}
	}
	return ','
}

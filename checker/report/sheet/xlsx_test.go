package sheet_test

import (
	"archive/zip"
	"bytes"
	"encoding/xml"
	"io"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"
	"unicode/utf16"

	"github.com/google/go-cmp/cmp"

	"kitgauge/checker/report"
	"kitgauge/checker/report/sheet"
	"kitgauge/checker/workbook"
)

// The workbook is read back without the library that wrote it: as a ZIP
// archive of XML, by the names of ISO/IEC 29500-1.
type worksheet struct {
	Fit struct {
		FitToPage bool `xml:"fitToPage,attr"`
	} `xml:"sheetPr>pageSetUpPr"`
	Pane struct {
		Y     int    `xml:"ySplit,attr"`
		State string `xml:"state,attr"`
	} `xml:"sheetViews>sheetView>pane"`
	Columns []struct {
		Width float64 `xml:"width,attr"`
	} `xml:"cols>col"`
	Rows []struct {
		Cells []struct {
			At      string  `xml:"r,attr"`
			Type    string  `xml:"t,attr"`
			Style   int     `xml:"s,attr"`
			Value   string  `xml:"v"`
			Formula *string `xml:"f"`
		} `xml:"c"`
	} `xml:"sheetData>row"`
	Page struct {
		Size        int    `xml:"paperSize,attr"`
		Orientation string `xml:"orientation,attr"`
		Width       int    `xml:"fitToWidth,attr"`
		Height      *int   `xml:"fitToHeight,attr"`
	} `xml:"pageSetup"`
	Header string `xml:"headerFooter>oddHeader"`
	Footer string `xml:"headerFooter>oddFooter"`
}

type sharedStrings struct {
	Items []string `xml:"si>t"`
}

func asXLSX(t testing.TB, b sheet.Book, o sheet.XLSX) []byte {
	t.Helper()
	var out bytes.Buffer
	if err := sheet.WriteXLSX(&out, b, o); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

// files unpacks a workbook.
func files(t testing.TB, text []byte) map[string][]byte {
	t.Helper()
	archive, err := zip.NewReader(bytes.NewReader(text), int64(len(text)))
	if err != nil {
		t.Fatal(err)
	}
	out := map[string][]byte{}
	for _, f := range archive.File {
		if year := f.Modified.Year(); year != 1980 {
			t.Errorf("%s: of the year %d; want one that does not move", f.Name, year)
		}
		r, err := f.Open()
		if err != nil {
			t.Fatal(err)
		}
		if out[f.Name], err = io.ReadAll(r); err != nil {
			t.Fatal(err)
		}
	}
	return out
}

func decode[T any](t testing.TB, text []byte) T {
	t.Helper()
	var v T
	if err := xml.Unmarshal(text, &v); err != nil {
		t.Fatalf("%v in %s", err, text)
	}
	return v
}

func worksheets(t testing.TB, b sheet.Book, o sheet.XLSX) ([]worksheet, []string, map[string][]byte) {
	t.Helper()
	all := files(t, asXLSX(t, b, o))
	var out []worksheet
	for i := range b.Sheets {
		out = append(out, decode[worksheet](t, all["xl/worksheets/sheet"+strconv.Itoa(i+1)+".xml"]))
	}
	return out, decode[sharedStrings](t, all["xl/sharedStrings.xml"]).Items, all
}

// Every cell says what the sheet says: a number as a number, with no more
// than that in the cell, a text as a shared string.
func TestXLSXCells(t *testing.T) {
	for _, name := range []string{"gritter", "loader", "trailer"} {
		book := sheet.Of(example(t, name), sheet.ByLength)
		got, shared, _ := worksheets(t, book, sheet.XLSX{})
		for i, s := range book.Sheets {
			if len(got[i].Rows) != len(s.Rows)+1 {
				t.Fatalf("%s, %s: %d rows; want %d and the head", name, s.Name, len(got[i].Rows), len(s.Rows))
			}
			for r, row := range s.Rows {
				for c, cell := range row {
					x := got[i].Rows[r+1].Cells[c]
					if cell.IsNumber {
						f, err := strconv.ParseFloat(x.Value, 64)
						if err != nil || x.Type != "" && x.Type != "n" || f != cell.Number {
							t.Errorf("%s, %s: %s is %q of type %q; want the number %v", name, s.Name, x.At, x.Value, x.Type, cell.Number)
						}
						continue
					}
					if n, err := strconv.Atoi(x.Value); cell.Text != "" && (x.Type != "s" || err != nil || shared[n] != cell.Text) {
						t.Errorf("%s, %s: %s is %q of type %q; want the text %q", name, s.Name, x.At, x.Value, x.Type, cell.Text)
					}
				}
			}
		}
	}
}

// Paper sizes by ISO/IEC 29500-1, 18.3.1.63: 1 is Letter, 9 is A4 (printed).
func TestXLSXPrint(t *testing.T) {
	tests := []struct {
		kit   string
		paper workbook.Paper
		size  int
	}{
		{"gritter", workbook.Usual, 9}, {"loader", workbook.Usual, 1}, {"gritter", workbook.Letter, 1}, {"loader", workbook.A4, 9},
	}
	for _, tt := range tests {
		book := sheet.Of(example(t, tt.kit), sheet.ByLength)
		got, _, all := worksheets(t, book, sheet.XLSX{Paper: tt.paper})
		for i, s := range got {
			what := tt.kit + ", " + book.Sheets[i].Name
			if s.Page.Size != tt.size || s.Page.Orientation != "landscape" || s.Page.Width != 1 || s.Page.Height == nil || *s.Page.Height != 0 || !s.Fit.FitToPage {
				t.Errorf("%s: page %+v, fit %t; want size %d, landscape, one page wide", what, s.Page, s.Fit.FitToPage, tt.size)
			}
			if s.Pane.Y != 1 || s.Pane.State != "frozen" {
				t.Errorf("%s: pane %+v; want the head frozen", what, s.Pane)
			}
			if len(s.Columns) == 0 {
				t.Errorf("%s: no column has a width", what)
			}
			for _, want := range []string{book.Block.Number, book.Block.Owner, book.Block.Title, book.Block.DrawnBy, book.Block.Date, book.Sheets[i].Title} {
				if !strings.Contains(s.Header, want) {
					t.Errorf("%s: header %q; want %q in it", what, s.Header, want)
				}
			}
			if !strings.Contains(s.Footer, report.Caution) {
				t.Errorf("%s: footer %q; want the caution", what, s.Footer)
			}
			if title := "'" + book.Sheets[i].Title + "'!$1:$1"; !bytes.Contains(all["xl/workbook.xml"], []byte(title)) && !bytes.Contains(all["xl/workbook.xml"], []byte(strings.ReplaceAll(title, "'", "&#39;"))) {
				t.Errorf("%s: the head is not repeated on each page: %s", what, all["xl/workbook.xml"])
			}
		}
	}
}

// No text becomes a formula, and none a code of the header: what is left of a
// header without "&&" has the three sections, each with its size, and no other code.
func TestXLSXHostile(t *testing.T) {
	code := regexp.MustCompile(`&.`)
	for _, bad := range append([]string{strings.Repeat("&", 300), strings.Repeat("𝄞&", 300)}, hostileTexts...) {
		book := hostile(t, bad)
		got, shared, all := worksheets(t, book, sheet.XLSX{})
		for i, s := range got {
			for _, row := range s.Rows {
				for _, c := range row.Cells {
					if c.Formula != nil {
						t.Errorf("%q: %s is the formula %q", bad, c.At, *c.Formula)
					}
				}
			}
			for _, text := range []string{s.Header, s.Footer} {
				// ISO/IEC 29500-1, 18.3.1.46: at most 255 characters (from memory)
				if n := len(utf16.Encode([]rune(text))); n > 255 {
					t.Errorf("%q: %d UTF-16 units in %q", bad, n, text)
				}
			}
			codes := code.FindAllString(strings.ReplaceAll(s.Header, "&&", ""), -1)
			if diff := cmp.Diff([]string{"&L", "&8", "&C", "&8", "&R", "&8"}, codes); diff != "" {
				t.Errorf("%q: codes of the header of %s (-want +got):\n%s\n%s", bad, book.Sheets[i].Name, diff, s.Header)
			}
		}
		seen := false
		for _, item := range shared {
			// ISO/IEC 29500-1, 22.9.2.19: _x005F_ stands for the underscore of an escape
			seen = seen || strings.ReplaceAll(item, "_x005F_", "_") == report.Visible(bad)
		}
		if !seen {
			t.Errorf("%q is not among the strings %q", bad, shared)
		}
		for name, text := range all {
			if bytes.ContainsAny(text, "\x1b") || bytes.Contains(text, []byte("<script")) {
				t.Errorf("%q: %s holds it raw", bad, name)
			}
		}
	}
}

// The same book gives the same bytes, at another time too; the properties
// hold the day of the kit and no other.
func TestXLSXDeterministic(t *testing.T) {
	book := sheet.Of(example(t, "gritter"), sheet.ByLength)
	first := asXLSX(t, book, sheet.XLSX{})
	time.Sleep(1100 * time.Millisecond) // the times of a workbook are whole seconds
	if !bytes.Equal(first, asXLSX(t, book, sheet.XLSX{})) {
		t.Error("written again: other bytes")
	}
	core := files(t, first)["docProps/core.xml"]
	if want := "2026-09-14T00:00:00Z"; bytes.Count(core, []byte(want)) != 2 {
		t.Errorf("got %s; want %s twice", core, want)
	}
	book.Block.Date = "soon"
	if core := files(t, asXLSX(t, book, sheet.XLSX{}))["docProps/core.xml"]; !bytes.Contains(core, []byte("1980-01-01T00:00:00Z")) {
		t.Errorf("a kit without a day: got %s", core)
	}
}

func BenchmarkWriteXLSX(b *testing.B) {
	book := sheet.Of(example(b, "gritter"), sheet.ByLength)
	for b.Loop() {
		asXLSX(b, book, sheet.XLSX{})
	}
}

package survey_test

import (
	"archive/zip"
	"bytes"
	"fmt"
	"strings"
	"testing"

	"github.com/xuri/excelize/v2"

	"kitgauge/checker/survey"
)

// packed is a ZIP archive of files that hold so many noughts each.
func packed(t *testing.T, files, size int) []byte {
	t.Helper()
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for i := range files {
		w, err := z.Create(fmt.Sprintf("xl/worksheets/sheet%d.xml", i))
		if err != nil {
			t.Fatal(err)
		}
		if _, err := w.Write(make([]byte, size)); err != nil {
			t.Fatal(err)
		}
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// rows is a workbook with a cell far down or far out.
func rows(t *testing.T, cell string) []byte {
	t.Helper()
	f := excelize.NewFile()
	if err := f.SetCellStr("Sheet1", cell, "x"); err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	if err := f.Write(&b); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// What is larger than any survey is refused before it is unpacked.
func TestBounds(t *testing.T) {
	for want, text := range map[string][]byte{
		"unpacked it is larger than 48 MiB":   packed(t, 5, 10<<20), // some kilobytes
		"it holds more than 500 files":        packed(t, 501, 1),
		"it has more than 8000 rows":          rows(t, "A9000"),
		"this row goes on beyond 200 columns": rows(t, "GS3"),
		"it is no workbook, or not whole":     []byte("PK\x03\x04 and no more"),
	} {
		grids, why := survey.ReadXLSX(text)
		if why == nil || why.Message != want || grids != nil {
			t.Errorf("got %d sheets, %v; want %q", len(grids), why, want)
		}
	}
	long := strings.Repeat("a\n", 9000)
	if _, why := survey.ReadCSV(survey.File{Name: "points.csv", Text: []byte(long)}); len(why) != 1 || !strings.Contains(why[0].Message, "more than 8000 rows") {
		t.Errorf("got %v", why)
	}
}

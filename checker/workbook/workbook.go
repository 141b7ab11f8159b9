// Package workbook holds what the workbooks of the program have in common
// (Office Open XML, ISO/IEC 29500): the paper on which they are printed, and a
// writer that gives the same bytes for the same content.
package workbook

import (
	"archive/zip"
	"bytes"
	"io"
	"regexp"
	"slices"
	"time"

	"github.com/xuri/excelize/v2"

	"kitgauge/checker/units"
)

// Paper is the size on which a workbook is printed.
type Paper int

// The papers. The zero Paper is that of the unit family.
const (
	Usual  Paper = iota
	A4           // ISO 216
	Letter       // ANSI/ASME Y14.1, size A
)

// size is how a workbook names a paper (ISO/IEC 29500-1, 18.3.1.63, paperSize).
func (p Paper) size(family units.Family) int {
	const a4, letter = 9, 1
	if p == Letter || p == Usual && family == units.Inch {
		return letter
	}
	return a4
}

// Landscape sets a worksheet up to be printed across the paper, as wide as that
// and on as many pages as it takes.
func Landscape(f *excelize.File, sheet string, paper Paper, family units.Family) error {
	size, way, one, asMany, fit := paper.size(family), "landscape", 1, 0, true
	if err := f.SetPageLayout(sheet, &excelize.PageLayoutOptions{Size: &size, Orientation: &way, FitToWidth: &one, FitToHeight: &asMany}); err != nil {
		return err
	}
	return f.SetSheetProps(sheet, &excelize.SheetPropsOptions{FitToPage: &fit})
}

// LongAgo is the first day that a ZIP archive can tell: no time of writing
// makes each writing another file.
var LongAgo = time.Date(1980, 1, 1, 0, 0, 0, 0, time.UTC)

// NewZip makes a ZIP writer that gives every file the time LongAgo, and puts the
// types of content, which the library takes from a map, into an order.
func NewZip(w io.Writer) excelize.ZipWriter { return &dated{Writer: zip.NewWriter(w)} }

type dated struct {
	*zip.Writer
	types bytes.Buffer
}

const typesFile = "[Content_Types].xml"

// Create implements excelize.ZipWriter.
func (d *dated) Create(name string) (io.Writer, error) {
	if name == typesFile {
		return &d.types, nil
	}
	return d.create(name)
}

func (d *dated) create(name string) (io.Writer, error) {
	return d.CreateHeader(&zip.FileHeader{Name: name, Method: zip.Deflate, Modified: LongAgo})
}

var defaultType = regexp.MustCompile(`<Default [^>]*></Default>`)

// Close implements excelize.ZipWriter.
func (d *dated) Close() error {
	w, err := d.create(typesFile)
	if err != nil {
		return err
	}
	sorted := defaultType.FindAllString(d.types.String(), -1)
	slices.Sort(sorted)
	i := -1
	text := defaultType.ReplaceAllStringFunc(d.types.String(), func(string) string { i++; return sorted[i] })
	if _, err := io.WriteString(w, text); err != nil {
		return err
	}
	return d.Writer.Close()
}

package survey

import (
	"archive/zip"
	"bytes"
	"fmt"
	"slices"

	"github.com/xuri/excelize/v2"

	"kitgauge/checker/units"
)

// The most that is taken of a workbook: bytes when it is unpacked, files in
// it, and sheets.
const (
	mostUnpacked = 48 << 20
	mostFiles    = 500
	mostSheets   = 40
)

// IsWorkbook reports whether a text is a ZIP archive, as a workbook is.
func IsWorkbook(text []byte) bool { return bytes.HasPrefix(text, []byte("PK\x03\x04")) }

// ReadXLSX reads the sheets of an Office Open XML workbook (ISO/IEC 29500): of
// each cell the value that it has, never a formula.
func ReadXLSX(text []byte) (grids []Grid, problem *Problem) {
	fail := func(message, remedy string) ([]Grid, *Problem) {
		return nil, &Problem{"the workbook", message, remedy}
	}
	if why := tooLarge(text); why != "" {
		return fail(why, "save the survey again, with nothing else in it")
	}
	defer func() {
		if recover() != nil { // a damaged file can lead the library astray
			grids, problem = fail("it is damaged", "save it again from the spreadsheet")
		}
	}()
	f, err := excelize.OpenReader(bytes.NewReader(text), excelize.Options{UnzipSizeLimit: mostUnpacked, UnzipXMLSizeLimit: mostUnpacked, RawCellValue: true})
	if err != nil {
		return fail("it cannot be read as a workbook (.xlsx)", "save it again from the spreadsheet; an encrypted one has to be saved without its password")
	}
	defer f.Close()
	names := f.GetSheetList()
	if len(names) > mostSheets {
		return fail(fmt.Sprintf("it has more than %d sheets", mostSheets), "keep those of the survey")
	}
	for _, name := range names {
		g, why := readSheet(f, name)
		if why != nil {
			return nil, why
		}
		grids = append(grids, g)
	}
	return grids, nil
}

// tooLarge says why an archive is not unpacked; "" where it is.
func tooLarge(text []byte) string {
	z, err := zip.NewReader(bytes.NewReader(text), int64(len(text)))
	if err != nil {
		return "it is no workbook, or not whole"
	}
	if len(z.File) > mostFiles {
		return fmt.Sprintf("it holds more than %d files", mostFiles)
	}
	total := uint64(0)
	for _, f := range z.File {
		if total += f.UncompressedSize64; f.UncompressedSize64 > mostUnpacked || total > mostUnpacked {
			return fmt.Sprintf("unpacked it is larger than %d MiB", mostUnpacked>>20)
		}
	}
	return ""
}

func readSheet(f *excelize.File, name string) (Grid, *Problem) {
	g := Grid{Name: name}
	rows, err := f.Rows(name)
	if err != nil {
		return g, nil // a sheet of another kind, such as a chart
	}
	defer rows.Close()
	for last := 0; rows.Next(); last++ {
		if last >= mostRows {
			return g, &Problem{name, fmt.Sprintf("it has more than %d rows", mostRows), "delete the rows below the last thing, with what they hold"}
		}
		cells, err := rows.Columns(excelize.Options{RawCellValue: true})
		if err != nil {
			return g, &Problem{fmt.Sprintf("%s!A%d", name, last+1), "this row cannot be read", "save the workbook again from the spreadsheet"}
		}
		for len(cells) > 0 && cells[len(cells)-1] == "" {
			cells = cells[:len(cells)-1]
		}
		if len(cells) > mostColumns {
			return g, &Problem{fmt.Sprintf("%s!%s%d", name, letters(mostColumns), last+1), fmt.Sprintf("this row goes on beyond %d columns", mostColumns), "a survey has no sheet so wide: delete what stands there"}
		}
		g.Rows = append(g.Rows, slices.Clone(cells))
	}
	for len(g.Rows) > 0 && !filled(g.Rows[len(g.Rows)-1]) {
		g.Rows = g.Rows[:len(g.Rows)-1]
	}
	if g.decimalCommas() {
		certain(f, &g)
	}
	return g, nil
}

// certain gives numbers, which are kept with a point whatever the texts beside
// them have, a fourth decimal: so they cannot be taken for thousands.
func certain(f *excelize.File, g *Grid) {
	for i, row := range g.Rows {
		for c, text := range row {
			if !units.TwoWays(text, '.') {
				continue
			}
			kind, err := f.GetCellType(g.Name, cellName(c, i))
			if _, bare := bareNumber(text); err == nil && bare && (kind == excelize.CellTypeUnset || kind == excelize.CellTypeNumber) {
				row[c] = text + "0"
			}
		}
	}
}

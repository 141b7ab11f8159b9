package survey_test

import (
	"strings"
	"testing"

	"github.com/xuri/excelize/v2"

	"kitgauge/checker/document"
	"kitgauge/checker/survey"
)

// TestTwoWays: no number is read as a thousandth of what may be meant without a
// word. Either reading, written as the remedy has it, is read as it stands.
func TestTwoWays(t *testing.T) {
	for _, tt := range []struct{ cell, position, open string }{
		{`"1,430"`, "", "points!B2: \"1,430\" can be read two ways; write 1430 or 1.4300"},
		{`"-12,430 mm"`, "", "points!B2: \"-12,430 mm\" can be read two ways; write -12430 mm or -12.4300 mm"},
		{"1.4300", "1.43 mm", ""}, {"1430", "1430 mm", ""}, {`"1,43"`, "1.43 mm", ""}, {`"1,5"`, "1.5 mm", ""},
		{`"0,430"`, "0.43 mm", ""}, {`"1430,125"`, "1430.125 mm", ""}, {"9.525", "9.525 mm", ""},
		{`"1.430,5"`, "", `write 1430.5`}, {`"1,430.5"`, "", "write 1430.5"}, {"1 430", "", "write 1430"}, {"1\u202f430", "", "write 1430"},
		{"1'430", "", "write one number"}, {"1.430.500", "", "misplaced decimal point"}, {`"1,430,500"`, "", "write 1430500"},
	} {
		sheet := "id,position x (mm),position y (mm),position z (mm)\nA1," + tt.cell + ",0,0\n"
		readTwoWays(t, sheet, tt.position, tt.open)
	}
	for _, tt := range []struct{ cell, position, open string }{ // decimals are behind a comma
		{"1.430", "", "points!B2: \"1.430\" can be read two ways, as this sheet writes decimals behind a comma; write 1430 or 1.4300"},
		{"1,430", "", "can be read two ways; write 1430 or 1.4300"}, {"1.4300", "1.43 mm", ""}, {"1430", "1430 mm", ""}, {"1,5", "1.5 mm", ""}, {"1.5", "1.5 mm", ""},
	} {
		readTwoWays(t, "id;position x (mm);position y (mm);position z (mm)\nA1;"+tt.cell+";0;0\n", tt.position, tt.open)
	}
	readTwoWays(t, "id,position x (mm),position y (mm),position z (mm)\nA1,1.430,\"0,5\",0\n", "", "can be read two ways, as this sheet")
}

func readTwoWays(t *testing.T, sheet, position, open string) {
	t.Helper()
	g, wrong := survey.ReadCSV(survey.File{Name: "points.csv", Text: []byte(sheet)})
	p := fromGrids(t, []survey.Grid{g}).Kit()
	for _, o := range p.Open {
		wrong = append(wrong, o)
	}
	switch written := string(yaml(document.Of("points", p.Points))); {
	case open != "" && (len(wrong) != 1 || !strings.Contains(wrong[0].Error(), open)):
		t.Errorf("%s: %v, want %q", sheet, wrong, open)
	case open == "" && (len(wrong) > 0 || !strings.Contains(written, "["+position+",")):
		t.Errorf("%s: %v, %s, want %s", sheet, wrong, written, position)
	}
}

// TestNumbersOfWorkbook: a number that a workbook keeps as one is that, whatever
// the texts beside it have for a point; a text is not.
func TestNumbersOfWorkbook(t *testing.T) {
	f := excelize.NewFile()
	defer f.Close()
	_ = f.SetSheetName("Sheet1", "points")
	for at, v := range map[string]any{"A1": "id", "B1": "position x (mm)", "C1": "position y (mm)", "D1": "position z (mm)", "A2": "A1", "B2": 9.525, "C2": "1,5", "D2": "1.430"} {
		if err := f.SetCellValue("points", at, v); err != nil {
			t.Fatal(err)
		}
	}
	b, err := f.WriteToBuffer()
	if err != nil {
		t.Fatal(err)
	}
	grids, why := survey.ReadXLSX(b.Bytes())
	if why != nil {
		t.Fatal(why)
	}
	p := fromGrids(t, grids).Kit()
	if len(p.Open) != 1 || p.Open[0].At != "points!D2" {
		t.Errorf("got %v", p.Open)
	}
	if got := string(yaml(document.Of("points", p.Points))); !strings.Contains(got, "9.525 mm, 1.5 mm") {
		t.Errorf("got %s", got)
	}
}

// TestSlipsOfSheets: what is lost or looks like something else is told, once.
func TestSlipsOfSheets(t *testing.T) {
	for _, tt := range []struct{ sheet, text, want string }{
		{"vehicle", "member,value,unit\nheader title,Brine trailer, 6 points,\n", `vehicle!C2: "6 points" stands beside header title, which has no unit`},
		{"vehicle", "member,value,unit\nheader title,\"Brine trailer\",, 6 points\n", `vehicle!D2: "6 points" stands behind the unit`},
		{"vehicle", "member,value,unit\nheader number;WS-0412;\n", `vehicle!A2: "header number;ws-0412;" is one cell`},
		{"vehicle", "member,value,unit\nheader nuber,WS-0412,\n", `nearest is "header number"`},
		{"bodies", "id,name,sprung\naxle,axle, rear,no\n", "bodies!D2: this row has 4 cells, and the head has 3"},
		{"bodies", "id,name,sprung\na\x00xle,axle,no\n", "bodies!A2: the text holds U+0000 (null), which cannot be seen"},
		{"bodies", "id,name,sprung\nax\u200ble,axle,no\n", "bodies!A2: the text holds U+200B (zero width space), which cannot be seen"},
		{"bodies", "<<<<<<< HEAD\nid,name,sprung\naxle,axle,no\n=======\n>>>>>>> other\n", "bodies: line 1 is a mark of a merge that is not finished"},
		{"bodies", "id,nmae,sprung\naxle,axle,no\nframe,frame,yes\n", `bodies!B1: the head "nmae" is none of this sheet; it is read as "name", which is nearest; write name`},
		{"bodies", "id,colour,sprung\naxle,red,no\nframe,blue,yes\n", `bodies!B1: the head "colour" is none of this sheet`},
		{"bodies", "id,nam,nmae,sprung\naxle,a,b,no\n", `bodies!C1: the head "nmae" is none of this sheet`},
		{"bodies", "id,name,sprung\raxle,axle,no\r", ""},
	} {
		g, wrong := survey.ReadCSV(survey.File{Name: tt.sheet + ".csv", Text: []byte(tt.text)})
		s, more := survey.FromGrids([]survey.Grid{g})
		var all []string
		for _, p := range append(wrong, more...) {
			all = append(all, p.Error())
		}
		if !strings.Contains(strings.Join(all, "\n"), tt.want) || tt.want == "" && len(all) > 0 || !strings.Contains(tt.text, "nam,") && len(all) > 1 {
			t.Errorf("%q: %q, want %q", tt.text, all, tt.want)
		}
		if tt.sheet == "bodies" && len(s.Kit().Bodies) == 0 {
			t.Errorf("%q: no body is read", tt.text)
		}
	}
}

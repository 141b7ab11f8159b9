package survey_test

import (
	"bytes"
	"fmt"
	"strings"
	"testing"

	"github.com/xuri/excelize/v2"

	"kitgauge/checker/document"
	"kitgauge/checker/source"
	"kitgauge/checker/survey"
	"kitgauge/examples"
)

// FuzzSheets reads sheets as CSV. Whatever stands in them, the part of the kit
// that comes of it is a YAML document, and a survey in which nothing is wrong
// comes back the same from it.
func FuzzSheets(f *testing.F) {
	_, text, _ := examples.Kit("trailer")
	files, err := survey.FromKit(parse(f, text)).CSV()
	if err != nil {
		f.Fatal(err)
	}
	for _, file := range files {
		f.Add(strings.TrimSuffix(file.Name, ".csv"), file.Text)
	}
	f.Add("points", []byte("id;name;position x (in);position y (m)\r\nA1;=cmd;1,5;2 mm\r\n;;;\r\n,,x"))
	f.Add("joints", []byte("id,kind,range from (deg or mm),range to\nj,prismatic,-9e0,0x1p4\nj,revolute,nan,1e999"))
	f.Add("vehicle", []byte("member,value,unit\nheader date,46000,\nvehicle ambient from,-30,furlong\nheader date,now"))
	f.Fuzz(func(t *testing.T, name string, text []byte) {
		g, _ := survey.ReadCSV(survey.File{Name: name + ".csv", Text: text})
		s, problems := survey.FromGrids([]survey.Grid{g})
		for _, p := range problems {
			if p.At == "" || p.Message == "" {
				t.Fatalf("a problem without a place or a message: %+v", p)
			}
		}
		p := s.Kit()
		var b bytes.Buffer
		document.YAML(&b, whole(p))
		if b.Len() == 0 {
			return
		}
		docs, wrong := source.Parse("fuzz.kit.yaml", b.Bytes())
		if len(wrong) > 0 || len(docs) != 1 {
			if tooLarge(wrong) {
				return
			}
			t.Fatalf("%v in\n%s", wrong, b.Bytes())
		}
		if len(problems) > 0 || len(p.Open) > 0 {
			return
		}
		var again bytes.Buffer
		document.YAML(&again, whole(survey.FromKit(docs[0].Root).Kit()))
		if !bytes.Equal(b.Bytes(), again.Bytes()) {
			t.Fatalf("written\n%s\nand again\n%s", b.Bytes(), again.Bytes())
		}
	})
}

// whole is the part of the kit with its stations as ways.
func whole(p *survey.Part) document.Object {
	var order []string
	ways := map[string]document.List{}
	for _, s := range p.Stations {
		if ways[s.Way] == nil {
			order = append(order, s.Way)
		}
		if len(s.Members) > 0 {
			ways[s.Way] = append(ways[s.Way], s.Members)
		}
	}
	var bundles document.List
	for _, way := range order {
		bundles = append(bundles, document.Of("id", way, "route", ways[way]))
	}
	return document.Of("header", p.Header, "vehicle", p.Vehicle, "bodies", p.Bodies, "joints", p.Joints, "points", p.Points, "pump", p.Pump, "bundles", bundles, "zones", p.Zones, "feed", p.Feed)
}

// tooLarge reports whether a document is beyond what any file may have.
func tooLarge(problems []*source.Problem) bool {
	for _, p := range problems {
		if !strings.Contains(p.Message, "control") && !strings.Contains(p.Message, "more than") {
			return false
		}
	}
	return len(problems) > 0
}

// FuzzWorkbook reads workbooks: one that is damaged, or made to be larger than
// it says, ends in a problem and never otherwise.
func FuzzWorkbook(f *testing.F) {
	small := excelize.NewFile()
	for _, sheet := range []struct {
		name string
		rows [][]any
	}{
		{"bodies", [][]any{{"Bodies"}, {"id", "name", "sprung"}, {"chassis", "frame", "yes"}}},
		{"points", [][]any{{"id", "body", "position x (in)"}, {"A1", "chassis", 1.5}, {"A2", "=A1", "2 mm"}}},
		{"vehicle", [][]any{{"member", "value", "unit"}, {"header date", 46000}}},
	} {
		_, _ = small.NewSheet(sheet.name)
		for i, row := range sheet.rows {
			_ = small.SetSheetRow(sheet.name, fmt.Sprintf("A%d", i+1), &row)
		}
	}
	var b bytes.Buffer
	if err := small.Write(&b); err != nil {
		f.Fatal(err)
	}
	f.Add(b.Bytes())
	f.Add([]byte("PK\x03\x04"))
	f.Fuzz(func(t *testing.T, text []byte) {
		grids, why := survey.ReadXLSX(text)
		if why != nil {
			if why.Message == "" || len(grids) > 0 {
				t.Fatalf("%+v beside %d sheets", why, len(grids))
			}
			return
		}
		read, _ := survey.FromGrids(grids)
		read.Kit()
	})
}

package reporttest

import (
	"kitgauge/checker/compare"
	"kitgauge/checker/finding"
	"kitgauge/checker/source"
)

// Comparison is two revisions of a kit with a difference of every kind.
func Comparison() *compare.Comparison {
	state := func(text string, line int, pointer string) *compare.State {
		return &compare.State{Text: text, Pos: source.Pos{File: Gritter, Line: line, Column: 5}, Pointer: pointer}
	}
	slack, fuse, conceded := slackFinding(), fuseFinding(), concededFinding()
	before := conceded
	before.Status, before.Concession = finding.Violated, nil
	list := []*finding.Finding{&slack, &fuse, &conceded, &before}
	for _, f := range list {
		one := []finding.Finding{*f}
		finding.Fingerprint("WS-114", one)
		f.Fingerprint = one[0].Fingerprint
	}
	return &compare.Comparison{
		Old: compare.Title{File: "HEAD:" + Gritter, Number: "WS-114", Revision: "A", Title: "Gritter, front axle", Status: "released", Shaped: true},
		New: compare.Title{File: Gritter, Number: "WS-114", Revision: "B", Title: "Gritter, front axle and spreader", Status: "for-review", Shaped: true},
		Changes: []compare.Change{
			{Kind: compare.Changed, Section: "header", Member: "revision", Old: state("A", 3, "/header/revision"), New: state("B", 3, "/header/revision"), Text: "revision A to B"},
			{Kind: compare.Added, Section: "points", Place: "point H9", New: state("Chain tensioner", 40, "/points/7"), Text: `point H9 added ("Chain tensioner")`},
			{Kind: compare.Changed, Section: "lines", Place: "line 7", Member: "cut length", Old: state("2655 mm", 60, "/lines/6/cut_length"), New: state("2710 mm", 64, "/lines/6/cut_length"), Text: "line 7 now 55 mm longer (2655 mm to 2710 mm)"},
			{Kind: compare.Changed, Section: "feed", Place: "feed", Member: "fuse", Old: state("FG-S75", 90, "/feed/fuse"), New: state("FG-F5", 94, "/feed/fuse"), Text: "fuse 7.5 A to 5 A (FG-S75 to FG-F5)"},
			{Kind: compare.Removed, Section: "procedure", Place: "step lock-out", Old: state("Lock and tag the isolator.", 120, "/procedure/4"), Text: `step lock-out removed ("Lock and tag the isolator.")`},
			{Kind: compare.Moved, Section: "procedure", Place: "step chock", Old: state("first", 110, "/procedure/0"), New: state("after brief", 116, "/procedure/1"), Text: "step chock now after brief (was first)"},
		},
		Figures: []compare.Figure{
			{Kind: "span", Place: "line 7, span chassis to left knuckle", Name: "slack", Old: amount(0.035, "length", "35 mm"), New: amount(-0.013, "length", "-13 mm"), By: amount(-0.048, "length", "-48 mm")},
			{Kind: "span", Place: "line 7, span chassis to left knuckle", Name: "free length", Old: amount(0.46, "length", "460 mm"), New: amount(0.412, "length", "412 mm"), By: amount(-0.048, "length", "-48 mm")},
			{Kind: "feed", Place: "the feed", Name: "pump voltage", Old: amount(23.1, "voltage", "23.1 V"), NewWhy: "the length of the feed is not stated"},
		},
		Findings: []compare.Finding{
			{Kind: compare.Added, New: &slack},
			{Kind: compare.Changed, Old: &before, New: &conceded, Text: "violated to conceded"},
			{Kind: compare.Removed, Old: &fuse},
		},
	}
}

// HarmfulComparison is a comparison whose every text is the one given.
func HarmfulComparison(bad string) *compare.Comparison {
	state := &compare.State{Text: bad, Pos: source.Pos{File: bad, Line: 1, Column: 1}, Pointer: bad}
	title := compare.Title{File: bad, Number: bad, Revision: bad, Title: bad, Status: bad}
	f := HarmfulWith(bad).Kits[0].Findings[0]
	wild := amount(1, bad, bad)
	return &compare.Comparison{
		Old: title, New: title,
		Changes:  []compare.Change{{Kind: compare.Changed, Section: "lines", Place: bad, Member: bad, Old: state, New: state, Text: bad}},
		Figures:  []compare.Figure{{Kind: bad, Place: bad, Name: bad, Old: wild, New: wild, By: wild, OldWhy: bad, NewWhy: bad}},
		Findings: []compare.Finding{{Kind: compare.Changed, Old: &f, New: &f, Text: bad}},
	}
}

// Package reporttest holds runs to try an output format on: an invented
// winter-service fleet, and text that tries to do harm. It is used by tests
// only.
package reporttest

import (
	"strings"
	"unicode/utf8"

	"kitgauge/checker/engine"
	"kitgauge/checker/finding"
	"kitgauge/checker/report"
	"kitgauge/checker/source"
)

const gritter = `header:
  number: WS-114
  revision: B
  title: Gritter, front axle and spreader
  status: for-review
pump:
  part: FG-P12
  outlets:
    - {number: 3, element: FG-E25}
    - {number: 4}
lines:
  - number: 7
    outlet: 3
    point: kingpin-left
    tube: FG-T4
    free_length: 412 mm   # chassis clip to knuckle clip, measured straight ahead on the bench with the wheels off, by hand and twice
  - number: 8
    outlet: 3
feed:
  fuse: FG-F5
concessions:
  - rule: reservoir/covers-interval
    place: the pump
    reason: the depot refills every week until the larger reservoir is there
    granted_by: H. Brandt, quality
    until: 2027-03-31
`

const catalogue = `parts:
  - {number: FG-T4, kind: tube, bore: 2.5 mm, maximum_pressure: 300, note: "Schlauch für 北の車両, innen 2,5 mm"}
`

// File names of the fleet.
const (
	Gritter   = "fleet/gritter.kit.yaml"
	Catalogue = "fleet/parts/frostgear.parts.yaml"
)

// at finds the place of a text in a file.
func at(file, text, what string) source.Pos {
	i := strings.Index(text, what)
	before := text[:i]
	line := before[strings.LastIndexByte(before, '\n')+1:]
	return source.Pos{File: file, Line: strings.Count(before, "\n") + 1, Column: utf8.RuneCountInString(line) + 1}
}

func lineOf(pos source.Pos) string {
	text := map[string]string{Gritter: gritter, Catalogue: catalogue}[pos.File]
	lines := strings.Split(text, "\n")
	if pos.Line > len(lines) {
		return ""
	}
	return lines[pos.Line-1]
}

func amount(si float64, dimension, text string) *finding.Amount {
	return &finding.Amount{SI: si, Dimension: dimension, Text: text}
}

func slackFinding() finding.Finding {
	return finding.Finding{
		Rule: "slack/steered", Title: "A steered span keeps slack at full lock",
		Severity: finding.Critical, Status: finding.Violated,
		Pos: at(Gritter, gritter, "412 mm"), Pointer: "/lines/0/free_length", Identity: "/lines/number=7/free_length",
		Place:   "line 7, span chassis to left knuckle",
		Message: "the span is 425 mm long with the left kingpin at 38 deg; its free length of 412 mm leaves -13 mm of slack",
		Remedy:  "lengthen the free span by 43 mm to 455 mm",
		Value:   amount(-0.013, "length", "-13 mm"), Limit: amount(0.03, "length", "30 mm"), Margin: amount(-0.043, "length", "-43 mm"),
		Working: []finding.Term{
			{Expression: "span.slack", Value: "-13 mm"},
			{Expression: "limit.steered_slack", Value: "30 mm"},
			{Expression: "limit.slack_share", Value: "0.05"},
			{Expression: "span.longest", Value: "425 mm"},
			{Expression: "limit.slack_share * span.longest", Value: "21.25 mm"},
			{Expression: "larger(limit.steered_slack, limit.slack_share * span.longest)", Value: "30 mm"},
			{Expression: "span.slack >= larger(limit.steered_slack, limit.slack_share * span.longest)", Value: "no"},
		},
		Basis: "common practice, no source",
	}
}

func fuseFinding() finding.Finding {
	return finding.Finding{
		Rule: "power/fuse-covers-draw", Title: "The fuse carries the pump's highest draw",
		Severity: finding.Major, Status: finding.Violated,
		Pos: at(Gritter, gritter, "FG-F5"), Pointer: "/feed/fuse", Identity: "/feed/fuse", Place: "feed",
		Message: "the pump draws up to 4.5 A at its minimum voltage; a fuse of 5 A carries 3.75 A for good",
		Remedy:  "fit a fuse of 7.5 A, the next standard rating above 6 A, if the cable allows it",
		Value:   amount(5, "current", "5 A"), Limit: amount(6, "current", "6 A"), Margin: amount(-1, "current", "-1 A"),
		Working: []finding.Term{
			{Expression: "feed.fuse.rating", Value: "5 A"},
			{Expression: "feed.highest_draw / limit.fuse_share", Value: "6 A"},
		},
		Basis: "common practice, no source; ratings ISO 8820-3",
	}
}

func outletFinding() finding.Finding {
	return finding.Finding{
		Rule: "ports/outlet-used-once", Title: "No outlet serves two lines",
		Severity: finding.Major, Status: finding.Violated,
		Pos: at(Gritter, gritter, "3\nfeed"), Pointer: "/lines/1/outlet", Identity: "/lines/number=8/outlet", Place: "line 8",
		Message: "outlet 3 already serves line 7",
		Remedy:  "move this line to a free outlet, and fit that outlet with an element",
		Working: []finding.Term{{Expression: "line.shares_outlet", Value: "7"}, {Expression: "size(line.shares_outlet) == 0", Value: "no"}},
		Basis:   "common practice, no source",
		Related: []finding.Place{{Pos: at(Gritter, gritter, "3\n    point"), Pointer: "/lines/0/outlet", Says: "this line has the outlet already"}},
	}
}

func valueFinding() finding.Finding {
	return finding.Finding{
		Rule: "file/value", Title: "Every value is of its kind, with its unit",
		Severity: finding.Major, Status: finding.Violated,
		Pos: at(Catalogue, catalogue, "300,"), Pointer: "/parts/0/maximum_pressure", Identity: "/parts/number=FG-T4/maximum_pressure", Place: "part FG-T4",
		Message: "a pressure needs a unit, as in 300 bar",
		Remedy:  "write bar, MPa, kPa or psi behind the number",
		Basis:   "the schemas of kit and parts",
	}
}

func unknownFindings() []finding.Finding {
	var list []finding.Finding
	const reason = "not evaluated: the working pressure of tube FG-T4 is not known (parts[FG-T4].maximum_pressure)"
	for _, c := range []struct {
		rule     string
		severity finding.Severity
		place    string
	}{
		{"flow/start-within-tube", finding.Critical, "line 7"}, {"flow/start-within-tube", finding.Critical, "line 8"},
		{"flow/run-within-tube", finding.Major, "line 7"}, {"flow/run-within-tube", finding.Major, "line 8"},
		{"flow/even-lines", finding.Minor, "kit"}, {"environment/tube-range", finding.Major, "line 7"},
	} {
		list = append(list, finding.Finding{
			Rule: c.rule, Title: "The tube withstands the pressure", Severity: c.severity, Status: finding.NotEvaluated,
			Pos: at(Gritter, gritter, "number: 7"), Pointer: "/lines/0", Identity: "/lines/number=7", Place: c.place,
			Message: reason, Basis: "common practice, no source",
		})
	}
	return append(list, finding.Finding{
		Rule: "dosing/ratio", Title: "The delivered amount suits the demand", Severity: finding.Major, Status: finding.NotEvaluated,
		Pos: at(Gritter, gritter, "kingpin-left"), Pointer: "/lines/0/point", Identity: "/lines/number=7/point", Place: "line 7",
		Message: "not evaluated: the demand of point kingpin-left is not stated", Basis: "common practice, no source",
	})
}

func concededFinding() finding.Finding {
	return finding.Finding{
		Rule: "reservoir/covers-interval", Title: "The fill lasts over the refill interval",
		Severity: finding.Major, Status: finding.Conceded,
		Pos: at(Gritter, gritter, "FG-P12"), Pointer: "/pump/part", Identity: "/pump/part", Place: "the pump",
		Message: "the fill lasts 11.5 days, and the refill interval is 14 days",
		Remedy:  "refill every 9 days, or fit a reservoir of 4 dm3",
		Value:   amount(993600, "time", "11.5 d"), Limit: amount(1451520, "time", "16.8 d"), Margin: amount(-457920, "time", "-5.3 d"),
		Basis: "common practice, no source",
		Concession: &finding.Concession{
			Reason: "the depot refills every week until the larger reservoir is there", GrantedBy: "H. Brandt, quality", Until: "2027-03-31",
			Pos: at(Gritter, gritter, "rule: reservoir"),
		},
	}
}

func knownFinding() finding.Finding {
	return finding.Finding{
		Rule: "fittings/easy-to-reach", Title: "A point that is hard to reach has an angle fitting",
		Severity: finding.Minor, Status: finding.Known,
		Pos: at(Gritter, gritter, "number: 8"), Pointer: "/lines/1", Identity: "/lines/number=8", Place: "line 8",
		Message: "the point is hard to reach, and its fitting is straight", Remedy: "fit an angle fitting",
		Basis: "common practice, no source",
	}
}

func finish(k report.Kit) report.Kit {
	finding.Sort(k.Findings)
	finding.Fingerprint(k.Number, k.Findings)
	for _, f := range k.Findings {
		if f.Status == finding.NotEvaluated {
			k.NotEvaluated++
		}
	}
	k.Line = lineOf
	return k
}

// Faulty is a kit with findings of every kind.
func Faulty() report.Kit {
	list := []finding.Finding{fuseFinding(), slackFinding(), outletFinding(), valueFinding(), concededFinding(), knownFinding()}
	minor := finding.Finding{
		Rule: "paperwork/status", Title: "The status agrees with the papers", Severity: finding.Minor, Status: finding.Violated,
		Pos: at(Gritter, gritter, "for-review"), Pointer: "/header/status", Identity: "/header/status", Place: "header",
		Message: "nobody is named as having checked the kit", Remedy: "name somebody other than who drew it",
		Basis: "ISO 7200 (title block fields)",
	}
	return finish(report.Kit{
		File: Gritter, Number: "WS-114", Revision: "B", Title: "Gritter, front axle and spreader", Status: "for-review",
		Shaped: true, Findings: append(append(list, minor), unknownFindings()...), Rules: 143, Checks: 612,
		Margins: []engine.Margin{{
			Rule: "slack/steered", Place: "line 7, span chassis to left knuckle",
			Value: *amount(-0.013, "length", "-13 mm"), Limit: *amount(0.03, "length", "30 mm"), Margin: *amount(-0.043, "length", "-43 mm"),
			Share: -1.4333333333333333,
		}},
		Figures: []report.Figures{
			{Kind: "span", Place: "line 7, span chassis to left knuckle", Figures: []report.Figure{
				{Name: "longest", Amount: *amount(0.425, "length", "425 mm")},
				{Name: "slack", Amount: *amount(-0.013, "length", "-13 mm")},
			}},
			{Kind: "span", Place: "bundle FL, span chassis to front axle", Figures: []report.Figure{
				{Name: "longest", Why: "the range of joint front axle springs is not stated"},
				{Name: "slack", Why: "the range of joint front axle springs is not stated"},
			}},
			{Kind: "feed", Place: "the feed", Figures: []report.Figure{{Name: "pump voltage", Amount: *amount(23.1, "voltage", "23.1 V")}}},
		},
	})
}

// Clean is a kit without findings, the second in its file.
func Clean() report.Kit {
	return finish(report.Kit{
		File: "fleet/yard.kit.yaml", Document: 1, Number: "WS-117", Revision: "A", Title: "Yard loader", Status: "released",
		Shaped: true, Rules: 143, Checks: 388,
	})
}

// Unreadable is a file that is no YAML.
func Unreadable() report.Kit {
	return finish(report.Kit{File: "fleet/trailer.kit.yaml", Findings: []finding.Finding{{
		Rule: "file/syntax", Title: "The file can be read", Severity: finding.Major, Status: finding.Violated,
		Pos: source.Pos{File: "fleet/trailer.kit.yaml", Line: 12, Column: 3}, Place: "the file",
		Message: "a tab stands where the indentation should be", Remedy: "indent with spaces", Basis: "the schemas of kit and parts",
	}}})
}

// Fleet is a run over all three.
func Fleet() report.Run {
	return report.Run{
		Kits: []report.Kit{Faulty(), Clean(), Unreadable()}, Gate: finding.Major, Version: "0.1.0", On: "2026-11-25", Rules: Rules(),
		Gone: []finding.Entry{{Fingerprint: "0123456789abcdef0123456789abcdef", Rule: "slack/articulated", Kit: "WS-117", Place: "line 2, span frame to front frame"}},
	}
}

// Rules are those of the fleet's packs, with one that nothing is found of.
func Rules() []report.Rule {
	const practice = "common practice, no source"
	return []report.Rule{
		{ID: "dosing/ratio", Title: "The delivered amount suits the demand", Severity: finding.Major, Why: "Too little wears the bearing, too much blows its seal.", Basis: practice},
		{ID: "environment/tube-range", Title: "The tube suits the ambient", Severity: finding.Major, Why: "A tube beyond its range cracks or softens.", Basis: practice},
		{ID: "fittings/easy-to-reach", Title: "A point that is hard to reach has an angle fitting", Severity: finding.Minor, Why: "A tube bent hard at its end kinks.", Basis: practice},
		{ID: "flow/even-lines", Title: "The lines of one pump resist alike", Severity: finding.Minor, Why: "The hardest line sets what the pump has to do.", Basis: practice},
		{ID: "flow/run-within-tube", Title: "The tube withstands the running pressure", Severity: finding.Major, Why: "A tube that bursts sprays grease at body height.", Basis: practice},
		{ID: "flow/start-within-tube", Title: "The tube withstands the pressure to start", Severity: finding.Critical, Why: "A tube that bursts sprays grease at body height.", Basis: practice},
		{ID: "paperwork/status", Title: "The status agrees with the papers", Severity: finding.Minor, Why: "A kit that nobody checked is built from.", Basis: "ISO 7200 (title block fields)"},
		{ID: "ports/outlet-used-once", Title: "No outlet serves two lines", Severity: finding.Major, Why: "Two lines on one outlet: one of them stays dry.", Basis: practice},
		{ID: "power/fuse-covers-draw", Title: "The fuse carries the pump's highest draw", Severity: finding.Major, Why: "A fuse that blows in the cold leaves every point dry.", Basis: "common practice, no source; ratings ISO 8820-3"},
		{ID: "reservoir/covers-interval", Title: "The fill lasts over the refill interval", Severity: finding.Major, Why: "An empty pump greases nothing.", Basis: practice},
		{ID: "slack/articulated", Title: "An articulated span keeps slack", Severity: finding.Critical, Why: "A tube that is pulled tight tears.", Basis: practice},
		{ID: "slack/steered", Title: "A steered span keeps slack at full lock", Severity: finding.Critical, Why: "A tube that is pulled tight at full lock tears.", Basis: practice},
	}
}

// HarmfulText holds sequences that clear the screen, set a title and write a
// link, in their 7-bit and 8-bit forms, marks that reverse the direction of
// writing, line breaks, and a byte that is not UTF-8.
const HarmfulText = "grit\x1b[2Jter\x1b]0;owned\x07 \u009b31m\u202elast\u2066 a\r\nb\tc\u2028d\x00e\x7f\ufefff\xff"

// Harmful is a kit whose every text is HarmfulText.
func Harmful() report.Run { return HarmfulWith(HarmfulText) }

// HarmfulWith is a kit whose every text is the one given.
func HarmfulWith(bad string) report.Run {
	pos := source.Pos{File: bad, Line: 1, Column: 5}
	term := []finding.Term{{Expression: bad, Value: bad}}
	wild := amount(1, bad, bad)
	k := report.Kit{File: bad, Number: bad, Revision: bad, Title: bad, Status: bad, Shaped: true, Rules: 1, Checks: 2, NotEvaluated: 1,
		Findings: []finding.Finding{
			{Rule: bad, Title: bad, Severity: finding.Critical, Status: finding.Violated, Pos: pos, Pointer: bad, Identity: bad, Place: bad,
				Message: bad, Remedy: bad, Value: wild, Limit: wild, Margin: wild, Working: term, Basis: bad, Fingerprint: bad,
				Related: []finding.Place{{Pos: pos, Pointer: bad, Says: bad}}},
			{Rule: bad, Title: bad, Severity: finding.Minor, Status: finding.NotEvaluated, Pos: pos, Pointer: bad, Identity: bad, Place: bad,
				Message: "not evaluated: " + bad, Basis: bad, Fingerprint: bad},
			{Rule: bad, Title: bad, Severity: finding.Major, Status: finding.Conceded, Pos: pos, Pointer: bad, Identity: bad, Place: bad,
				Message: bad, Basis: bad, Fingerprint: bad, Concession: &finding.Concession{Reason: bad, GrantedBy: bad, Until: bad, Pos: pos}},
			{Rule: bad, Title: bad, Severity: finding.Major, Status: finding.Known, Pos: pos, Place: bad, Message: bad, Basis: bad, Fingerprint: bad},
		},
		Margins: []engine.Margin{{Rule: bad, Place: bad, Value: *wild, Limit: *wild, Margin: *wild, Share: 1}},
		Figures: []report.Figures{{Kind: bad, Place: bad, Figures: []report.Figure{{Name: bad, Amount: *wild}, {Name: bad, Why: bad}}}},
		Line:    func(source.Pos) string { return bad },
	}
	return report.Run{
		Kits: []report.Kit{k}, Gate: finding.Minor, Version: bad, On: bad,
		Rules: []report.Rule{{ID: bad, Title: bad, Severity: finding.Critical, Why: bad, Basis: bad}},
		Gone:  []finding.Entry{{Fingerprint: bad, Rule: bad, Kit: bad, Place: bad}},
	}
}

package injection_test

import (
	"math"
	"strings"
)

var paperworkFaults = []fault{
	{name: "a field of the title block left out", class: "paperwork 3", rules: []string{"paperwork/title-block"}, put: func(t *tree) *effect {
		if text(t.at("header"), "status") == "draft" {
			return nil // the papers wait
		}
		delete(t.at("header"), t.one("owner", "drawn_by", "date"))
		return find("paperwork/title-block", "the kit")
	}},
	{name: "a date that is no day", class: "paperwork 3", rules: []string{"paperwork/date-exists"}, put: func(t *tree) *effect {
		t.at("header")["date"] = t.one("2026-09-31", "2026-02-29", "2026-04-31", "2025-02-30")
		return find("paperwork/date-exists", "the kit")
	}},
	{name: "nobody checked the kit", class: "paperwork 3", rules: []string{"paperwork/checked"}, put: func(t *tree) *effect {
		h := t.at("header")
		if text(h, "status") == "draft" {
			h["status"] = t.one("for-review", "released")
		}
		delete(h, "checked_by")
		return find("paperwork/checked", "the kit")
	}},
	{name: "the designer checked the kit", class: "paperwork 3", rules: []string{"paperwork/checked-by-another"}, put: func(t *tree) *effect {
		h := t.at("header")
		if text(h, "status") == "draft" {
			return nil
		}
		h["checked_by"] = t.one(text(h, "drawn_by"), strings.ToUpper(text(h, "drawn_by")), strings.ReplaceAll(text(h, "drawn_by"), ".", ""))
		return find("paperwork/checked-by-another", "the kit")
	}},
	{name: "a document missing", class: "paperwork 1", rules: []string{"paperwork/document-present"}, put: func(t *tree) *effect {
		if text(t.at("header"), "status") == "draft" {
			return nil // the papers wait
		}
		key := t.one("schematic", "call_out_sheet", "instructions")
		delete(t.at("documents"), key)
		return find("paperwork/document-present", "the "+papers[key])
	}},
	{name: "a document of another revision", class: "paperwork 1", rules: []string{"paperwork/document-revision"}, put: func(t *tree) *effect {
		key := t.one("schematic", "call_out_sheet", "instructions")
		t.at("documents", key)["revision"] = "Z"
		if t.rand.IntN(3) == 0 {
			delete(t.at("documents", key), "revision")
		}
		return find("paperwork/document-revision", "the "+papers[key])
	}},
	{name: "a kit revised, and no document with it", class: "paperwork 1", rules: []string{"paperwork/document-revision"}, put: func(t *tree) *effect {
		t.at("header")["revision"] = "Z"
		e := find("paperwork/document-revision", "the schematic")
		return e.and("paperwork/document-revision", "the call-out sheet").and("paperwork/document-revision", "the instructions")
	}},
	{name: "two documents of one number", class: "paperwork 1", rules: []string{"paperwork/document-number"}, put: func(t *tree) *effect {
		t.at("documents", "instructions")["number"] = t.at("documents", t.one("schematic", "call_out_sheet"))["number"]
		return find("paperwork/document-number", "the instructions")
	}},
	{name: "a document without a number", class: "paperwork 1", rules: []string{"paperwork/document-number"}, put: func(t *tree) *effect {
		key := t.one("schematic", "call_out_sheet", "instructions")
		delete(t.at("documents", key), "number")
		return find("paperwork/document-number", "the "+papers[key])
	}},
	{name: "no safety notice", class: "paperwork 4", rules: []string{"paperwork/safety-notice"}, put: func(t *tree) *effect {
		t.at("documents")["safety_notice"] = "  "
		if t.rand.IntN(2) == 0 {
			delete(t.at("documents"), "safety_notice")
		}
		return find("paperwork/safety-notice", "the kit")
	}},
	{name: "a call-out sheet without rows", class: "paperwork 2", rules: []string{"paperwork/sheet-has-rows"}, put: func(t *tree) *effect {
		delete(t.at("documents", "call_out_sheet"), "rows")
		return find("paperwork/sheet-has-rows", "the kit")
	}},
	{name: "a line without a row", class: "paperwork 2", rules: []string{"paperwork/line-on-sheet"}, put: func(t *tree) *effect {
		l := *any1(t, t.items("lines"))
		sheet := t.at("documents", "call_out_sheet")
		row, _ := t.row(number(l, "number"))
		set(sheet, "rows", without(items(sheet, "rows"), row))
		return find("paperwork/line-on-sheet", linePlace(l))
	}},
	{name: "a row without a line", class: "paperwork 2", rules: []string{"paperwork/row-has-line"}, put: func(t *tree) *effect {
		sheet := t.at("documents", "call_out_sheet")
		n := len(items(sheet, "rows")) + 1
		t.add(sheet, "rows", object{"line": n, "name": "Brake lever, left"})
		return find("paperwork/row-has-line", "call-out sheet, row "+itoa(n))
	}},
	{name: "two rows for one line", class: "paperwork 2", rules: []string{"paperwork/one-row-a-line"}, put: func(t *tree) *effect {
		sheet := t.at("documents", "call_out_sheet")
		t.add(sheet, "rows", clone(*any1(t, items(sheet, "rows"))))
		return find("paperwork/one-row-a-line", "call-out sheet, row "+itoa(len(items(sheet, "rows"))))
	}},
	{name: "two rows changed over", class: "paperwork 2", rules: []string{"paperwork/row-name"}, put: func(t *tree) *effect {
		rows := items(t.at("documents", "call_out_sheet"), "rows")
		i := t.rand.IntN(len(rows) - 1)
		rows[i]["name"], rows[i+1]["name"] = rows[i+1]["name"], rows[i]["name"]
		return find("paperwork/row-name", "call-out sheet, row "+itoa(i+1)).and("paperwork/row-name", "call-out sheet, row "+itoa(i+2))
	}},
	{name: "a row without a name", class: "paperwork 2", rules: []string{"paperwork/row-name"}, put: func(t *tree) *effect {
		rows := items(t.at("documents", "call_out_sheet"), "rows")
		i := t.rand.IntN(len(rows))
		delete(rows[i], "name")
		return find("paperwork/row-name", "call-out sheet, row "+itoa(i+1))
	}},
	{name: "a point without a name", class: "paperwork 2", rules: []string{"paperwork/point-named"}, put: func(t *tree) *effect {
		p := *any1(t, t.items("points"))
		delete(p, "name")
		return find("paperwork/point-named", pointPlace(p))
	}},
	{name: "two points of one name", class: "paperwork 2", rules: []string{"paperwork/point-name-once"}, put: func(t *tree) *effect {
		points := t.items("points")
		j := 1 + t.rand.IntN(len(points)-1)
		i := pick(t, points[:j], func(p object) bool {
			return side(position(p, "position").Y) == side(position(points[j], "position").Y)
		})
		if i == nil {
			return nil
		}
		t.rename(points[j], strings.ToUpper(text(*i, "name")))
		return find("paperwork/point-name-once", pointPlace(points[j]))
	}},
	{name: "a name that says a place and no part", class: "paperwork 2", rules: []string{"paperwork/point-name-part"}, put: func(t *tree) *effect {
		p := *any1(t, t.items("points"))
		t.rename(p, strings.ToUpper(side(position(p, "position").Y))+", front, 1")
		return find("paperwork/point-name-part", pointPlace(p))
	}},
	{name: "a name that does not say its side", class: "paperwork 2", rules: []string{"paperwork/point-name-side"}, put: func(t *tree) *effect {
		return t.misname("paperwork/point-name-side", func(s string) string { return t.one("near side", "off side", "right and left", "outside") })
	}},
	{name: "a name that says the other side", class: "paperwork 2", rules: []string{"paperwork/point-name-right-side"}, put: func(t *tree) *effect {
		return t.misname("paperwork/point-name-right-side", func(s string) string {
			return map[string]string{"left": t.one("right", "RH"), "right": t.one("left", "left-hand")}[s]
		})
	}},
}

var papers = map[string]string{"schematic": "schematic", "call_out_sheet": "call-out sheet", "instructions": "instructions"}

// misname gives a point off the centre line a name with another side.
func (t *tree) misname(rule string, says func(side string) string) *effect {
	p := pick(t, t.items("points"), func(p object) bool { return math.Abs(position(p, "position").Y) > 55 })
	if p == nil {
		return nil
	}
	is := side(position(*p, "position").Y)
	t.rename(*p, strings.Replace(text(*p, "name"), ", "+is, ", late found, "+says(is), 1))
	return find(rule, pointPlace(*p))
}

var listFaults = []fault{
	{name: "a marker left off", class: "paperwork 4", rules: []string{"paperwork/line-marked"}, put: func(t *tree) *effect {
		l := *any1(t, t.items("lines"))
		delete(l, t.one("pump_marker", "point_marker"))
		return find("paperwork/line-marked", linePlace(l))
	}},
	{name: "the markers of two tubes changed over", class: "paperwork 4", rules: []string{"paperwork/marker-number"}, put: func(t *tree) *effect {
		lines := t.items("lines")
		i := t.rand.IntN(len(lines) - 1)
		end := t.one("pump_marker", "point_marker")
		lines[i][end], lines[i+1][end] = lines[i+1][end], lines[i][end]
		return find("paperwork/marker-number", linePlace(lines[i])).and("paperwork/marker-number", linePlace(lines[i+1]))
	}},
	{name: "no parts list", class: "paperwork 4", rules: []string{"paperwork/parts-list-present"}, put: func(t *tree) *effect {
		delete(t.root, "parts_list")
		return find("paperwork/parts-list-present", "the kit")
	}},
	{name: "a part not listed", class: "paperwork 4", rules: []string{"paperwork/part-listed"}, put: func(t *tree) *effect {
		r := t.listed(func(r object) bool { return !contains(text(r, "part"), "FG-Y") || t.tied() })
		t.setAll("parts_list", without(t.items("parts_list"), r))
		return find("paperwork/part-listed", "part "+text(r, "part")+" ("+text(parts()[text(r, "part")], "kind")+")")
	}},
	{name: "too few pieces listed", class: "paperwork 4", rules: []string{"paperwork/enough-pieces"}, put: func(t *tree) *effect {
		t.relist()
		r := t.listed(func(r object) bool {
			return number(r, "quantity") > 0 && (!contains(text(r, "part"), "FG-Y") || t.tied()) && !contains(text(r, "part"), "FG-S")
		})
		n := number(r, "quantity") - 1
		if spared(text(r, "part")) {
			n -= 2
		}
		r["quantity"] = n
		return find("paperwork/enough-pieces", "parts list, "+text(r, "part"))
	}},
	{name: "too little length listed", class: "paperwork 4", rules: []string{"paperwork/enough-length"}, put: func(t *tree) *effect {
		r := t.listed(func(r object) bool { return has(r, "length") })
		r["length"] = t.length(t.takes(text(r, "part")) * t.between(0.5, 0.99))
		return find("paperwork/enough-length", "parts list, "+text(r, "part"))
	}},
	{name: "too little grease listed", class: "paperwork 4", rules: []string{"paperwork/enough-grease"}, put: func(t *tree) *effect {
		r := t.listed(func(r object) bool { return has(r, "volume") })
		r["volume"] = cubic(t.volume(t.at("pump"), "first_fill") * t.between(0.2, 0.99))
		return find("paperwork/enough-grease", "parts list, "+text(r, "part"))
	}},
	{name: "a part listed that the kit does not use", class: "paperwork 4", rules: []string{"paperwork/part-used"}, put: func(t *tree) *effect {
		t.add(t.root, "parts_list", object{"part": "FG-F6S", "quantity": 3})
		return find("paperwork/part-used", "parts list, FG-F6S")
	}},
	{name: "a part listed in two rows", class: "paperwork 4", rules: []string{"paperwork/listed-once"}, put: func(t *tree) *effect {
		r := t.listed(func(r object) bool { return number(r, "quantity") > 1 })
		r["quantity"] = number(r, "quantity") - 1
		t.add(t.root, "parts_list", object{"part": r["part"], "quantity": 1})
		return find("paperwork/listed-once", "parts list, "+text(r, "part"))
	}},
	{name: "a concession that leaves something open", class: "paperwork 5", rules: []string{"paperwork/concession-complete"}, put: func(t *tree) *effect {
		c := object{"rule": "slack/loop-sag", "reason": "the loop is guided", "granted_by": "Q. Larsen", "until": "2027-02-27", "severity": "minor"}
		delete(c, t.one("reason", "granted_by", "until"))
		t.root["concessions"] = []any{c}
		return find("paperwork/concession-complete", "concession 1")
	}},
	{name: "a concession that does not say for which severity", class: "paperwork 5", rules: []string{"paperwork/concession-severity"}, put: func(t *tree) *effect {
		t.root["concessions"] = []any{object{"rule": "slack/loop-sag", "place": "line 1", "reason": "the loop is guided", "granted_by": "Q. Larsen", "until": "2027-02-27"}}
		return find("paperwork/concession-severity", "concession 1").with("concession/unused", "concession for slack/loop-sag")
	}},
	{name: "a concession until no day", class: "paperwork 5", rules: []string{"paperwork/concession-date"}, put: func(t *tree) *effect {
		t.root["concessions"] = []any{object{"rule": "slack/loop-sag", "place": "line 1", "reason": "the loop is guided", "granted_by": "Q. Larsen", "until": "2027-02-30", "severity": "minor"}}
		return find("paperwork/concession-date", "concession 1")
	}},
}

func (t *tree) listed(ok func(object) bool) object { return *pick(t, t.items("parts_list"), ok) }

// tied reports whether a route names a tie as a part.
func (t *tree) tied() bool {
	for _, h := range t.hops() {
		if !h.b().point && text(h.b().node, "part") != "" {
			return true
		}
	}
	return false
}

// takes is how much of a tube, conduit or cable the kit uses, in mm.
func (t *tree) takes(part string) float64 {
	sum := 0.0
	for _, l := range t.items("lines") {
		if text(l, "tube") == part {
			sum += mm(l, "cut_length")
		}
	}
	for _, b := range t.items("bundles") {
		if text(b, "conduit") == part {
			sum += t.covered(b)
		}
	}
	if text(t.at("feed"), "cable") == part {
		sum += 2 * mm(t.at("feed"), "length")
	}
	return sum
}

package booklet

import (
	"slices"
	"strconv"

	"kitgauge/checker/report/sheet"
)

// toolsFor are the tools in the order of the list, with the kinds of steps that
// take them (common practice, no source).
var toolsFor = []struct {
	word  string
	kinds []string
}{
	{"tool_guards", []string{"protect-eyes", "protect-hands"}},
	{"tool_lock", []string{"lock-out"}},
	{"tool_tester", []string{"verify-isolation", "isolate-battery", "connect-feed"}},
	{"tool_chocks", []string{"chock"}},
	{"tool_stands", []string{"support"}},
	{"tool_prop", []string{"prop"}},
	{"tool_wheel", []string{"remove-wheel", "refit-wheel"}},
	{"tool_torque", []string{"torque", "re-torque", "refit-wheel", "mount-pump"}},
	{"tool_drill", []string{"drill"}},
	{"tool_spanners", []string{"mount-pump", "remove-nipple", "connect-line"}},
	{"tool_clean", []string{"clean-point", "prime-line", "leak-check"}},
	{"tool_cutter", []string{"fit-line"}},
	{"tool_ties", []string{"fit-line"}},
	{"tool_gun", []string{"fill", "prime-line"}},
	{"tool_crimp", []string{"connect-feed"}},
}

// tools lists what the steps of the kit take.
func (m *maker) tools() []string {
	var list []string
	for _, t := range toolsFor {
		if slices.ContainsFunc(t.kinds, func(kind string) bool { return slices.Contains(m.kit.StepKinds, kind) }) {
			list = append(list, m.t(t.word))
		}
	}
	return list
}

// part is a part to have at hand.
type part struct{ Number, Description, Amount string }

// parts lists what is packed of each part, as the kit's own list has it, with
// what the kit needs where that differs.
func (m *maker) parts() []part {
	const number, description, unit, needed, listed = 0, 1, 3, 4, 5 // columns of the parts list
	var list []part
	for _, row := range sheet.PartsList(m.kit).Rows {
		packed, need := m.packed(row[listed], row[unit].Text), m.packed(row[needed], row[unit].Text)
		switch {
		case !row[listed].IsNumber && row[needed].IsNumber:
			packed = m.t("not_packed", "needed", need)
		case row[needed].IsNumber && row[needed].Number != row[listed].Number:
			packed += " (" + m.t("needed_of_it", "needed", need) + ")"
		}
		list = append(list, part{row[number].Text, row[description].Text, packed})
	}
	return list
}

// packed writes an amount on the parts list.
func (m *maker) packed(c sheet.Cell, symbol string) string {
	text := c.Text
	if c.IsNumber {
		text = m.words.number(strconv.FormatFloat(c.Number, 'f', -1, 64))
	}
	if symbol == "pieces" {
		symbol = m.t("pieces")
		if c.IsNumber && c.Number == 1 {
			symbol = m.t("piece")
		}
	}
	return text + " " + symbol
}

package terminal

import (
	"strings"

	"kitgauge/checker/finding"
	"kitgauge/checker/report"
	"kitgauge/checker/source"
)

// A block of checks that could not be evaluated lists this many rules, with
// this many places for each.
const (
	mostRules  = 6
	mostPlaces = 2
)

// violated writes one rule that does not hold.
func (s *sheet) violated(k *report.Kit, f *finding.Finding) {
	stamp := s.palette.severity(f.Severity)
	s.stamp(strings.ToUpper(f.Severity.String()), stamp)
	s.fields(field{text: f.Rule, style: s.palette.heading}, s.location(k, f))
	s.row("place", s.palette.plain, f.Place)
	s.row("found", s.palette.heading, f.Message)
	s.excerpt(k, f.Pos, stamp)
	s.amounts(f, stamp)
	s.row("remedy", s.palette.plain, f.Remedy)
	s.row("basis", s.palette.plain, f.Basis)
	if s.working && len(f.Working) > 0 {
		s.rows("working", s.palette.plain, alignTerms(f.Working, s.width-margin))
	}
}

// slips writes what one slip may explain, above all that is found.
func (s *sheet) slips(k *report.Kit) {
	says := k.Slips.Says()
	for _, text := range says {
		s.row("slip", s.palette.heading, text)
	}
	if rest := k.Slips.Rest(); rest != "" {
		s.row("slips", s.palette.plain, rest)
	}
	if len(says) > 0 {
		s.row("", s.palette.plain, "look at the vehicle before anything is changed")
		s.blank()
	}
}

// following writes what follows from a finding, a line a rule.
func (s *sheet) following(list []finding.Finding) {
	if len(list) == 0 || s.unfold {
		return
	}
	s.row("follow", s.palette.plain, report.Count(len(list), "finding rests on this value, and may go with it:", "findings rest on this value, and may go with it:"))
	rules := gather(list, func(f *finding.Finding) string { return f.Rule })
	for _, of := range rules[:atMost(len(rules), mostRules)] {
		text := of[0].Severity.String() + " " + of[0].Rule + " at " + of[0].Place
		if len(of) > 1 {
			text += " and " + report.Count(len(of)-1, "other place", "other places")
		}
		s.row("", s.palette.plain, text)
	}
	if rest := len(rules) - atMost(len(rules), mostRules); rest > 0 {
		s.row("", s.palette.plain, "and "+report.Count(rest, "other rule", "other rules"))
	}
}

// conceded writes a rule that does not hold, with the permission.
func (s *sheet) conceded(k *report.Kit, f *finding.Finding) {
	s.stamp("CONCEDED", s.palette.good)
	s.fields(field{text: f.Rule, style: s.palette.heading}, s.location(k, f))
	s.row("place", s.palette.plain, f.Place)
	s.row("found", s.palette.plain, f.Message)
	s.amounts(f, s.palette.plain)
	s.row("class", s.palette.plain, f.Severity.String())
	if c := f.Concession; c != nil {
		s.row("reason", s.palette.plain, c.Reason)
		s.row("granted", s.palette.plain, "by "+c.GrantedBy+", until "+c.Until)
	}
}

// known writes a finding that the record of known ones holds.
func (s *sheet) known(k *report.Kit, f *finding.Finding) {
	s.stamp("KNOWN", s.palette.label)
	s.fields(field{text: f.Rule, style: s.palette.plain}, s.location(k, f), field{text: f.Severity.String(), style: s.palette.plain}, field{text: f.Place, style: s.palette.plain})
	s.row("found", s.palette.plain, f.Message)
}

// gone writes the known findings that were not found again.
func (s *sheet) gone(list []finding.Entry) {
	if len(list) == 0 {
		return
	}
	s.paragraph(s.palette.good, "no longer found, and can leave the record of known findings:")
	for _, g := range list {
		s.name("gone", s.palette.label)
		s.fields(field{text: g.Rule, style: s.palette.heading}, field{text: "kit " + g.Kit, style: s.palette.plain}, field{text: g.Place, style: s.palette.plain})
	}
	s.blank()
}

// excerpt writes the line of the file with a caret under the column.
func (s *sheet) excerpt(k *report.Kit, pos source.Pos, stamp style) {
	line, column := k.Near(pos)
	if strings.TrimSpace(line) == "" {
		return
	}
	text, caret := excerpt(line, column, s.width-margin)
	s.rows(number(pos.Line), s.palette.plain, []string{text})
	s.line(stamp, spaces(margin+caret)+"^")
}

// amounts writes value, limit and margin beside each other.
func (s *sheet) amounts(f *finding.Finding, stamp style) {
	var list []field
	if f.Value != nil {
		list = append(list, field{text: f.Value.Text, style: s.palette.plain})
	}
	if f.Limit != nil {
		list = append(list, field{text: "limit " + f.Limit.Text, style: s.palette.plain})
	}
	if f.Margin != nil {
		shown := s.palette.plain
		if f.Margin.SI < 0 {
			shown = stamp
		}
		list = append(list, field{text: "margin " + f.Margin.Text, style: shown})
	}
	if len(list) > 0 {
		s.name("value", s.palette.label)
		s.fields(list...)
	}
}

// unknown writes the checks that could not be evaluated for one reason.
func (s *sheet) unknown(k *report.Kit, group []finding.Finding) {
	s.paragraph(s.palette.unknown, group[0].Message)
	s.row("checks", s.palette.plain, number(len(group)))
	rules := gather(group, func(f *finding.Finding) string { return f.Rule })
	left := len(group)
	for _, rule := range rules[:atMost(len(rules), mostRules)] {
		s.name(rule[0].Severity.String(), s.palette.label)
		shown := atMost(len(rule), mostPlaces)
		for i := range rule[:shown] {
			place := []field{s.location(k, &rule[i]), {text: rule[i].Place, style: s.palette.plain}}
			if i == 0 {
				s.fields(append([]field{{text: rule[i].Rule, style: s.palette.heading}}, place...)...)
				continue
			}
			s.name("", s.palette.plain)
			s.fields(place...)
		}
		if rest := len(rule) - shown; rest > 0 {
			s.row("", s.palette.plain, "and "+number(rest)+" more")
		}
		left -= len(rule)
	}
	if left > 0 {
		s.row("", s.palette.plain, "and "+number(left)+" more, of other rules")
	}
}

// atMost is how many of n entries to show where the most is given: one more than
// the most is shown, as "and 1 more" would be no shorter.
func atMost(n, most int) int {
	if n <= most+1 {
		return n
	}
	return most
}

// gather groups the findings that have one key, in the order in which the keys
// first occur.
func gather(list []finding.Finding, key func(*finding.Finding) string) [][]finding.Finding {
	var groups [][]finding.Finding
	at := map[string]int{}
	for _, f := range list {
		i, known := at[key(&f)]
		if !known {
			i = len(groups)
			at[key(&f)] = i
			groups = append(groups, nil)
		}
		groups[i] = append(groups[i], f)
	}
	return groups
}

// location is file:line:column.
func (s *sheet) location(k *report.Kit, f *finding.Finding) field {
	return field{text: k.At(f).String(), style: s.palette.plain, whole: true}
}

// alignTerms writes the working, one part a line, with the equals signs below
// each other as far as the parts are short. A long part takes several lines,
// the later ones set in.
func alignTerms(terms []finding.Term, width int) []string {
	const set = 2
	column := 0
	for _, t := range terms {
		if w := cells(report.Visible(t.Expression)); w <= width/2 {
			column = max(column, w)
		}
	}
	var out []string
	for _, t := range terms {
		expression, value := report.Visible(t.Expression), report.Visible(t.Value)
		head := hang(wrap(expression, width-set), set)
		last := head[len(head)-1]
		out = append(out, head[:len(head)-1]...)
		if len(head) == 1 {
			last += spaces(column - cells(last))
		}
		room := width - cells(last) - len(" = ")
		switch {
		case cells(value) <= room:
			out = append(out, last+" = "+value)
		case len(head) == 1 && cells(last) <= column:
			lines := hang(wrap(value, room), width-room)
			out = append(out, last+" = "+lines[0])
			out = append(out, lines[1:]...)
		default:
			out = append(out, strings.TrimRight(last, " "))
			for i, line := range wrap(value, width-2*set) {
				lead := spaces(2 * set)
				if i == 0 {
					lead = spaces(set) + "= "
				}
				out = append(out, lead+line)
			}
		}
	}
	return out
}

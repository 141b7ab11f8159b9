package main

import (
	"encoding/json"
	"fmt"
	"regexp"
	"strings"

	"kitgauge/checker/units"
	"kitgauge/schema"
)

// patterned is a schema with what follows from elsewhere: the pattern of each
// measured value, from the table of units, and what an editor says of a value
// that does not fit a pattern, which is the description.
func patterned(name string) func() ([]byte, error) {
	return func() ([]byte, error) {
		text, _ := schema.Text(name)
		var out []string
		lines := strings.Split(string(text), "\n")
		for i, line := range lines {
			key, value, _ := strings.Cut(strings.TrimSpace(line), ": ")
			measured := i > 0 && strings.Contains(lines[i-1], measuredMark)
			switch {
			case key == messageKey, key == `"pattern"` && strings.Contains(around(lines, i), measuredMark):
				continue // written anew
			case key == `"pattern"`:
				out = append(out, strings.TrimSuffix(line, ",")+",", member(line, messageKey, described(lines, i))+comma(value, lines, i))
			case measured:
				pattern, err := patternOf(lines[i-2])
				if err != nil {
					return nil, err
				}
				out = append(out, line, member(line, `"pattern"`, pattern)+",", member(line, messageKey, described(lines, i))+",")
			default:
				out = append(out, line)
			}
		}
		return []byte(strings.Join(out, "\n")), nil
	}
}

const (
	measuredMark = `"$comment": "Measured: `
	messageKey   = `"patternErrorMessage"` // editors know it; it decides nothing
)

// comma is what stands behind the message: what stood behind the pattern, or
// behind the message that was there.
func comma(value string, lines []string, i int) string {
	if strings.Contains(lines[i+1], messageKey) {
		value = lines[i+1]
	}
	if strings.HasSuffix(value, ",") {
		return ","
	}
	return ""
}

// around is the group in which a line stands: the lines as far in as it.
func around(lines []string, i int) string {
	from, to := i, i
	for from > 0 && indent(lines[from-1]) >= indent(lines[i]) {
		from--
	}
	for to < len(lines) && indent(lines[to]) >= indent(lines[i]) {
		to++
	}
	return strings.Join(lines[from:to], "\n")
}

func indent(line string) int { return len(line) - len(strings.TrimLeft(line, " ")) }

var description = regexp.MustCompile(`(?m)^( *)"description": ("(?:[^"\\]|\\.)*"),?$`)

// described is the description of the group in which a line stands.
func described(lines []string, i int) string {
	for _, m := range description.FindAllStringSubmatch(around(lines, i), -1) {
		var text string
		if len(m[1]) == indent(lines[i]) && json.Unmarshal([]byte(m[2]), &text) == nil {
			return text
		}
	}
	return ""
}

// patternOf is the pattern of the measured value whose definition a line
// begins: of its own dimension, and of the two of a movement.
func patternOf(line string) (string, error) {
	name := strings.Trim(strings.TrimSpace(strings.TrimSuffix(line, ": {")), `"`)
	dim, ok := units.Named(name)
	switch {
	case name == "travel":
		return units.Pattern(func(u units.Unit) bool { return u.Dim == units.Angle || u.Dim == units.Length }), nil
	case name == "temperature_difference":
		return units.Pattern(func(u units.Unit) bool { return u.Dim == units.Temperature && u.Offset == 0 }), nil
	case !ok:
		return "", fmt.Errorf("the schema has a measured value %q, which is no dimension", name)
	}
	return units.Pattern(func(u units.Unit) bool { return u.Dim == dim }), nil
}

// member is a member of a group as JSON, in letters that can be seen.
func member(beside, key, value string) string {
	text, _ := json.Marshal(value) // a string cannot fail
	var b strings.Builder
	b.WriteString(strings.Repeat(" ", indent(beside)) + key + ": ")
	for _, r := range strings.NewReplacer(`\u003c`, "<", `\u003e`, ">", `\u0026`, "&").Replace(string(text)) {
		if r > '~' {
			fmt.Fprintf(&b, `\u%04x`, r)
		} else {
			b.WriteRune(r)
		}
	}
	return b.String()
}

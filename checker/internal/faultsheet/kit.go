package faultsheet

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"kitgauge/checker/source"
)

// order is the order of the members in the example kits, by the member that
// holds them. A patched text is written in it, so that findings are sorted as
// in a file that somebody wrote.
type order map[string][]string

func (o order) add(n *source.Node, of string) {
	for i, m := range n.Members {
		if !slices.Contains(o[of], m.Key) {
			o[of] = append(o[of], m.Key)
		}
		o.add(n.Items[i], m.Key)
	}
	if len(n.Members) == 0 {
		for _, item := range n.Items {
			o.add(item, of)
		}
	}
}

// write writes a kit as JSON, a list item a line.
func (o order) write(b *bytes.Buffer, v any, of string) {
	switch v := v.(type) {
	case map[string]any:
		keys := make([]string, 0, len(v))
		for key := range v {
			keys = append(keys, key)
		}
		slices.Sort(keys)
		slices.SortStableFunc(keys, func(a, c string) int { return o.rank(of, a) - o.rank(of, c) })
		b.WriteByte('{')
		for i, key := range keys {
			b.WriteString([]string{"", ", "}[min(i, 1)] + strconv.Quote(key) + ": ")
			o.write(b, v[key], key)
		}
		b.WriteByte('}')
	case []any:
		b.WriteByte('[')
		for i, item := range v {
			b.WriteString([]string{"\n", ",\n"}[min(i, 1)])
			o.write(b, item, of)
		}
		b.WriteByte(']')
	default:
		text, _ := json.Marshal(v) // a string, a number, a truth value: it cannot fail
		b.Write(text)
	}
}

// rank puts what the examples do not have last.
func (o order) rank(of, key string) int {
	if i := slices.Index(o[of], key); i >= 0 {
		return i
	}
	return len(o[of])
}

// mirror turns a kit into that of the mirror-image vehicle: right-hand drive.
func mirror(v any) any {
	kit, ok := v.(map[string]any)
	if !ok {
		return v
	}
	kit = mirrored(kit).(map[string]any)
	joints, _ := kit["joints"].([]any)
	for _, j := range joints {
		mirrorJoint(j.(map[string]any))
	}
	zones, _ := kit["zones"].([]any)
	for _, z := range zones {
		if zone := z.(map[string]any); zone["shape"] == "box" {
			exchangeY(zone)
		}
	}
	if vehicle, ok := kit["vehicle"].(map[string]any); ok {
		if outline, ok := vehicle["outline"].(map[string]any); ok {
			exchangeY(outline)
		}
	}
	return kit
}

// mirrored has every place on the other side, and every word of a side
// exchanged.
func mirrored(v any) any {
	switch v := v.(type) {
	case map[string]any:
		for key, item := range v {
			v[key] = mirrored(item)
		}
	case []any:
		for i, item := range v {
			v[i] = mirrored(item)
		}
		if len(v) == 3 {
			if y, ok := v[1].(string); ok && length.MatchString(y) {
				v[1] = negative(y)
			}
		}
	case string:
		return sides.ReplaceAllStringFunc(v, other)
	}
	return v
}

// mirrorJoint mirrors the axis. A turn about an axis across the vehicle stays
// what it is; about another it goes the other way.
func mirrorJoint(j map[string]any) {
	axis, ok := j["axis"].([]any)
	if !ok || len(axis) != 3 {
		return
	}
	x, y, z := axis[0].(float64), axis[1].(float64), axis[2].(float64)
	if j["kind"] == "revolute" && math.Abs(y) > max(math.Abs(x), math.Abs(z)) {
		j["axis"] = []any{0 - x, y, 0 - z}
		return
	}
	j["axis"] = []any{x, 0 - y, z}
	if span, ok := j["range"].(map[string]any); ok && j["kind"] == "revolute" {
		span["from"], span["to"] = negative(span["to"].(string)), negative(span["from"].(string))
	}
}

// exchangeY keeps the first corner of a box the right one.
func exchangeY(box map[string]any) {
	from, to := box["from"].([]any), box["to"].([]any)
	from[1], to[1] = to[1], from[1]
}

func negative(amount string) string {
	switch {
	case strings.HasPrefix(amount, "0 "):
		return amount
	case strings.HasPrefix(amount, "-"):
		return amount[1:]
	}
	return "-" + amount
}

var (
	length = regexp.MustCompile(`^-?[0-9.]+ (mm|cm|m|in|ft)$`)
	sides  = regexp.MustCompile(`\b(?:[Ll]eft|[Rr]ight)\b|\b(?:FL|FR|RL|RR|fl|fr|rl|rr)(?:\b|[0-9])|^[LR]$|^[lr]-[0-9]+$`)
)

var opposites = map[string]string{"left": "right", "right": "left", "Left": "Right", "Right": "Left", "L": "R", "R": "L", "l": "r", "r": "l"}

// other is the word of the other side, or the id of the thing there: FR3 for
// FL3, rr-2 for rl-2, r-1 for l-1.
func other(word string) string {
	if opposite := opposites[word]; opposite != "" {
		return opposite
	}
	at := 0
	if len(word) > 1 && word[1] != '-' {
		at = 1
	}
	return word[:at] + opposites[word[at:at+1]] + word[at+1:]
}

// amount is a number with a unit that has a counterpart in the other family.
var amount = regexp.MustCompile(`^(-?[0-9.]+) (mm|m|l|cm3|bar|degC)$`)

// counterparts are the units of the inch family, by those of the metric one:
// a value is taken times the factor, and the offset added (NIST SP 811,
// appendix B).
var counterparts = map[string]struct {
	unit           string
	factor, offset float64
}{
	"mm": {"in", 1 / 25.4, 0}, "m": {"ft", 1 / 0.3048, 0}, "l": {"in3", 1 / 0.016387064, 0}, "cm3": {"in3", 1 / 16.387064, 0},
	"bar": {"psi", 14.503774, 0}, "degC": {"degF", 1.8, 32},
}

// Inches writes every amount in units of the inch family, to four figures.
func Inches(v any) any {
	switch v := v.(type) {
	case map[string]any:
		for key, item := range v {
			v[key] = Inches(item)
		}
		if v["units"] == "metric" {
			v["units"] = "inch"
		}
	case []any:
		for i, item := range v {
			v[i] = Inches(item)
		}
	case string:
		if m := amount.FindStringSubmatch(v); m != nil {
			return inInches(m[1], m[2])
		}
	}
	return v
}

func inInches(number, unit string) string {
	n, err := strconv.ParseFloat(number, 64)
	if err != nil {
		return number + " " + unit
	}
	to := counterparts[unit]
	figures, _ := strconv.ParseFloat(fmt.Sprintf("%.4g", n*to.factor+to.offset), 64)
	return strconv.FormatFloat(figures, 'f', -1, 64) + " " + to.unit
}

package editor

import (
	"slices"
	"strconv"
	"strings"
)

// wholeOf is a completion that writes at once all members without which a group
// is not whole and that it does not have yet, each with room for its value.
// There is none for one alone: that is proposed by itself.
func (c *completer) wholeOf(in *node, l look, from, to int, w writing) (Completion, bool) {
	keys := lacking(in, l, from, to)
	if own := in.keyAt(from); len(keys) < 2 || own != nil && own.colon && from < to { // a key that has its value
		return Completion{}, false
	}
	s := skeleton{completer: c}
	s.WriteString(w.before)
	s.group(in, l, keys, w)
	s.WriteString(w.after)
	what := "whole "
	if len(in.items) > 1 || len(in.items) == 1 && in.items[0].keyFrom != from {
		what = "rest of the "
	}
	return Completion{
		Sort: Item, Label: what + strings.ToLower(l.rule.For(in.holds).Title()), Detail: strings.Join(keys, ", "),
		From: from, To: to, Insert: s.String(), Caret: s.stops[0].To, Stops: s.stops, Gaps: s.gaps,
	}, true
}

// lacking are the members that a group has to have and does not have; one whose
// key is what is replaced is not there yet. Some are needed because of others
// that will be written with them.
func lacking(in *node, l look, from, to int) []string {
	var keys []string
	for {
		rule := l.rule.For(func(key string) string {
			if slices.Contains(keys, key) {
				return key
			}
			return in.holds(key)
		})
		more := slices.DeleteFunc(rule.Keys(), func(key string) bool {
			there := in.get(key)
			return !rule.Required(key) || there != nil && (there.keyFrom != from || from == to)
		})
		if len(more) == len(keys) {
			return keys
		}
		keys = more
	}
}

// skeleton is a group that is being written with room for its values.
type skeleton struct {
	*completer
	strings.Builder
	stops []Stop
	gaps  []Stop
}

// stop leaves room for a value; text stands there until something else does.
func (s *skeleton) stop(text string) {
	s.stops = append(s.stops, Stop{s.Len(), s.Len() + len(text)})
	s.WriteString(text)
}

// vector leaves room for three numbers. What stands there is none of them, and
// can be read: nothing between two commas cannot. JSON needs the brackets.
func (s *skeleton) vector() {
	s.WriteString(" ")
	gap := Stop{From: s.Len()}
	for i, axis := range []string{"x", "y", "z"} {
		s.WriteString([]string{"[", ", ", ", "}[i])
		if i == 0 && s.isJSON() {
			gap.From = s.Len()
		}
		if s.isJSON() {
			axis = `"` + axis + `"`
		}
		s.stop(axis)
	}
	gap.To = s.Len()
	s.WriteString("]")
	if !s.isJSON() {
		gap.To = s.Len()
	}
	s.gaps = append(s.gaps, gap)
}

func (s *skeleton) group(in *node, l look, keys []string, w writing) {
	for i, key := range keys {
		switch {
		case i > 0 && w.flow:
			s.WriteString(", ")
		case i > 0:
			s.line(w.indent)
		}
		s.WriteString(s.key(key, in) + ":")
		s.value(l.member(in, key), &node{parent: in, key: key}, w)
	}
}

func (s *skeleton) line(indent int) { s.WriteString("\n" + strings.Repeat(" ", indent)) }

// value leaves room for a value, or for those in it.
func (s *skeleton) value(m look, n *node, w writing) {
	w.flow = w.flow || s.isJSON() || s.habit(n.key)
	inner := &node{parent: &node{kind: list, parent: n.parent, key: n.key}}
	switch {
	case m.site.Vector():
		s.vector()
	case m.list() && m.below(inner).group():
		s.items(m.below(inner), inner.parent, w)
	case m.list():
		s.WriteString(" [")
		s.stop("")
		s.WriteString("]")
	case m.group():
		s.below(m, n.parent, w, w.indent+2)
	default:
		s.WriteString(" ")
		s.scalar(m, n)
	}
}

// items is a list with its first item.
func (s *skeleton) items(l look, in *node, w writing) {
	if w.flow {
		s.WriteString(" [")
		s.below(l, in, w, 0)
		s.WriteString("]")
		return
	}
	w.indent += s.dashes()
	s.line(w.indent)
	s.WriteString("-")
	w.flow = true // an item takes one line
	s.below(l, in, w, 0)
}

// below is a group that is the value of a key or an item.
func (s *skeleton) below(l look, parent *node, w writing, indent int) {
	in := &node{kind: group, parent: parent}
	keys := lacking(in, l, 0, 0)
	if len(keys) > 0 && !w.flow {
		w.indent = indent
		s.line(indent)
		s.group(in, l, keys, w)
		return
	}
	if !strings.HasSuffix(s.String(), "[") {
		s.WriteString(" ")
	}
	s.WriteString("{")
	if s.group(in, l, keys, w); len(keys) == 0 {
		s.stop("")
	}
	s.WriteString("}")
}

// scalar is room for one value: of a number that things are told apart by, the
// next that is free.
func (s *skeleton) scalar(m look, n *node) {
	text, quote := "", ""
	if m.site.Names != "" && m.site.Count() {
		text = strconv.Itoa(s.next(n, m))
	}
	if s.isJSON() && m.rule.Kind() == "string" && !m.site.Count() {
		quote = `"`
	}
	s.WriteString(quote)
	s.stop(text)
	s.WriteString(quote)
}

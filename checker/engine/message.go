package engine

import (
	"math"
	"strconv"
	"strings"

	"github.com/google/cel-go/common/types"
	"github.com/google/cel-go/common/types/ref"
	"github.com/google/cel-go/common/types/traits"

	"kitgauge/checker/source"
	"kitgauge/checker/units"
)

// message is a text with expressions in braces: "slack is {span.slack}".
type message struct{ parts []part }

type part struct {
	text string
	expr *expression // nil for plain text
	toward
}

// toward is to which side a number of a message is rounded.
type toward uint8

const (
	nearest   toward = iota
	upwards          // {at least EXPRESSION}: obeyed as it is printed, it is enough
	downwards        // {at most EXPRESSION}
)

// sides are the words with which an expression in braces begins.
var sides = []struct {
	words string
	toward
}{{"at least ", upwards}, {"at most ", downwards}}

func (r *packReader) message(n *source.Node, key string, rule *Rule) *message {
	text := r.text(n, key)
	if text == "" {
		return nil
	}
	node := n.Get(key)
	lead := strings.Index(node.Scalar, text)
	m := &message{}
	for i := 0; i < len(text); {
		open := strings.IndexByte(text[i:], '{')
		if open < 0 {
			m.parts = append(m.parts, part{text: text[i:]})
			break
		}
		if open > 0 {
			m.parts = append(m.parts, part{text: text[i : i+open]})
		}
		i += open + 1
		end := strings.IndexByte(text[i:], '}')
		if end < 0 {
			r.Fail(node, "a brace { in "+key+" is not closed", "close it with }")
			break
		}
		m.parts = append(m.parts, filled(&expression{text: text[i : i+end], node: node, offset: lead + i, rule: rule, names: rule.with}))
		i += end + 1
	}
	return m
}

// filled is the part of a message that an expression fills. One that is rounded
// to a side has to be a number.
func filled(e *expression) part {
	for _, s := range sides {
		if rest, is := strings.CutPrefix(e.text, s.words); is {
			e.text, e.offset, e.want = rest, e.offset+len(s.words), wantNumber
			return part{expr: e, toward: s.toward}
		}
	}
	return part{expr: e}
}

// What is shown of a value in a message, and of a message as a whole: the
// longest text of a kit fits in.
const (
	longestShown   = 4000 // bytes
	longestMessage = 10_000
)

// cutShort stands where a text is cut.
const cutShort = " ... (cut: it is longer)"

// fill fills the message in. A part that cannot be evaluated shows why; one
// that is too long is cut, and so is the whole.
func (m *message) fill(s *scope) string {
	if m == nil {
		return ""
	}
	w := writer{most: longestMessage}
	for i := range m.parts {
		p := &m.parts[i]
		if p.expr == nil {
			w.write(p.text)
			continue
		}
		v, err := p.expr.eval(s)
		if err != nil {
			w.write("(not known: " + reason(err) + ")")
			continue
		}
		w.write(p.show(v, s.world.Family))
	}
	if w.cut {
		return w.String() + cutShort
	}
	return w.String()
}

// show gives the value of a part as people write it, rounded to its side. What
// a comparison takes for rounding is none here either.
func (p *part) show(v ref.Val, family units.Family) string {
	x, is := v.(types.Double)
	dim := units.Plain
	if p.expr.dim.known {
		dim = p.expr.dim.Dimension
	}
	hair := rounding * math.Abs(float64(x))
	switch {
	case is && p.toward == upwards:
		return units.FormatAtLeast(float64(x)-hair, dim, family)
	case is && p.toward == downwards:
		return units.FormatAtMost(float64(x)+hair, dim, family)
	}
	return show(v, p.expr.dim, family)
}

// show gives a value as people write it, cut where that is too long.
func show(v ref.Val, dim dimension, family units.Family) string {
	w := writer{most: longestShown}
	w.value(v, dim, family)
	if w.cut {
		return w.String() + cutShort
	}
	return w.String()
}

// value writes a value as people write it.
func (w *writer) value(v ref.Val, dim dimension, family units.Family) {
	switch v := v.(type) {
	case types.Double:
		if dim.known {
			w.write(units.Format(float64(v), dim.Dimension, family))
			return
		}
		w.write(units.Format(float64(v), units.Plain, family))
	case types.Int:
		w.write(strconv.FormatInt(int64(v), 10))
	case types.Bool:
		if v {
			w.write("yes")
			return
		}
		w.write("no")
	case types.String:
		w.write(string(v))
	case *limitMap:
		w.write(v.show(dim, family))
	case traits.Lister:
		w.list(v, dim, family)
	case *instance:
		if p, ok := v.native.(placed); ok {
			w.write(p.Place())
			return
		}
		w.write("a " + strings.ReplaceAll(v.of.name, "_", " "))
	default:
		w.write("(a value)")
	}
}

// list writes the items of a list, with commas between them.
func (w *writer) list(v traits.Lister, dim dimension, family units.Family) {
	it := v.Iterator()
	if it.HasNext() != types.True {
		w.write("none")
	}
	for first := true; it.HasNext() == types.True && !w.cut; first = false {
		if !first {
			w.write(", ")
		}
		w.value(it.Next(), dim, family)
	}
}

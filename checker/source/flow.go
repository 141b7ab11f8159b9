package source

import (
	"regexp"
	"strings"
)

// brackets reads a value between brackets, with all that it holds.
func (g *grammar) brackets() bool {
	depth := len(g.open)
	g.push()
	for len(g.open) > depth {
		if !g.between() || g.found != nil {
			return false
		}
	}
	return true
}

func (g *grammar) push() {
	line := g.lineStart(g.at)
	in := line
	for g.byte(in) == ' ' {
		in++
	}
	g.open = append(g.open, bracket{at: g.at, list: g.text[g.at] == '[', column: in - line, inner: -1, first: true})
	g.at++
	g.last = g.at
}

// between reads one thing between brackets.
func (g *grammar) between() bool {
	if !g.flowSpace() {
		return false
	}
	top := &g.open[len(g.open)-1]
	c := g.byte(g.at)
	switch {
	case g.at >= len(g.text):
		return g.breach(endOpen, g.at, top.at)
	case c == '}' || c == ']':
		return g.closer(top, c)
	case c == ',':
		return g.comma(top)
	case c == ':' && top.state == wantsColon && g.endsKey(g.at):
		if top.list {
			return g.breach(lonePair, top.key, top.key)
		}
		g.at++
		g.last, top.state = g.at, wantsValue
		return true
	case top.state == wantsColon || top.state == wantsComma:
		return g.breach(noComma, g.at, g.at)
	}
	return g.thing(top, c)
}

// endsKey reports whether the colon here ends a key: a space follows it, or
// the key before it is in quotes.
func (g *grammar) endsKey(at int) bool {
	next := g.byte(at + 1)
	return next == 0 || isSpace(rune(next)) || strings.IndexByte(",[]{}", next) >= 0 || at > 0 && strings.IndexByte(`"'`, g.byte(g.last-1)) >= 0
}

func (g *grammar) closer(top *bracket, c byte) bool {
	switch {
	case top.list != (c == ']'):
		return g.breach(strayCloser, g.at, top.at)
	case top.state == wantsColon && !top.list:
		return g.breach(noColon, top.key, top.key)
	}
	g.open = g.open[:len(g.open)-1]
	g.at++
	g.last = g.at
	if n := len(g.open); n > 0 {
		g.open[n-1].state = wantsComma
	}
	return true
}

func (g *grammar) comma(top *bracket) bool {
	switch {
	case top.state == wantsKey:
		return g.breach(noValue, g.at, g.at)
	case top.state == wantsColon && !top.list:
		return g.breach(noColon, top.key, top.key)
	}
	g.at++
	g.last, top.state = g.at, wantsKey
	return true
}

// thing reads a key, an item or a value.
func (g *grammar) thing(top *bracket, c byte) bool {
	key := top.state == wantsKey
	g.properties()
	g.start()
	if c = g.byte(g.at); c == '{' || c == '[' {
		if key && !top.list {
			return g.breach(groupAsKey, g.at, top.at)
		}
		top.state, top.first = wantsComma, false
		g.push()
		return true
	}
	from := g.at
	if c == '"' || c == '\'' {
		if !g.quoted() {
			return false
		}
	} else if !g.bare(top) {
		return false
	}
	switch top.first = false; {
	case key:
		top.state, top.key = wantsColon, from
	default:
		top.state = wantsComma
	}
	return true
}

// bare reads a text without quotes between brackets.
func (g *grammar) bare(top *bracket) bool {
	from := g.at
	if strings.IndexByte("@`%", g.byte(from)) >= 0 {
		return g.breach(badStart, from, from)
	}
	end, round := from, 0 // brackets that are no marks
	if top.state == wantsValue || top.list {
		end = from + g.halves(from, top.list)
	}
	for i := end; i < len(g.text); i++ {
		c := g.text[i]
		switch {
		case c == '(':
			round++
		case c == ')':
			round--
		}
		if strings.IndexByte(",[]{}", c) >= 0 && (c != ',' || round <= 0) {
			break
		}
		if c == ':' && (i+1 >= len(g.text) || strings.IndexByte(" \t\r\n,]}", g.text[i+1]) >= 0) || c == '#' && i > from && isSpace(rune(g.text[i-1])) {
			break
		}
		if c == '\r' || c == '\n' {
			if !g.goesOn(i) {
				break
			}
			continue
		}
		if c != ' ' && c != '\t' {
			end = i + 1
		}
	}
	g.at, g.last = end, end
	return g.bareFits(top, from, end)
}

// halves is how long a number is that commas cut up.
func (g *grammar) halves(from int, list bool) int {
	both := wholeHalves.FindString(g.text[from:min(len(g.text), from+80)])
	if both == "" || list && strings.IndexByte(both, ' ') < 0 && strings.Trim(both, "-0123456789.,]} ") == "" {
		return 0
	}
	return len(strings.TrimRight(both[:len(both)-1], " "))
}

// goesOn reports whether the line behind a line end can belong to a text
// without quotes: it stands further in than the key, and has none itself.
func (g *grammar) goesOn(at int) bool {
	here := *g
	here.at = at
	return here.flowSpace() && here.at < len(g.text) && strings.IndexByte(`"'{}[],:#-`, g.text[here.at]) < 0
}

func (g *grammar) bareFits(top *bracket, from, end int) bool {
	text := g.text[from:end]
	switch {
	case end == from: // a colon before anything
		return g.breach(noValue, from, from)
	case odd(text) || strings.HasSuffix(text, `"`) && top.state == wantsKey && !top.list && strings.Count(text, `"`) == 1:
		return g.breach(strayQuote, end-1, from)
	case top.state == wantsKey && !top.list && g.byte(end) == ':' && g.byte(end+1) == ':':
		return g.breach(moreColons, end, from)
	case strings.HasSuffix(text, ":") && strings.IndexByte("{[", g.byte(end)) >= 0 && end < len(g.text):
		return g.breach(noColon, from, from)
	case strings.HasSuffix(text, ":"):
		return g.breach(moreColons, end, from)
	case top.list && numbers(text) > 0:
		return g.breach(noComma, from+numbers(text), from)
	}
	return true
}

var twoNumbers = regexp.MustCompile(`^-?[0-9.]+( [^\s0-9;]+)?[;\s]+-?[0-9]`)

// numbers is where the second number of a text begins that is two, one behind
// the other as in 450 mm 500 mm; 0 where it is not.
func numbers(text string) int { return max(0, len(twoNumbers.FindString(text))-1) }

// flowSpace goes over spaces, line ends and remarks between brackets, and holds
// each line to what is open there.
func (g *grammar) flowSpace() bool {
	turned := false
	for {
		g.gap()
		switch c := g.byte(g.at); {
		case g.at >= len(g.text):
			return true
		case c == '\r' || c == '\n':
			g.at++
			turned = true
		case c == '#' && g.at > 0 && isSpace(rune(g.text[g.at-1])):
			g.at = g.lineEnd(g.at)
		default:
			return !turned || g.fits()
		}
	}
}

// fits holds the line that begins here to the brackets that are open: what
// belongs to them stands further in than the key or the dash before them.
func (g *grammar) fits() bool {
	top := &g.open[len(g.open)-1]
	in := g.indent(g.at)
	closes := strings.IndexByte("]}", g.byte(g.at)) >= 0
	switch {
	case g.dash(), g.column >= 0 && in <= g.column && !closes, in == 0 && g.column >= 0 && closes && g.column > 0:
		return g.breach(strayLine, g.at, top.at)
	case !g.strict || g.column >= 0:
		return true
	case closes && in < top.column, !closes && in <= top.column:
		return g.breach(strayLine, g.at, top.at)
	case closes && in > top.column, !closes && top.inner >= 0 && in > top.inner:
		return g.breach(deeperLine, g.at, g.at)
	}
	if !closes && top.inner < 0 {
		top.inner = in
	}
	return true
}

package source

import (
	"fmt"
	"regexp"
	"slices"
	"strings"

	"go.yaml.in/yaml/v4"
)

// A comma ends a value between brackets. Where it was meant to be the decimal
// sign, or to part thousands, it leaves two halves of a number.

var (
	wholeNumber = regexp.MustCompile(`^-?[0-9]+$`)
	laterHalf   = regexp.MustCompile(`^[0-9]+(?:\.[0-9]+)? ?[^\s0-9,;:.][^\s,;:]*$`) // with its unit
	bareHalf    = regexp.MustCompile(`^[0-9]+(?:\.[0-9]+)?$`)
	// wholeHalves is both, up to the mark behind them.
	wholeHalves = regexp.MustCompile(`^-?[0-9]+(?:,[0-9]{3})*,[0-9]+(?:\.[0-9]+)?(?: ?[^\s0-9,;:.\[\]{}][^\s,;:\[\]{}]*)? *[,\]}]`)
)

// besides reports whether b is written behind a and one comma.
func besides(a, b *yaml.Node) bool {
	return a.Style == 0 && b.Style == 0 && a.Kind == yaml.ScalarNode && b.Kind == yaml.ScalarNode && a.Line == b.Line && b.Column == a.Column+len(a.Value)+1
}

// join gives a number the halves that stand behind it in the items of a list
// or, each as a key without a value, in the members of a group; it returns how
// many they are. How the whole number is meant is left to who reads it.
func join(list []*yaml.Node, step int) (number string, more int) {
	first := list[0]
	number = first.Value
	if !wholeNumber.MatchString(number) {
		return number, 0
	}
	at := *first
	for i := 1; i < len(list); i += step {
		next := list[i]
		if !besides(&at, next) || step == 2 && !nothing(list[i+1]) {
			break
		}
		number += "," + next.Value
		more++
		at.Value = number
		if next.Tag == "!!str" && laterHalf.MatchString(next.Value) || step == 2 && !wholeNumber.MatchString(next.Value) && bareHalf.MatchString(next.Value) {
			return number, more
		}
		if len(next.Value) != 3 || !wholeNumber.MatchString(next.Value) {
			break
		}
	}
	if step == 2 && more == 1 && bareHalf.MatchString(list[1].Value) {
		return number, more
	}
	return first.Value, 0
}

// halves is join for a member of a group between braces.
func halves(y *yaml.Node, at int) (number string, more int) {
	if y.Style&yaml.FlowStyle == 0 {
		return "", 0
	}
	return join(y.Content[at:], 2)
}

// joined are the items of a list between brackets with the halves of numbers put
// together. Three that stand close, [1,2,3 mm], are three.
func joined(y *yaml.Node) []*yaml.Node {
	list := y.Content
	if y.Style&yaml.FlowStyle == 0 || len(list) < 2 {
		return list
	}
	close := len(list) == 3 && besides(list[0], list[1]) && besides(list[1], list[2])
	for i := 0; i+1 < len(list) && !close; i++ {
		if number, more := join(list[i:], 1); more > 0 {
			whole := *list[i]
			whole.Value, whole.Tag = number, "!!str"
			list = slices.Concat(list[:i:i], []*yaml.Node{&whole}, list[i+1+more:])
		}
	}
	return list
}

// NotThree says that a value is no list of three numbers, and how it is meant
// where commas stand in its numbers.
func NotThree(label string, n *Node) (message, remedy string) {
	message, remedy = label+" is not a list of three", "write [x, y, z]: x forward, y left, z up (ISO 8855)"
	decimal, thousands := halved(n)
	if decimal != "" {
		message += fmt.Sprintf(" but of %d: a comma stands within a number, where it separates items", len(n.Items))
		remedy = "write " + decimal
	}
	if thousands != "" {
		remedy = "write " + thousands + " or " + decimal + ", as is meant"
	}
	return message, remedy
}

// halved is how a list of three numbers is written of which more came, since
// commas stand where decimal points are meant; where a comma may as well part
// thousands, how it is written without it too. Both are "" where that is not so.
func halved(n *Node) (decimal, thousands string) {
	if n == nil || n.Kind != List || len(n.Items) < 4 || len(n.Items) > 6 {
		return "", ""
	}
	units := slices.ContainsFunc(n.Items, func(item *Node) bool { return item.Kind == Text })
	var points, none []string
	grouped := true
	for i := 0; i < len(n.Items); i++ {
		text := n.Items[i].Scalar
		if n.Items[i].quoted || n.Items[i].Kind > Text || n.Items[i].Kind < Number {
			return "", ""
		}
		if i+1 < len(n.Items) && wholeNumber.MatchString(text) && n.half(i+1, units) {
			i++
			rest := n.Items[i].Scalar
			digits, _, _ := strings.Cut(rest, " ")
			grouped = grouped && len(digits) == 3 && text != "0" && text != "-0"
			points, none = append(points, text+"."+rest), append(none, text+rest)
			continue
		}
		points, none = append(points, text), append(none, text)
	}
	if len(points) != 3 {
		return "", ""
	}
	if grouped {
		thousands = "[" + strings.Join(none, ", ") + "]"
	}
	return "[" + strings.Join(points, ", ") + "]", thousands
}

// half reports whether an item is the later half of a number: with the unit that
// the first lacks or, where there are none, close behind the comma.
func (n *Node) half(i int, units bool) bool {
	a, b := n.Items[i-1], n.Items[i]
	if units {
		return b.Kind == Text && laterHalf.MatchString(b.Scalar)
	}
	return bareHalf.MatchString(b.Scalar) && a.Line == b.Line && b.Column == a.Column+len(a.Scalar)+1
}

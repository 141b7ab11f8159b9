package engine

import (
	"fmt"
	"regexp"
	"strings"
	"unicode/utf8"

	"github.com/google/cel-go/cel"
	"github.com/google/cel-go/common/types"

	"kitgauge/checker/source"
	"kitgauge/checker/spelling"
)

// problemAt places a problem in the pack file: line from 1 and column from 0
// within the expression, as CEL counts.
func (e *expression) problemAt(line, column int, message, remedy string) *source.Problem {
	pos := e.node.PosAt(e.offset + offsetOf(e.text, line, column))
	return &source.Problem{Pos: pos, Message: message, Remedy: remedy, Node: e.node}
}

// offsetOf is the byte at which a column of a line begins.
func offsetOf(text string, line, column int) int {
	offset := 0
	for ; line > 1; line-- {
		i := strings.IndexByte(text[offset:], '\n')
		if i < 0 {
			return len(text)
		}
		offset += i + 1
	}
	for ; column > 0 && offset < len(text); column-- {
		_, size := utf8.DecodeRuneInString(text[offset:])
		offset += size
	}
	return offset
}

// wordings turn what CEL says into the words of these messages; the first
// that matches is used.
var (
	undeclared = regexp.MustCompile(`^undeclared reference to '([^']*)'`)
	noField    = regexp.MustCompile(`^undefined field '([^']*)'`)
	noOverload = regexp.MustCompile(`^found no matching overload for '([^']*)' applied to '\((.*)\)'`)
	syntax     = regexp.MustCompile(`^Syntax error: `)
	tooLong    = regexp.MustCompile(`code point size exceeds limit`)
	tooMany    = regexp.MustCompile(`node limit|nodes? .*exceeds`)
)

// translate reports the first fault at each place of the expression.
func (e *expression) translate(issues *cel.Issues) []*source.Problem {
	var out []*source.Problem
	for _, err := range issues.Errors() {
		message, remedy := e.reword(err.Message, err.Location.Column())
		out = append(out, e.problemAt(max(err.Location.Line(), 1), max(err.Location.Column(), 0), message, remedy))
		if syntax.MatchString(err.Message) {
			break // what follows a syntax error is noise
		}
	}
	return out
}

func (e *expression) reword(message string, column int) (string, string) {
	switch {
	case undeclared.MatchString(message):
		name := undeclared.FindStringSubmatch(message)[1]
		known := []string{"limit", "kit", e.rule.Of}
		for _, n := range e.names {
			known = append(known, n.name)
		}
		return fmt.Sprintf("%q is not known here", name) + spelling.Hint(name, known), "a rule of a " + e.rule.Of + " can name " + strings.Join(known, ", ")
	case noField.MatchString(message):
		name := noField.FindStringSubmatch(message)[1]
		return e.noField(name, column)
	case noOverload.MatchString(message):
		m := noOverload.FindStringSubmatch(message)
		return fmt.Sprintf("%s cannot be applied to %s", operatorName(m[1]), typeNames(m[2])), "compare like with like; double(n) makes a count a number"
	case tooLong.MatchString(message):
		return fmt.Sprintf("this expression is longer than %d characters", expressionBytes), "write two rules"
	case tooMany.MatchString(message):
		return fmt.Sprintf("this expression has more than %d parts", expressionNodes), "write two rules"
	case syntax.MatchString(message):
		return "this expression cannot be read: " + unread(strings.TrimPrefix(message, "Syntax error: ")), "conditions are joined with && and ||, turned round with !, and compared with =="
	}
	return message, ""
}

// unreads turn what the parser says into the words of these messages.
var unreads = []struct {
	pattern *regexp.Regexp
	message string
}{
	{regexp.MustCompile(`'<EOF>'`), "it ends too early"},
	{regexp.MustCompile(`^(?:mismatched|extraneous) input '(.*?)' expecting`), `"$1" does not fit here`},
	{regexp.MustCompile(`^no viable alternative at input '(.*)'$`), `"$1" does not fit here`},
	{regexp.MustCompile(`^token recognition error at: '(.*)'$`), `"$1" cannot stand in an expression`},
	{regexp.MustCompile(`^missing '(.*?)' at '(.*)'$`), `"$1" is missing before "$2"`},
}

func unread(message string) string {
	for _, u := range unreads {
		if at := u.pattern.FindStringSubmatchIndex(message); at != nil {
			return string(u.pattern.ExpandString(nil, u.message, message, at))
		}
	}
	return message
}

// noField names the objects that could have been meant by their fields.
func (e *expression) noField(name string, column int) (string, string) {
	holder := e.holderAt(column)
	if holder == nil {
		return fmt.Sprintf("there is no member %q here", name), ""
	}
	message := fmt.Sprintf("%s has no member %q", strings.ReplaceAll(holder.name, "_", " "), name) + spelling.Hint(name, holder.keys)
	return message, "its members are " + strings.Join(holder.keys, ", ")
}

// holderAt finds the object left of the dot at the column, by following the
// names from the variable on.
func (e *expression) holderAt(column int) *object {
	runes := []rune(e.text)
	if column > len(runes) {
		return nil
	}
	end := column
	start := end
	for start > 0 && (runes[start-1] == '.' || runes[start-1] < 128 && wordByte(byte(runes[start-1]))) {
		start--
	}
	path := strings.Split(string(runes[start:end]), ".")
	v := e.rule.pack.vocabulary
	var o *object
	if path[0] == "limit" {
		o = v.objects[limitType]
	} else if k, ok := v.kinds[path[0]]; ok {
		o = v.byType[k.Type]
	}
	for _, n := range e.names {
		if n.name == path[0] && n.gives != nil {
			o = v.objects[n.gives.TypeName()]
		}
	}
	for _, key := range path[1:] {
		if o == nil || o.fields[key] == nil {
			break
		}
		o = o.fields[key].of
	}
	return o
}

func wordByte(c byte) bool {
	return c == '_' || c >= '0' && c <= '9' || c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z'
}

var operatorNames = map[string]string{
	"_<_": "<", "_<=_": "<=", "_>_": ">", "_>=_": ">=", "_==_": "==", "_!=_": "!=",
	"_+_": "+", "_-_": "-", "_*_": "*", "_/_": "/", "_&&_": "&&", "_||_": "||",
	"!_": "!", "-_": "-", "_?_:_": "? :", "@in": "in", "_[_]": "[ ]",
}

func operatorName(name string) string {
	if n, ok := operatorNames[name]; ok {
		return n
	}
	return name
}

func typeName(t *types.Type) string { return oneTypeName(t.String()) }

func typeNames(list string) string {
	parts := strings.Split(list, ", ")
	for i, p := range parts {
		parts[i] = oneTypeName(p)
	}
	return strings.Join(parts, " and ")
}

func oneTypeName(name string) string {
	switch {
	case name == "double":
		return "a number"
	case name == "int" || name == "uint":
		return "a count"
	case name == "string":
		return "text"
	case name == "bool":
		return "a condition"
	case strings.HasPrefix(name, "list("):
		return "a list"
	}
	return "a " + strings.ReplaceAll(name, "_", " ")
}

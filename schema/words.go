package schema

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"kitgauge/checker/source"
	"kitgauge/checker/spelling"
)

// words says what is wrong, and what would be right. No message means that
// another fault says it already.
func (f fault) words() (message, remedy string) {
	limit := f.rule.Get(f.keyword)
	switch f.keyword {
	case "additionalProperties":
		return f.unknown()
	case "required":
		return f.missing()
	case "anyOf", "oneOf":
		return f.choice()
	case "type":
		return f.wrongKind()
	case "enum":
		return f.unknownWord()
	case "pattern":
		return fmt.Sprintf("%s cannot be %s", f.label(), quote(f.at.Scalar)), f.form()
	case "minLength":
		return f.label() + " is empty", f.form()
	case "maxLength":
		return fmt.Sprintf("%s has %d characters; at most %s are possible", f.label(), utf8.RuneCountInString(f.at.Scalar), limit.Scalar), "shorten it"
	case "minItems", "maxItems":
		return f.wrongNumber(limit.Scalar)
	case "maxProperties":
		return fmt.Sprintf("%s has %d members; at most %s are possible", f.label(), len(f.at.Items), limit.Scalar), "leave out what is not needed"
	case "minimum":
		return fmt.Sprintf("%s is %s; it is at least %s", f.label(), f.at.Scalar, limit.Scalar), ""
	case "maximum":
		return fmt.Sprintf("%s is %s; it is at most %s", f.label(), f.at.Scalar, limit.Scalar), ""
	}
	panic("schema: no words for " + f.keyword) // a test holds the schemas to the keywords above
}

// wrongKind compares the kind of the value with the one needed. The words
// are those of package kit, which finds the same fault.
func (f fault) wrongKind() (message, remedy string) {
	switch f.needs() {
	case "object":
		return fmt.Sprintf("this is %s; a group of members is needed", f.at.Kind), "write its members below it"
	case "array":
		if f.vector() {
			return f.wrongNumber("3")
		}
		return fmt.Sprintf("%s is %s; a list is needed", f.label(), f.at.Kind), "write its items below it, each after a dash"
	case "integer":
		return fmt.Sprintf("%s is %s; a whole number is needed", f.label(), f.shown()), f.instead("write it without quotes and without a unit")
	case "boolean":
		return fmt.Sprintf("%s is %s; true or false is needed", f.label(), f.shown()), f.instead("write true or false without quotes")
	}
	remedy = "put quotes round it"
	if f.rule.Get("enum") != nil {
		remedy = "it is one of " + strings.Join(f.allowed(), ", ")
	}
	return fmt.Sprintf("%s is %s; text is needed", f.label(), f.shown()), f.instead(remedy)
}

// needs is the first of the kinds that the schema accepts, by its own word.
func (f fault) needs() string {
	t := f.rule.Get("type")
	if t.Kind == source.List {
		t = t.Items[0]
	}
	return t.Scalar
}

// instead replaces the usual remedy where there is no value to mend.
func (f fault) instead(usual string) string {
	switch f.at.Kind {
	case source.Null:
		return "write its value after the colon, or leave the key out"
	case source.List, source.Map:
		return "write one value after the colon"
	}
	return usual
}

func (f fault) unknownWord() (message, remedy string) {
	message = fmt.Sprintf("%s cannot be %s", f.label(), quote(f.at.Scalar))
	allowed := f.allowed()
	return message + spelling.Hint(f.at.Scalar, allowed), "it is one of " + strings.Join(allowed, ", ")
}

// wordMeant is the word that a misspelt one stands for, where one alone is
// nearest, and nothing but that misspelt.
func (f fault) wordMeant() string {
	if f.keyword != "enum" {
		return ""
	}
	return certain(f.at.Scalar, f.allowed())
}

// certain is the one of some words that a misspelt one stands for: the nearest
// may be merely another word.
func certain(word string, words []string) string {
	if meant := spelling.Only(word, words); spelling.Near(word, meant) {
		return meant
	}
	return ""
}

// vouching are the members by which somebody says how far he has looked, or
// what he lets pass. What they say is nobody's to write but his.
var vouching = []string{"status", "severity", "gate"}

// vouches reports whether a fault is in what somebody vouches for.
func (f fault) vouches() bool {
	return f.keyword == "enum" && slices.Contains(vouching, f.at.Key())
}

func (f fault) allowed() []string {
	var words []string
	for _, w := range f.rule.Get("enum").Items {
		words = append(words, w.Scalar)
	}
	return words
}

// vector reports whether the schema wants coordinates.
func (f fault) vector() bool {
	n := f.rule.Get("minItems")
	return n != nil && n.Scalar == "3"
}

func (f fault) wrongNumber(limit string) (message, remedy string) {
	switch {
	case f.vector():
		return source.NotThree(f.label(), f.at)
	case f.keyword == "minItems":
		return f.label() + " is an empty list; at least one item is needed", "write its items below it, each after a dash"
	}
	return fmt.Sprintf("%s has %d items; at most %s are possible", f.label(), len(f.at.Items), limit), "leave out what is not needed"
}

// form says how the value is written: the first sentence of the schema's own
// description, and its first example.
func (f fault) form() string {
	text, _, _ := strings.Cut(lower(f.described("description").Scalar), ". ")
	text = strings.TrimSuffix(text, ".")
	if first := f.rule.At("examples", "0"); first != nil {
		text += ", as in " + first.Scalar
	}
	return text
}

// label names the value by the nearest key above it.
func (f fault) label() string {
	n := f.at
	for n.Parent() != nil && n.Parent().Kind == source.List {
		n = n.Parent()
	}
	if key := n.Key(); key != "" {
		return clip(key)
	}
	return "this"
}

// shown is what stands in the file.
func (f fault) shown() string {
	if f.at.Kind == source.Text || f.at.Kind == source.Number {
		return quote(f.at.Scalar)
	}
	return f.at.Kind.String()
}

// longest is the number of characters of the file that a message repeats.
const longest = 60

func clip(s string) string {
	if r := []rune(s); len(r) > longest {
		return string(r[:longest]) + "..."
	}
	return s
}

func quote(s string) string { return strconv.Quote(clip(s)) }

// lower takes the capital from the beginning of a sentence, not from a name
// such as NLGI.
func lower(s string) string {
	first, size := utf8.DecodeRuneInString(s)
	if second, _ := utf8.DecodeRuneInString(s[size:]); unicode.IsUpper(second) {
		return s
	}
	return string(unicode.ToLower(first)) + s[size:]
}

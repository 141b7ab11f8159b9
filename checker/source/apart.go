package source

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
)

// apart tells a line that parts what is one file: what stands behind it are
// sections of the one before it, or a list.
func (r *reader) apart() {
	for i := 1; i < len(r.docs) && len(r.shape.Sections) > 0; i++ {
		root := r.docs[i].Root
		if !r.rest(root, r.docs[i-1].Root) {
			continue
		}
		line := root.Line - 1
		for line > 1 && !parts(r.docs[i].Line(line)) {
			line--
		}
		mark := strings.TrimSpace(r.docs[i].Line(line))
		p := &Problem{Pos: Pos{r.file, line, 1}, Message: "this line parts the file in two, and what stands behind it is no file of its own", Remedy: "take " + mark + " out"}
		r.problems, r.docs = []*Problem{p}, nil
		return
	}
}

func parts(line string) bool {
	return strings.HasPrefix(line, "---") || strings.HasPrefix(line, "...")
}

// rest reports whether a document can only be the rest of the one before it.
func (r *reader) rest(root, before *Node) bool {
	if before.Kind != Map {
		return false
	}
	if root.Kind == List {
		return true
	}
	return root.Kind == Map && len(root.Members) > 0 && !slices.ContainsFunc(root.Members, func(m Member) bool {
		return before.Get(m.Key) != nil || !slices.Contains(r.shape.Sections, m.Key)
	})
}

var (
	listed  = regexp.MustCompile(`^(?:\+|>(?: |$)|[ \t]*[0-9]+[:|.)]?(?:[ \t]|$))`)
	slashed = regexp.MustCompile(`(?m)^[ \t]*//|[,{\[][ \t]*//|^[ \t]*/\*|[,{\[][ \t]*/\*`)
)

// listing tells a file of which each line begins as in a list of changes, a
// mail or a listing with numbers; nil where it is none.
func (r *reader) listing() *Problem {
	text := strings.TrimLeft(string(r.text[:min(len(r.text), 200)]), " \r\n")
	if text == "" || text[0] != '+' && text[0] != '>' && !digitByte(text[0]) {
		return nil
	}
	all, first := 0, ""
	for line := range strings.Lines(string(r.text)) {
		line = strings.TrimRight(line, "\r\n")
		sign := strings.TrimSpace(listed.FindString(line))
		switch {
		case line == "":
			continue
		case sign == "":
			return nil
		case all == 0:
			first = sign
		}
		if digitByte(first[0]) != digitByte(sign[0]) || !digitByte(first[0]) && sign[0] != first[0] {
			return nil
		}
		all++
	}
	if all < 3 {
		return nil
	}
	what, from := "a number, as in a listing", "the number and the space behind it"
	switch first[0] {
	case '+':
		what, from = "+, as in a list of changes", "the +"
	case '>':
		what, from = "> and a space, as in a mail", "the > and the space behind it"
	}
	return r.problem(&repair{message: "each line begins with " + what, remedy: "take " + from + " out of each line"})
}

// slashes tells the first remark of a JSON file that begins as in other
// languages; nil where none does.
func (r *reader) slashes() *Problem {
	text := string(r.text)
	if !strings.Contains(text, "//") && !strings.Contains(text, "/*") || !strings.HasPrefix(strings.TrimLeft(text, "\ufeff \t\r\n"), "{") {
		return nil
	}
	var at []int
	for _, m := range slashed.FindAllStringIndex(text, -1) {
		if !within(text, m[1]) {
			at = append(at, m[1]-2)
		}
	}
	if len(at) == 0 {
		return nil
	}
	sign := text[at[0] : at[0]+2]
	p := r.problem(&repair{from: at[0], message: sign + " begins a remark here, which JSON does not have", remedy: "take the remark out"})
	if n := len(at) - 1; n > 0 {
		p.Message += fmt.Sprintf("; %d more follow", n)
	}
	return p
}

// within reports whether a byte of a JSON file stands in a text in quotes that
// begins on its line.
func within(text string, at int) bool {
	line := text[1+strings.LastIndexAny(text[:at], "\r\n") : at]
	return (strings.Count(line, `"`)-strings.Count(line, `\"`))%2 == 1
}

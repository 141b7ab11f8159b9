package source

import (
	"slices"
	"strings"
)

// texts proposes quotes round a text that holds a mark.
func (m *mender) texts() {
	b := m.b
	switch b.fault {
	case noComma, moreColons, noColon, afterValue, strayCloser, lonePair:
	default:
		return
	}
	tried := 0
	for _, from := range slices.Backward(b.starts) {
		if tried++; tried > 5 || m.lineStart(from) != m.lineStart(min(b.at, len(m.text))) {
			return
		}
		if m.valueAt(from) {
			m.round(from)
		}
	}
}

// wordy proposes quotes round a text first where what stands behind its comma
// begins with no key of the file.
func (m *mender) wordy() {
	b := m.b
	if b.fault != noColon || len(b.open) == 0 || len(m.shape.Sections) == 0 || len(b.starts) < 2 {
		return
	}
	if word := m.word(b.from); !m.shape.has(strings.SplitN(word, " ", 2)[0]) && !strings.ContainsAny(word, "=;") {
		for _, from := range slices.Backward(b.starts[max(0, len(b.starts)-3):]) {
			if m.valueAt(from) && strings.Contains(m.word(from), " ") {
				m.round(from)
			}
		}
	}
}

// valueAt reports whether a value begins at a byte, and not a key.
func (m *mender) valueAt(at int) bool {
	before := strings.TrimRight(m.text[:at], " ")
	return strings.HasSuffix(before, ":") || strings.HasSuffix(before, "-") && len(m.b.open) == 0
}

// longestText is how many bytes of a text are looked through for where it may
// end: a kit may stand on one line.
const longestText = 500

// round proposes quotes round a value, up to each mark that may end it.
func (m *mender) round(from int) {
	end := min(m.lineEnd(from), from+longestText)
	if i := strings.Index(m.text[from:end], " #"); i >= 0 {
		end = from + i
	}
	flow := len(m.b.open) > 0
	if c := m.text[from]; (c == '{' || c == '[' || c == '"' || c == '\'') && (flow || m.b.fault != afterValue) {
		return
	}
	for at := from; at <= end; at++ {
		if at < end && (!flow || strings.IndexByte(",}]", m.text[at]) < 0) {
			continue
		}
		value := strings.TrimRight(m.text[from:at], " ")
		if !strings.ContainsAny(value, ":,{[\"") || m.keyIn(value) || !strings.Contains(value, " ") || !balanced(value) || strings.Count(value, `"`)%2 == 1 {
			continue
		}
		message := "a text that holds a comma needs quotes here"
		switch {
		case strings.Contains(value, ": ") || strings.HasSuffix(value, ":"):
			message = "a text that holds a colon and a space needs quotes"
		case !strings.Contains(value, ","):
			message = "more stands behind the value; a text that begins with " + value[:1] + " needs quotes round the whole"
		}
		m.add(from, from+len(value), quoted(value), message, "put quotes round it: "+quoted(value))
	}
}

// balanced reports whether as many brackets open in a text as close.
func balanced(text string) bool {
	return strings.Count(text, "{") == strings.Count(text, "}") && strings.Count(text, "[") == strings.Count(text, "]")
}

// keyIn reports whether a key of the file stands in what may be a text, so
// that a comma or a bracket is missing rather than quotes.
func (m *mender) keyIn(value string) bool {
	for {
		i := strings.IndexByte(value, ':')
		if i < 0 {
			return false
		}
		word := value[strings.LastIndexAny(value[:i], " ,{[\"")+1 : i]
		if m.shape.has(word) || len(m.shape.Sections) == 0 && strings.ToLower(word) == word {
			return true
		}
		value = value[i+1:]
	}
}

// inner proposes to write a quote that stands in a text between quotes so that
// it does not end it.
func (m *mender) inner(from int) {
	quote := m.text[from : from+1]
	line := m.text[from:min(m.lineEnd(from), from+longestText)]
	for end := strings.LastIndex(line, quote); end > 0; end = strings.LastIndex(line[:end], quote) {
		rest := strings.TrimLeft(line[end+1:], " ")
		if rest != "" && strings.IndexByte(",}]#", rest[0]) < 0 || !strings.Contains(line[1:end], quote) || strings.Contains(line[1:end], quote+", "+quote) || strings.Contains(line[1:end], quote+": ") {
			continue
		}
		if line[1:2] == quote {
			return // two stand side by side
		}
		double := map[string]string{"'": "''", `"`: `\"`}[quote]
		text := quote + strings.ReplaceAll(line[1:end], quote, double) + quote
		if m.keyIn(text) {
			continue
		}
		m.add(from, from+end+1, text, "a quote stands within a text in quotes", "write "+text)
	}
}

// remark proposes the sign of a remark before what stands behind a value.
func (m *mender) remark() {
	b := m.b
	if b.fault != afterValue || len(b.open) > 0 {
		return
	}
	rest := m.text[b.at:m.lineEnd(b.at)]
	switch trimmed := strings.TrimSpace(rest); {
	case trimmed == ";" || trimmed == "," || trimmed == "\\":
		m.add(b.at, b.at+1, "", trimmed+" does not fit here", "take it out")
	case strings.HasPrefix(trimmed, "//"):
		m.add(b.at, b.at+2, " #", "// begins no remark", "write # in place of //, with a space before it")
	case strings.IndexByte("}]", m.byte(b.last-1)) >= 0 && strings.IndexByte("{}[],:#\"'", rest[0]) < 0 && !m.shape.has(strings.Split(rest, ":")[0]):
		m.add(b.at, b.at, " # ", "more stands behind the value than a remark", "put # before it, as before a remark")
	}
}

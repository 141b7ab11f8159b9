package release

import (
	"bytes"
	"encoding/base64"
	"encoding/binary"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"golang.org/x/crypto/ssh"

	"kitgauge/checker"
	"kitgauge/checker/files"
)

// Signers are the lines of an allowed_signers file, as ssh-keygen(1)
// describes it: who signs with which key, for what and until when.
type Signers struct {
	File  string
	lines []signerLine
}

type signerLine struct {
	number     int
	principals string // patterns with commas between
	authority  bool   // cert-authority
	namespaces string // patterns; "" allows all
	after      time.Time
	before     time.Time
	key        []byte // as it is written in signatures
	comment    string
}

// maxSigners bounds what is read.
const maxSigners = 4 << 20

// ReadSigners reads the file, with times of the local zone. The error is a
// *files.Error where it cannot be read.
func ReadSigners(file string) (*Signers, error) {
	text, err := files.ReadFile(file)
	if err != nil {
		return nil, &files.Error{File: file, Err: err}
	}
	return ParseSigners(file, text, time.Local)
}

// ReadSignersOf reads an allowed_signers file as a policy has it, and reports
// whether the tree has the same.
func ReadSignersOf(p *checker.Policy, file string) (s *Signers, same bool, err error) {
	text, err := p.Read(file)
	if err != nil {
		return nil, false, &files.Error{File: file, Err: fmt.Errorf("%s, in %s", files.PlainError(err), p.Name)}
	}
	own, err := files.ReadFile(file)
	same = err == nil && bytes.Equal(text, own)
	s, err = ParseSigners(file, text, time.Local)
	return s, same, err
}

// ParseSigners reads an allowed_signers file. Times without a Z are those of
// the location. A line that ssh-keygen would not take is an error, with its
// number: a file that is not understood vouches for nobody.
func ParseSigners(file string, text []byte, zone *time.Location) (*Signers, error) {
	if len(text) > maxSigners {
		return nil, fmt.Errorf("%s: it is larger than %d MiB", file, maxSigners>>20)
	}
	s := &Signers{File: file}
	for i, line := range strings.Split(string(text), "\n") {
		line = strings.Trim(line, " \t\r")
		if line == "" || line[0] == '#' {
			continue
		}
		parsed, err := parseSigner(line, zone)
		if err != nil {
			return nil, fmt.Errorf("%s:%d: %w", file, i+1, err)
		}
		parsed.number = i + 1
		s.lines = append(s.lines, parsed)
	}
	return s, nil
}

func parseSigner(line string, zone *time.Location) (signerLine, error) {
	var l signerLine
	if strings.ContainsRune(line, 0) {
		return l, errors.New("the line holds a zero byte")
	}
	rest, err := l.who(line)
	if err != nil {
		return l, err
	}
	if rest == "" {
		return l, errors.New("the line has no key")
	}
	if !isKeyType(rest) {
		if rest, err = l.options(rest, zone); err != nil {
			return l, err
		}
	}
	word, after := field(rest)
	l.key, l.comment, err = readKey(word, after)
	return l, err
}

// isKeyType reports whether a text begins with the name of a type of key, of
// one that is not accepted here too: no option begins so.
func isKeyType(text string) bool {
	return strings.HasPrefix(text, "ssh-") || strings.HasPrefix(text, "ecdsa-") || strings.HasPrefix(text, "sk-")
}

// who takes the principals off the line; they may stand in quotes.
func (l *signerLine) who(line string) (rest string, err error) {
	if inner, quoted := strings.CutPrefix(line, `"`); quoted {
		who, rest, closed := strings.Cut(inner, `"`)
		if !closed {
			return "", errors.New("the quotes round the principals are not closed")
		}
		l.principals, line = who, rest
	} else {
		l.principals, line = field(line)
	}
	if strings.Contains(l.principals, `"`) || strings.Trim(l.principals, ", ") == "" {
		return "", errors.New("the line does not begin with the names of signers")
	}
	for _, p := range strings.Split(l.principals, ",") {
		if len(p) > 1000 {
			return "", errors.New("the name of a signer is longer than 1000 bytes")
		}
	}
	return strings.TrimLeft(line, " \t\r"), nil
}

func field(text string) (word, rest string) {
	i := strings.IndexAny(text, " \t\r")
	if i < 0 {
		return text, ""
	}
	return text[:i], strings.TrimLeft(text[i:], " \t\r")
}

// readKey reads the type of a key, the key in base64, and the comment.
func readKey(kind, rest string) (key []byte, comment string, err error) {
	text, comment := field(rest)
	key, err = base64.StdEncoding.Strict().DecodeString(text)
	if err != nil || len(key) < 4 || strings.ContainsAny(text, "\r\n") {
		return nil, "", errors.New("the line has no key, or a damaged one")
	}
	n := binary.BigEndian.Uint32(key)
	if uint64(n) > uint64(len(key)-4) || string(key[4:4+n]) != kind {
		return nil, "", fmt.Errorf("the key is not of the type %.40q that stands before it", kind)
	}
	if _, err := ssh.ParsePublicKey(key); err != nil && slices.Contains(keyTypes, kind) {
		return nil, "", errors.New("the line has a damaged key")
	}
	return key, comment, nil
}

// options reads the options in front of a key.
func (l *signerLine) options(text string, zone *time.Location) (rest string, err error) {
	for {
		name, after := optionName(text)
		text = after
		value := ""
		if strings.HasPrefix(text, "=") {
			if value, text, err = unquote(text[1:]); err != nil {
				return "", fmt.Errorf("the option %.40q: %w", name, err)
			}
		}
		if err := l.option(strings.ToLower(name), value, zone); err != nil {
			return "", err
		}
		switch {
		case text == "":
			return "", errors.New("the line has no key")
		case text[0] == ' ' || text[0] == '\t':
			return strings.TrimLeft(text, " \t"), l.inOrder()
		case text[0] != ',':
			return "", fmt.Errorf("after the option %.40q there is neither a comma nor a space", name)
		}
		text = text[1:]
	}
}

func optionName(text string) (name, rest string) {
	i := strings.IndexAny(text, "=, \t")
	if i < 0 {
		return text, ""
	}
	return text[:i], text[i:]
}

// unquote takes a text in quotes, in which \" stands for a quote.
func unquote(text string) (value, rest string, err error) {
	if !strings.HasPrefix(text, `"`) {
		return "", "", errors.New("its value does not stand in quotes")
	}
	var b strings.Builder
	for i := 1; i < len(text); i++ {
		switch {
		case text[i] == '"':
			return b.String(), text[i+1:], nil
		case text[i] == '\\' && i+1 < len(text) && text[i+1] == '"':
			i++
		}
		b.WriteByte(text[i])
	}
	return "", "", errors.New("its quotes are not closed")
}

func (l *signerLine) option(name, value string, zone *time.Location) (err error) {
	once := func(given bool) error {
		if given {
			return fmt.Errorf("the option %s is given twice", name)
		}
		return nil
	}
	switch name {
	case "cert-authority":
		if value != "" {
			return errors.New("the option cert-authority has no value")
		}
		l.authority = true
	case "namespaces":
		if err := once(l.namespaces != ""); err != nil {
			return err
		}
		if value == "" {
			return errors.New("the option namespaces names none")
		}
		l.namespaces = value
	case "valid-after":
		if err := once(!l.after.IsZero()); err != nil {
			return err
		}
		l.after, err = parseTime(name, value, zone)
	case "valid-before":
		if err := once(!l.before.IsZero()); err != nil {
			return err
		}
		l.before, err = parseTime(name, value, zone)
	default:
		return fmt.Errorf("%.40q is neither a key nor an option that is known: cert-authority, namespaces, valid-after, valid-before", name)
	}
	return err
}

// parseTime reads YYYYMMDD, YYYYMMDDHHMM or YYYYMMDDHHMMSS, with Z or UTC
// behind it or else in the zone.
func parseTime(name, text string, zone *time.Location) (time.Time, error) {
	digits := text
	for _, ending := range []string{"Z", "UTC"} {
		if n := len(text) - len(ending); n > 0 && strings.EqualFold(text[n:], ending) {
			digits, zone = text[:n], time.UTC
			break
		}
	}
	for _, layout := range []string{"20060102", "200601021504", "20060102150405"} {
		if len(layout) != len(digits) {
			continue
		}
		if t, err := time.ParseInLocation(layout, digits, zone); err == nil && t.Unix() > 0 {
			return t, nil
		}
	}
	return time.Time{}, fmt.Errorf("the option %s: %.40q is no time: write it as in 20270331Z", name, text)
}

func (l *signerLine) inOrder() error {
	if !l.after.IsZero() && !l.before.IsZero() && !l.before.After(l.after) {
		return errors.New("valid-before is not later than valid-after")
	}
	return nil
}

// matchList matches a text with patterns as OpenSSH does: * stands for any
// text, ? for one byte, and what matches a pattern behind ! is not matched.
func matchList(text, patterns string) bool {
	found := false
	for _, p := range strings.Split(patterns, ",") {
		p, not := strings.CutPrefix(p, "!")
		if !match(text, p) {
			continue
		}
		if not {
			return false
		}
		found = true
	}
	return found
}

// match goes back to the last * only, so that it is never slow.
func match(text, pattern string) bool {
	t, p, star, from := 0, 0, -1, 0
	for t < len(text) {
		switch {
		case p < len(pattern) && pattern[p] == '*':
			star, from = p, t
			p++
		case p < len(pattern) && (pattern[p] == '?' || pattern[p] == text[t]):
			t, p = t+1, p+1
		case star >= 0:
			from++
			t, p = from, star+1
		default:
			return false
		}
	}
	return strings.Trim(pattern[p:], "*") == ""
}

// principals are the names of the line that are no patterns.
func (l *signerLine) names() []string {
	var list []string
	for _, p := range strings.Split(l.principals, ",") {
		if p != "" && !strings.ContainsAny(p, "*?!") {
			list = append(list, p)
		}
	}
	return list
}

// refusal says why a line with the signature's key does not allow it to the
// signer at a moment; "" where it does.
func (l *signerLine) refusal(signer string, at time.Time) string {
	switch {
	case l.authority:
		return "it is listed as a certificate authority (cert-authority), and certificates are not supported"
	case !matchList(signer, l.principals):
		return fmt.Sprintf("it is the key of %s and not of %s", l.principals, signer)
	case l.namespaces != "" && !matchList(Namespace, l.namespaces):
		return fmt.Sprintf("it may sign for %s and not for %s", l.namespaces, Namespace)
	case !l.after.IsZero() && at.Before(l.after):
		return fmt.Sprintf("it is valid only from %s on", l.after.Format(time.RFC3339))
	case !l.before.IsZero() && at.After(l.before):
		return fmt.Sprintf("it expired on %s", l.before.Format(time.RFC3339))
	}
	return ""
}

// allow reports whether a line allows the key to a signer; if none does, why
// says what is wrong with the line that comes nearest. exact is false where
// the name is matched by a pattern alone.
func (s *Signers) allow(key []byte, signer string, at time.Time) (why string, exact bool) {
	nearest := -1
	allowed := false
	for _, l := range s.lines {
		if string(l.key) != string(key) {
			continue
		}
		refusal := l.refusal(signer, at)
		if refusal == "" {
			allowed = true
			exact = exact || slices.Contains(l.names(), signer)
			continue
		}
		rank := 0
		if matchList(signer, l.principals) && !l.authority {
			rank = 1
		}
		if rank > nearest {
			nearest, why = rank, fmt.Sprintf("%s (%s:%d)", refusal, s.File, l.number)
		}
	}
	switch {
	case allowed:
		return "", exact
	case nearest < 0:
		return "no line of " + s.File + " has it", false
	}
	return why, false
}

// namesOf lists all names under which the file knows the holder of a key, the
// comments behind the key among them.
func (s *Signers) namesOf(key []byte) []string {
	var list []string
	for _, l := range s.lines {
		if string(l.key) != string(key) {
			continue
		}
		list = append(list, l.names()...)
		if l.comment != "" {
			list = append(list, l.comment)
		}
	}
	return list
}

// principalOf is the only name that the file has for a key; "" where it has
// none or several.
func (s *Signers) principalOf(key []byte) string {
	var list []string
	for _, l := range s.lines {
		if string(l.key) == string(key) && !l.authority {
			list = append(list, l.names()...)
		}
	}
	slices.Sort(list)
	if list = slices.Compact(list); len(list) == 1 {
		return list[0]
	}
	return ""
}

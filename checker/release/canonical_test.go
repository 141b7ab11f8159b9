package release_test

import (
	"math"
	"strconv"
	"testing"

	"kitgauge/checker/release"
)

// TestCanonicalNumbers holds the canonical form to the number samples of RFC
// 8785, appendix B (printed; compared with the copies of the table in several
// independent implementations).
func TestCanonicalNumbers(t *testing.T) {
	for _, tt := range []struct {
		bits uint64
		want string
	}{
		{0x0000000000000000, "0"},
		{0x8000000000000000, "0"},
		{0x0000000000000001, "5e-324"},
		{0x8000000000000001, "-5e-324"},
		{0x7fefffffffffffff, "1.7976931348623157e+308"},
		{0xffefffffffffffff, "-1.7976931348623157e+308"},
		{0x4340000000000000, "9007199254740992"},
		{0xc340000000000000, "-9007199254740992"},
		{0x4430000000000000, "295147905179352830000"},
		{0x44b52d02c7e14af5, "9.999999999999997e+22"},
		{0x44b52d02c7e14af6, "1e+23"},
		{0x44b52d02c7e14af7, "1.0000000000000001e+23"},
		{0x444b1ae4d6e2ef4e, "999999999999999700000"},
		{0x444b1ae4d6e2ef4f, "999999999999999900000"},
		{0x444b1ae4d6e2ef50, "1e+21"},
		{0x3eb0c6f7a0b5ed8c, "9.999999999999997e-7"},
		{0x3eb0c6f7a0b5ed8d, "0.000001"},
		{0x41b3de4355555553, "333333333.3333332"},
		{0x41b3de4355555554, "333333333.33333325"},
		{0x41b3de4355555555, "333333333.3333333"},
		{0x41b3de4355555556, "333333333.3333334"},
		{0x41b3de4355555557, "333333333.33333343"},
		{0xbecbf647612f3696, "-0.0000033333333333333333"},
		{0x43143ff3c1cb0959, "1424953923781206.2"},
	} {
		text := strconv.FormatFloat(math.Float64frombits(tt.bits), 'e', -1, 64)
		got, err := release.Canonical([]byte(text))
		if err != nil || string(got) != tt.want {
			t.Errorf("%016x: got %s, %v; want %s", tt.bits, got, err, tt.want)
		}
	}
}

func TestCanonicalText(t *testing.T) {
	for _, tt := range []struct{ source, in, want string }{
		{
			"RFC 8785, section 3.2.2 (printed)",
			`{"numbers": [333333333.33333329, 1E30, 4.50, 2e-3, 0.000000000000000000000000001], "string": "\u20ac$\u000F\u000aA'\u0042\u0022\u005c\\\"\/", "literals": [null, true, false]}`,
			`{"literals":[null,true,false],"numbers":[333333333.3333333,1e+30,4.5,0.002,1e-27],"string":"€$\u000f\nA'B\"\\\\\"/"}`,
		},
		{
			"RFC 8785, section 3.2.3 (order printed; by UTF-16 code units)",
			`{"\u20ac": "Euro Sign", "\r": "Carriage Return", "\ufb33": "Hebrew Letter Dalet With Dagesh", "1": "One", "\ud83d\ude00": "Emoji: Grinning Face", "\u0080": "Control", "\u00f6": "Latin Small Letter O With Diaeresis"}`,
			"{\"\\r\":\"Carriage Return\",\"1\":\"One\",\"\u0080\":\"Control\",\"ö\":\"Latin Small Letter O With Diaeresis\",\"€\":\"Euro Sign\",\"😀\":\"Emoji: Grinning Face\",\"\ufb33\":\"Hebrew Letter Dalet With Dagesh\"}",
		},
		{
			"test data of github.com/cyberphone/json-canonicalization, structures.json (printed)",
			"{\n  \"1\": {\"f\": {\"f\": \"hi\",\"F\": 5} ,\"\\n\": 56.0},\n  \"10\": { },\n  \"\": \"empty\",\n  \"a\": { },\n  \"111\": [ { } ],\n  \"A\": { }\n}",
			`{"":"empty","1":{"\n":56,"f":{"F":5,"f":"hi"}},"10":{},"111":[{}],"A":{},"a":{}}`,
		},
		{
			"the same, weird.json (printed)",
			`{"\u20ac": "Euro Sign", "1": "One", "\u0080": "Control\u007f", "\ud83d\ude02": "Smiley", "\u00f6": "Latin Small Letter O With Diaeresis", "\ufb33": "Hebrew Letter Dalet With Dagesh", "</script>": "Browser Challenge"}`,
			"{\"1\":\"One\",\"</script>\":\"Browser Challenge\",\"\u0080\":\"Control\u007f\",\"ö\":\"Latin Small Letter O With Diaeresis\",\"€\":\"Euro Sign\",\"😂\":\"Smiley\",\"\ufb33\":\"Hebrew Letter Dalet With Dagesh\"}",
		},
	} {
		got, err := release.Canonical([]byte(tt.in))
		if err != nil || string(got) != tt.want {
			t.Errorf("%s:\ngot  %q, %v\nwant %q", tt.source, got, err, tt.want)
		}
	}
}

// TestCanonicalRefuses takes what is not I-JSON (RFC 7493, section 2).
func TestCanonicalRefuses(t *testing.T) {
	for name, in := range map[string]string{
		"nothing":                   "",
		"a name twice":              `{"a":1,"a":1}`,
		"a name twice, as escape":   `{"a":1,"\u0061":1}`,
		"half a pair":               `{"a":"\ud83d"}`,
		"the other half":            `{"a":"\ude00"}`,
		"not UTF-8":                 "{\"a\":\"\xff\"}",
		"a surrogate in UTF-8":      "{\"a\":\"\xed\xa0\x80\"}",
		"a second value":            `{} {}`,
		"a byte order mark":         "\ufeff{}",
		"NaN":                       `{"a":NaN}`,
		"too large for a number":    `{"a":1e999}`,
		"a control character":       "{\"a\":\"\x01\"}",
		"nested beyond all measure": nested(100_000),
	} {
		if got, err := release.Canonical([]byte(in)); err == nil {
			t.Errorf("%s: got %.60q; want an error", name, got)
		}
	}
}

func nested(n int) string {
	b := make([]byte, 2*n)
	for i := range n {
		b[i], b[2*n-1-i] = '[', ']'
	}
	return string(b)
}

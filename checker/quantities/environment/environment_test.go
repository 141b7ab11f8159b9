package environment_test

import (
	"strings"
	"testing"

	"pgregory.net/rapid"

	"kitgauge/checker/quantities/environment"
)

func TestStands(t *testing.T) {
	// Common practice, no source.
	for _, tt := range []struct {
		code string
		want string // for none, splash, hose, pressure: y, n or ? for an error
	}{
		{"L-XCCAA2", "ynnn"}, // dry
		{"L-XCCEA2", "yynn"}, // static humidity
		{"L-XCCHA2", "yyyy"}, // washing
		{"KP2K-30", "yyyy"},  // rating 0 or 1
		{"KP2M-30", "ynnn"},  // rating 2 or 3
		{"KP2N-30", "y???"},  // by agreement
	} {
		d, err := environment.Parse(tt.code)
		if err != nil {
			t.Fatal(err)
		}
		for i, class := range []string{"none", "splash", "hose", "pressure"} {
			got, err := d.Stands(class)
			mark := "n"
			if got {
				mark = "y"
			}
			if err != nil {
				mark = "?"
			}
			if want := tt.want[i : i+1]; mark != want {
				t.Errorf("%s under %s: got %s (%v), want %s", tt.code, class, mark, err, want)
			}
		}
	}
	if _, err := (environment.Designation{}).Stands("steam"); err == nil || !strings.Contains(err.Error(), "use one of none, splash, hose, pressure") {
		t.Errorf("unknown class: got %v", err)
	}
}

func TestParseIngress(t *testing.T) {
	for code, want := range map[string][]environment.Ingress{
		"IP67": {{"6", "7"}}, "IP6K9K": {{"6K", "9K"}}, "IPX4": {{"X", "4"}}, "IP69": {{"6", "9"}}, "IP54": {{"5", "4"}},
		"IP69K": {{"6", "9K"}}, "IP5K4K": {{"5K", "4K"}}, "IP66K": {{"6", "6K"}}, "IP6KX": {{"6K", "X"}}, "IP2X": {{"2", "X"}},
		"ip 67": {{"6", "7"}}, "IP66/IP67": {{"6", "6"}, {"6", "7"}}, "IP66/68/69K": {{"6", "6"}, {"6", "8"}, {"6", "9K"}},
		"IP23CS": {{"2", "3"}}, "IPX5/IPX7": {{"X", "5"}, {"X", "7"}}, "IP20D": {{"2", "0"}},
	} {
		got, err := environment.ParseIngress(code)
		if err != nil || len(got) != len(want) {
			t.Errorf("%s: got %v, %v; want %v", code, got, err, want)
			continue
		}
		for i := range got {
			if got[i] != want[i] {
				t.Errorf("%s: got %v, want %v", code, got, want)
			}
		}
	}
}

func TestParseIngressRefuses(t *testing.T) {
	for code, want := range map[string]string{
		"":                          "it is empty: write IP, a figure for dust",
		"67":                        "it does not begin with IP",
		"IP":                        "the figure for dust is missing",
		"IP6":                       "the figure for water is missing",
		"IP6K":                      "the figure for water is missing",
		"IP77":                      `"7" is no figure for dust`,
		"IP6A":                      `"A" is no figure for water`,
		"IP65K":                     `"K" at its end has no meaning`,
		"IP67AB":                    `"AB" at its end has no meaning`,
		"IP66/":                     "the figure for dust is missing",
		"IP66/7":                    `"7" is no figure for dust`,
		"IP-67":                     `"-" is no figure for dust`,
		"IP6\u0667":                 "does not belong here",
		strings.Repeat("IP67/", 20): "100 characters are too many",
	} {
		_, err := environment.ParseIngress(code)
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: got %v; want an error with %q", code, err, want)
		}
	}
}

func TestIngressCovers(t *testing.T) {
	const clause6 = "IEC 60529 clause 6: up to 6 a figure implies the lower ones (printed at lisungroup.com)"
	for _, tt := range []struct {
		code, need string
		want       bool
		source     string
	}{
		{"IP66", "IPX4", true, clause6},
		{"IP66", "IPX5", true, clause6},
		{"IP54", "IPX5", false, clause6},
		{"IP54", "IP44", true, clause6},
		{"IP44", "IP54", false, clause6},
		{"IP67", "IPX5", false, "IEC 60529 clause 6: 7 does not imply jets (from memory)"},
		{"IP68", "IPX6", false, "IEC 60529 clause 6: 8 does not imply jets (from memory)"},
		{"IP68", "IPX7", true, "IEC 60529 table 3: 8 is more severe than 7 (from memory)"},
		{"IP67", "IPX8", false, "as above"},
		{"IP67", "IPX4", true, "our reading of IEC 60529 clause 6"},
		{"IP66/IP67", "IPX5", true, "IEC 60529 clause 6: double code (from memory)"},
		{"IP66/IP67", "IP66/IP67", true, "as above"},
		{"IP67", "IP66/IP67", false, "as above"},
		{"IP69", "IPX5", false, "IEC 60529 clause 6: 9 does not imply jets (from memory)"},
		{"IP69", "IPX7", false, "IEC 60529 clause 6: 9 does not imply immersion (from memory)"},
		{"IP66", "IPX9", false, clause6},
		{"IP6K9K", "IPX9", true, "ISO 20653 (from memory)"},
		{"IP69", "IPX9K", true, "ISO 20653 (from memory)"},
		{"IP66/IP69K", "IPX5", true, "double code"},
		{"IP6K6K", "IP66", true, "ISO 20653 (from memory)"},
		{"IP66", "IP66K", false, "ISO 20653 (from memory)"},
		{"IP54", "IP54K", false, "ISO 20653 (from memory)"},
		{"IP54K", "IP54", true, "ISO 20653 (from memory)"},
		{"IP66", "IP6K6", true, "ISO 20653: 6K is dust-tight (fafdfr.cn)"},
		{"IP5K5", "IP65", false, "ISO 20653: 5K is dust-protected (fafdfr.cn)"},
		{"IPX5", "IP65", false, "X says nothing"},
		{"IP65", "IPX5", true, "X asks nothing"},
		{"IPXX", "IP00", true, "limit: 0 asks nothing"},
	} {
		if got, err := environment.IngressCovers(tt.code, tt.need); err != nil || got != tt.want {
			t.Errorf("%s for %s: got %t, %v; want %t (%s)", tt.code, tt.need, got, err, tt.want, tt.source)
		}
	}
	for _, pair := range [][2]string{{"IP6", "IP67"}, {"IP67", "IP6"}} {
		if _, err := environment.IngressCovers(pair[0], pair[1]); err == nil {
			t.Errorf("%s for %s: want an error", pair[0], pair[1])
		}
	}
}

func TestIngressCoversIsAnOrder(t *testing.T) {
	code := rapid.Custom(func(t *rapid.T) string {
		return "IP" + rapid.SampledFrom([]string{"X", "0", "1", "2", "3", "4", "5", "5K", "6", "6K"}).Draw(t, "dust") +
			rapid.SampledFrom([]string{"X", "0", "1", "2", "3", "4", "4K", "5", "6", "6K", "7", "8", "9", "9K"}).Draw(t, "water")
	})
	covers := func(t *rapid.T, a, b string) bool {
		got, err := environment.IngressCovers(a, b)
		if err != nil {
			t.Fatal(err)
		}
		return got
	}
	rapid.Check(t, func(t *rapid.T) {
		a, b, c := code.Draw(t, "a"), code.Draw(t, "b"), code.Draw(t, "c")
		if !covers(t, a, a) {
			t.Errorf("%s does not cover itself", a)
		}
		if covers(t, a, b) && covers(t, b, c) && !covers(t, a, c) {
			t.Errorf("%s covers %s covers %s, yet not the last", a, b, c)
		}
		if double := a + "/" + b; !covers(t, double, a) || !covers(t, double, b) {
			t.Errorf("%s does not cover both its codes", double)
		}
	})
}

func TestIngressFor(t *testing.T) {
	// Common practice, no source; the codes are those of IEC 60529.
	for class, want := range map[string]string{"none": "IPX0", "splash": "IPX4", "hose": "IPX5", "pressure": "IPX9"} {
		if got, err := environment.IngressFor(class); err != nil || got != want {
			t.Errorf("%s: got %s, %v; want %s", class, got, err, want)
		}
	}
	if _, err := environment.IngressFor(""); err == nil {
		t.Error("no class: want an error")
	}
}

func FuzzParseIngress(f *testing.F) {
	f.Add("IP67")
	f.Add("IP66/IP69K")
	f.Fuzz(func(t *testing.T, code string) {
		got, err := environment.ParseIngress(code)
		if err != nil {
			if text := err.Error(); len(text) > 1000 || strings.Contains(text, "%!") && !strings.Contains(code, "%!") {
				t.Errorf("%q: error %s", code, text)
			}
			return
		}
		var plain []string
		for _, one := range got {
			plain = append(plain, "IP"+one.Solids+one.Water)
		}
		again := strings.Join(plain, "/")
		if covers, err := environment.IngressCovers(code, again); err != nil || !covers {
			t.Errorf("%q read as %s, which it does not cover (%v)", code, again, err)
		}
	})
}

// Package procedure holds the fixed list of installation step kinds and the
// order that safe work needs of them: energy control applied in the sequence
// of 29 CFR 1910.147(d) before anybody touches the vehicle, released by
// 1910.147(e), and the workshop order of chocks, stands, wheels, lines and
// battery. The order is data ([Rules]); the functions only read it.
//
// A procedure that passes is in a sound order. It is not thereby safe: the
// vehicle maker's instructions, local codes and licensed practice govern.
package procedure

import (
	"fmt"
	"strings"

	"kitgauge/checker/spelling"
)

// Kind describes one kind of step.
type Kind struct {
	Name string // as written in a kit file
	Doc  string // what is done, one line

	Touches  bool // work on the vehicle: energy control must be in force
	Live     bool // Touches, but may also be done once energy has been restored
	Under    bool // usually done under the vehicle or a raised body
	Pressure bool // grease, air or oil under pressure may come out
	Control  bool // part of applying energy control
	Release  bool // gives energy back to the vehicle

	Clause string // where the standard asks for it; empty for trade practice
}

// Work reports whether the step may only be done while energy control is in
// force, also after an earlier release.
func (k Kind) Work() bool { return k.Touches && !k.Live }

// Kinds lists every kind of step. It stands in an order that satisfies
// [Rules], so it reads as the outline of a whole procedure.
var Kinds = []Kind{
	{Name: "warn", Doc: "a notice only; nothing is done"},
	{Name: "protect-eyes", Doc: "put on eye protection", Clause: "29 CFR 1910.133(a)(1)"},
	{Name: "protect-hands", Doc: "put on hand protection; keep hands away from pressurised ends", Clause: "29 CFR 1910.138(a)"},

	{Name: "brief", Doc: "go through every energy, its hazard and its control, and tell the people affected", Control: true, Clause: "29 CFR 1910.147(d)(1), (c)(9)"},
	{Name: "shut-down", Doc: "stop engine and machine in the orderly way", Control: true, Clause: "29 CFR 1910.147(d)(2)"},
	{Name: "remove-key", Doc: "take the key out and keep it", Control: true, Clause: "29 CFR 1910.147(d)(3)"},
	{Name: "isolate-battery", Doc: "open the battery isolator or take off the earthed lead first", Control: true, Clause: "29 CFR 1910.147(d)(3)"},
	{Name: "lock-out", Doc: "lock and tag every isolator", Control: true, Clause: "29 CFR 1910.147(d)(4)"},
	{Name: "relieve-pressure", Doc: "relieve or restrain stored energy: air, oil, grease, springs, raised parts", Control: true, Pressure: true, Clause: "29 CFR 1910.147(d)(5)"},
	{Name: "verify-isolation", Doc: "try the controls and test that nothing is energised", Control: true, Clause: "29 CFR 1910.147(d)(6)"},

	{Name: "chock", Doc: "set the brake and chock the wheels"},
	{Name: "support", Doc: "put the raised vehicle on stands; never work on a jack alone"},
	{Name: "prop", Doc: "prop a raised body, cab or boom and lock the prop", Clause: "29 CFR 1926.600(a)(3)(i), 1926.601(b)(10)"},

	{Name: "remove-wheel", Doc: "take a wheel off", Touches: true},
	{Name: "drill", Doc: "drill or deburr holes", Touches: true, Under: true},
	{Name: "mount-pump", Doc: "mount the pump", Touches: true},
	{Name: "clean-point", Doc: "clean a grease point and its surroundings", Touches: true, Under: true},
	{Name: "remove-nipple", Doc: "take the grease nipple out", Touches: true, Under: true},
	{Name: "fit-line", Doc: "lay and tie a line or bundle", Touches: true, Under: true},
	{Name: "prime-line", Doc: "fill a line until clean grease shows at its end", Touches: true, Under: true, Pressure: true},
	{Name: "connect-line", Doc: "connect a line to its point", Touches: true, Under: true},
	{Name: "fill", Doc: "fill the reservoir through a clean coupling", Touches: true, Live: true},
	{Name: "prime", Doc: "bleed pump and elements", Touches: true, Pressure: true},
	{Name: "connect-feed", Doc: "connect the electrical feed, battery still isolated", Touches: true},
	{Name: "refit-wheel", Doc: "put a wheel back on", Touches: true},
	{Name: "torque", Doc: "tighten to the stated torque", Touches: true, Live: true},

	{Name: "clear-tools", Doc: "take tools and rags away and see that the vehicle is whole", Clause: "29 CFR 1910.147(e)(1)"},
	{Name: "clear-people", Doc: "see that everybody is in a safe place", Clause: "29 CFR 1910.147(e)(2)(i)"},
	{Name: "remove-locks", Doc: "whoever fitted a lock takes it off", Clause: "29 CFR 1910.147(e)(3)"},
	{Name: "tell-people", Doc: "tell the people affected that the vehicle will be live", Clause: "29 CFR 1910.147(e)(2)"},
	{Name: "restore", Doc: "end energy control and give energy back", Release: true, Clause: "29 CFR 1910.147(e)"},
	{Name: "reconnect-battery", Doc: "close the isolator or put the earthed lead on last", Release: true, Clause: "29 CFR 1910.147(e)"},

	{Name: "test-run", Doc: "run the pump on the vehicle", Pressure: true},
	{Name: "leak-check", Doc: "look over every joint under pressure", Under: true, Pressure: true},
	{Name: "slack-check", Doc: "watch every free span through full lock and travel"},
	{Name: "hand-over", Doc: "hand the vehicle and its documents over"},
	{Name: "re-torque", Doc: "check wheel nuts again after the first distance", Touches: true, Live: true},
}

// rank is the place of each kind in Kinds.
var rank = func() map[string]int {
	m := make(map[string]int, len(Kinds))
	for i, k := range Kinds {
		m[k.Name] = i
	}
	return m
}()

// Lookup returns the kind of that name.
func Lookup(name string) (Kind, bool) {
	i, ok := rank[name]
	if !ok {
		return Kind{}, false
	}
	return Kinds[i], true
}

// UnknownKindError is a step whose kind is not in the list.
type UnknownKindError struct {
	Step    int    // index of the step, from 0
	Kind    string // as written
	Nearest string // the known kind spelt most like it
}

func (e *UnknownKindError) Error() string {
	return fmt.Sprintf("step %d: there is no step kind %q; the nearest is %q", e.Step+1, e.Kind, e.Nearest)
}

// Nearest returns the known kind with the fewest letters to change (edit
// distance, hyphens, spaces and case aside); the first in the list of equals.
func Nearest(name string) string {
	best, least := "", -1
	for _, k := range Kinds {
		if d := spelling.Distance(plain(name), plain(k.Name)); least < 0 || d < least {
			best, least = k.Name, d
		}
	}
	return best
}

var separators = strings.NewReplacer("-", "", "_", "", " ", "")

// plain strips what people vary. No kind is near 64 letters long, so cutting
// there changes no answer and bounds the work on absurd input.
func plain(s string) string {
	s = strings.ToLower(separators.Replace(s[:min(len(s), 256)]))
	return s[:min(len(s), 64)]
}

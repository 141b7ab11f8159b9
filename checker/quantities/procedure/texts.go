package procedure

import (
	"regexp"
	"slices"
	"strings"
)

// wording is what the text of a kind of step may say and what it must not:
// own is the work of the kind, against its opposite.
type wording struct{ own, against *regexp.Regexp }

func words(own, against string) wording {
	return wording{regexp.MustCompile(`\b(?:` + own + `)\b`), regexp.MustCompile(`\b(?:` + against + `)\b`)}
}

// wordings of the kinds that have an opposite. Common practice, no source: they
// are the words of the workshop.
var wordings = map[string]wording{
	"protect-eyes":      words(`on|wear|goggles|glasses|visor`, `(?:goggles|glasses|visor|them) off|without (?:goggles|glasses|eye protection)`),
	"protect-hands":     words(`on|wear|gloves`, `(?:gloves|them) off|without gloves|bare hands?`),
	"shut-down":         words(`stop|stops|shut|off|lower|park`, `start (?:the )?engine|(?:leave|keep) (?:the )?(?:engine|it) (?:running|on)|engine running`),
	"remove-key":        words(`out|remove|pull|keep|keeps|kept`, `(?:leave|leaves|put) (?:the )?key (?:in|stuck)|key (?:stays|stuck|left) in|insert`),
	"isolate-battery":   words(`open|opens|off|disconnect|isolate|pull|undo`, `close|closes|closed|reconnect|goes on|put on|on last|leave (?:it|the (?:battery|isolator)) on|connected`),
	"lock-out":          words(`tag|tags|lock (?:and|the|every|each|all|it|both|them)|padlock (?:and|the|every|each|on)|put (?:a|the|your) (?:pad)?lock on|fit (?:a|the|your) (?:pad)?lock`, `(?:take|takes|took|taken) (?:it|them|the (?:lock|tag)s?|his|her|their|every|each|a (?:lock|tag)) ?(?:lock|locks|tag|tags)? ?off|remove|removes|unlock|release|leave (?:it )?(?:un|not )locked`),
	"relieve-pressure":  words(`drain|relieve|bleed|vent|release|restrain|lower|without pressure|empty`, `fill|charge|pressuri[sz]e|build up|(?:leave|keep) .{0,30}(?:pressure|charged|full)`),
	"verify-isolation":  words(`try|test|check|measure|verify|nothing`, `take (?:it )?for granted|assume|trust`),
	"chock":             words(`chock|chocks|brake|block`, `(?:take|pull) (?:the )?chocks? (?:away|out|off)|remove (?:the )?chocks?|release (?:the )?brakes?`),
	"support":           words(`stand|stands|support|supports`, `without stands|lower (?:it|the (?:vehicle|axle)) (?:on)?to the (?:ground|wheels)|take .{0,20}stands away`),
	"prop":              words(`prop|props|block|support`, `without (?:a |the )?prop|(?:take|pull) (?:the )?prop (?:away|out)|remove (?:the )?prop`),
	"remove-wheel":      words(`off|remove|take`, `back on|refit|put .{0,20}on`),
	"refit-wheel":       words(`on|refit|back|mount`, `take .{0,20}off|remove`),
	"mount-pump":        words(`mount|fit|bolt|screw|fix|fasten|hang`, `(?:take|unbolt) .{0,20}(?:off|away|down)|remove|dismount`),
	"clean-point":       words(`clean|wipe|wash|brush`, `leave .{0,20}dirt\w*|smear|dirty`),
	"remove-nipple":     words(`out|remove|unscrew|take`, `screw .{0,30}in|(?:put|leave) .{0,30}(?:in|back)|refit`),
	"fit-line":          words(`lay|fit|route|clip|tie|run|pull|draw`, `(?:take|pull) .{0,20}(?:off|out)|remove|cut .{0,20}off`),
	"connect-line":      words(`connect|join|screw|fit|push`, `disconnect|undo|take .{0,20}off|leave .{0,20}open`),
	"fill":              words(`fill|top up|pump`, `drain|empty`),
	"connect-feed":      words(`connect|join|plug`, `disconnect|unplug|battery (?:still |already )?on|(?:isolator|battery) (?:still |already )?(?:closed|live)|take .{0,20}off`),
	"torque":            words(`tighten|torque|retighten`, `loosen|slacken|undo`),
	"re-torque":         words(`tighten|torque|check|again`, `loosen|slacken|undo`),
	"clear-tools":       words(`away|clear|count|collect|remove|pick`, `lay out|leave|get .{0,20}out`),
	"clear-people":      words(`clear|away|safe|out`, `stay under|come (?:closer|under)|remain under`),
	"remove-locks":      words(`off|remove|removes|unlock|release|take|takes`, `lock and tag|tag the|lock (?:the|every|each|all)|put .{0,20}lock on|fit (?:a|the) lock`),
	"restore":           words(`give|back|restore|recharge|open|fill|on`, `drain|isolate|relieve|shut`),
	"reconnect-battery": words(`close|closes|on|connect|reconnect`, `open the|disconnect|comes off|off first|leave .{0,20}open`),
	"hand-over":         words(`hand|give|show|explain`, `keep the papers|take back`),
}

// skipped says that a step is not done; negated that a word is denied.
var (
	skipped = regexp.MustCompile(`\b(?:skip this|skip it|not needed|no need|not necessary|unnecessary|leave (?:this )?out|omit|can be left out|need not)\b`)
	negated = regexp.MustCompile(`\b(?:not|never|don't|nobody|nothing|no)(?: \w+){0,2} $`)
)

// stillLive says that hydraulics keep their pressure, heldBack that they are held
// or that somebody is to look.
var (
	stillLive = regexp.MustCompile(`\bhydraulics?(?: \w+){0,5} (?:stays?|remains?|(?:is|are) (?:left|kept)) (?:under pressure|pressuri[sz]ed|charged)\b`)
	heldBack  = regexp.MustCompile(`\b(?:locks?|locked|blocks?|blocked|restrain\w*|held|hold|props?|propped|shut off|until|unless|whether|where|if|no|check|see)\b`)
)

// Contradiction returns the words by which the text of a step denies what its
// kind is for, "" where it does not. A text that says the work of the kind as
// well passes, unless it denies just that. It reads English, and few words of
// it: a text that passes need not be right.
func Contradiction(kind, text string) string {
	w, known := wordings[kind]
	if !known {
		return ""
	}
	text = strings.ToLower(text)
	if s := skipped.FindString(text); s != "" {
		return s
	}
	if c := wrongLead(kind, text); c != "" {
		return c
	}
	if kind == "relieve-pressure" {
		if c, _ := asserted(stillLive, text); c != "" && !heldBack.MatchString(text) {
			return c
		}
	}
	own, denied := asserted(w.own, text)
	against, _ := asserted(w.against, text)
	switch {
	case own == "" && denied != "":
		return denied
	case own == "" || strings.Contains(against, own):
		return against
	}
	return ""
}

// handTo has a hand put to what may be under pressure, feltFor has pressure or a
// leak felt for; withCard says that it is done with something else, denies that
// it is not done.
var (
	handTo   = regexp.MustCompile(`\b(?:put|hold|place|lay|keep|press) (?:a|an|the|your|one) (?:bare |gloved |flat )?(?:hand|finger|thumb|palm) (?:over|against|before|in front of|on|onto) (?:a|an|the|each|every|its|their) (?:\w+ ){0,2}?(?:ends?|openings?|leaks?|jets?)\b`)
	feltFor  = regexp.MustCompile(`\bfeel for (?:the |any |a )?(?:pressure|leaks?|leaking|jets?)\b`)
	withCard = regexp.MustCompile(`\b(?:card|cardboard|paper|wood|stick|rag|cloth)\b`)
	forbids  = regexp.MustCompile(`\b(?:never|not|don't|nobody|no one|without|instead|rather|forbidden|prohibited|dangerous|loses?|injur\w+|depressuri[sz]ed|without pressure)\b`)
)

// HandToPressure returns the words by which a text has a hand put to the end of
// a line, or pressure or a leak felt for, "" where none does or where the text
// forbids anything at all. It reads English, and few words of it.
//
// Source: common practice, no source.
func HandToPressure(text string) string {
	text = strings.ToLower(text)
	if forbids.MatchString(text) || withCard.MatchString(text) {
		return ""
	}
	if said := handTo.FindString(text); said != "" {
		return said
	}
	return feltFor.FindString(text)
}

// asserted returns the first match that the words before it do not deny, and
// the first that they do, with them.
func asserted(pattern *regexp.Regexp, text string) (match, denied string) {
	for _, at := range pattern.FindAllStringIndex(text, -1) {
		no := negated.FindStringIndex(text[:at[0]])
		switch {
		case no == nil && match == "":
			match = text[at[0]:at[1]]
		case no != nil && denied == "":
			denied = text[no[0]:at[1]]
		}
	}
	return match, denied
}

// works are the words of kinds that have no opposite; like those of wordings
// they tell whose text a text is. Common practice, no source.
var works = map[string]*regexp.Regexp{
	"brief":       regexp.MustCompile(`\b(?:go through|brief|explain|talk|every energy|out of use)\b`),
	"drill":       regexp.MustCompile(`\b(?:drill|deburr|holes?|template)\b`),
	"prime":       regexp.MustCompile(`\b(?:bleed|pump|elements?)\b`),
	"prime-line":  regexp.MustCompile(`\b(?:lines?|tubes?|hoses?|ends?)\b`),
	"tell-people": regexp.MustCompile(`\b(?:tell|inform|announce|call)\b`),
	"test-run":    regexp.MustCompile(`\b(?:run|cycle|button|start)\b`),
	"leak-check":  regexp.MustCompile(`\b(?:leaks?|leaking|joints?|connections?|dry|tight)\b`),
	"slack-check": regexp.MustCompile(`\b(?:spans?|slack|lock to lock|full lock|travel|loops?)\b`),
}

// speaksOf reports whether a text has a word of the work of a kind.
func speaksOf(kind, text string) bool {
	if own := works[kind]; own != nil {
		return own.MatchString(text)
	}
	w, known := wordings[kind]
	return known && w.own.MatchString(text)
}

// tells reports whether it is known what the text of a kind speaks of.
func tells(kind string) bool {
	_, worded := wordings[kind]
	return worded || works[kind] != nil
}

// Misplaced returns, for each step, the index of the step whose text it seems to
// have, -1 where it seems to have its own: it speaks of nothing of its own kind
// and of the other's, and the other has its text or the same one. It reads
// English, and few words of it.
func Misplaced(kinds, texts []string) []int {
	out, stray, lower := make([]int, len(kinds)), make([]bool, len(kinds)), make([]string, len(kinds))
	for i, kind := range kinds {
		lower[i] = strings.ToLower(texts[i])
		stray[i] = tells(kind) && lower[i] != "" && !speaksOf(kind, lower[i])
	}
	strange := func(i, of int) bool { return stray[i] && speaksOf(kinds[of], lower[i]) }
	for i := range kinds {
		out[i] = -1
		for j := range kinds {
			if i == j || kinds[i] == kinds[j] || !strange(i, j) {
				continue
			}
			if texts[i] == texts[j] || strange(j, i) {
				out[i] = j
				break
			}
		}
	}
	return out
}

// Which lead of a battery a clause speaks of, and when it is to be handled.
var (
	earthLead = regexp.MustCompile(`\b(?:earth|earthed|ground|grounded|negative|minus|frame|chassis)\b`)
	liveLead  = regexp.MustCompile(`\b(?:live|positive|plus|hot)\b`)
	isFirst   = regexp.MustCompile(`\bfirst\b`)
	isLast    = regexp.MustCompile(`\b(?:last|after|then|second)\b`)
	before    = regexp.MustCompile(`^(.*)\b(before|after)\b(.*)$`)
	clauses   = regexp.MustCompile(`[.;,:]| and | then `)
)

// wrongLead returns the clause of a text that takes the leads of a battery in
// the wrong order: the earthed one comes off first and goes on last, so that a
// spanner that touches the frame closes no circuit. Common practice, no source.
func wrongLead(kind, text string) string {
	off := kind == "isolate-battery"
	if !off && kind != "reconnect-battery" {
		return ""
	}
	for _, c := range clauses.Split(text, -1) {
		earth, live := earthLead.MatchString(c), liveLead.MatchString(c)
		if m := before.FindStringSubmatch(c); m != nil && earth && live {
			earthAhead := earthLead.MatchString(m[1]) == (m[2] == "before")
			if earthAhead != off {
				return strings.TrimSpace(c)
			}
			continue
		}
		if earth == live {
			continue
		}
		first, last := isFirst.MatchString(c), isLast.MatchString(c)
		if first != last && (first == earth) != off {
			return strings.TrimSpace(c)
		}
	}
	return ""
}

// Ends of a vehicle that a text may name.
var (
	frontEnd = regexp.MustCompile(`\b(?:front|steered|steering)\b`)
	rearEnd  = regexp.MustCompile(`\b(?:rear|back|driven|drive) (?:\w+ )?(?:wheels?|axles?)\b`)
	allEnds  = regexp.MustCompile(`\b(?:all|every|each|both axles|other)\b`)
	raises   = regexp.MustCompile(`\b(?:lift|lifts|raise|jack|take|stands?|off)\b`)
)

// end is the end of the vehicle that a text names alone, "" where it names
// none or both.
func end(text string) string {
	front, rear := frontEnd.MatchString(text), rearEnd.MatchString(text)
	switch {
	case front == rear || allEnds.MatchString(text):
		return ""
	case front:
		return "front"
	}
	return "rear"
}

// Ends says which end of the vehicle is lifted.
type Ends struct {
	Lifted string // as the step says, of one that contradicts the others
	Others string // as the others say
	At     int    // the place of the first of those
}

// LiftedEnds returns, for each step, whether its text contradicts those of the
// others about which end of the vehicle is lifted: a chock tells it by the
// wheels that stay on the ground, a support by the axle that is put on stands,
// and a wheel by coming off or going on. The one that most steps say is
// believed; of as many on either side the first chock is named. It reads
// English, and few words of it.
//
// Source: common practice, no source.
func LiftedEnds(kinds, texts []string) []Ends {
	out := make([]Ends, len(kinds))
	said := make([]string, len(kinds))
	count := map[string]int{}
	chock := -1
	for i, kind := range kinds {
		said[i] = liftedEnd(kind, strings.ToLower(texts[i]))
		count[said[i]]++
		if chock < 0 && kind == "chock" && said[i] != "" {
			chock = i
		}
	}
	if count["front"] == 0 || count["rear"] == 0 || chock < 0 {
		return out
	}
	believed := otherEnd[said[chock]]
	if count["front"] != count["rear"] {
		believed = "front"
		if count["rear"] > count["front"] {
			believed = "rear"
		}
	}
	for i, end := range said {
		if end != "" && end != believed {
			out[i] = Ends{end, believed, slices.Index(said, believed)}
		}
	}
	return out
}

var otherEnd = map[string]string{"front": "rear", "rear": "front"}

// liftedEnd is the end of the vehicle that is lifted by what a step says, ""
// where it says nothing of it.
func liftedEnd(kind, text string) string {
	switch kind {
	case "chock":
		return otherEnd[end(text)]
	case "support", "remove-wheel":
		if raises.MatchString(text) {
			return end(text)
		}
	case "refit-wheel":
		return end(text)
	}
	return ""
}

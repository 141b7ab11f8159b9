package propose

import (
	"bytes"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"kitgauge/checker"
	"kitgauge/checker/document"
	"kitgauge/checker/facts"
	"kitgauge/checker/finding"
	"kitgauge/checker/kit"
	"kitgauge/checker/source"
	"kitgauge/checker/survey"
	"kitgauge/checker/units"
)

// planner decides one thing after the other; the document is made of what is
// decided so far, and checked as often as a decision needs it.
type planner struct {
	part    *survey.Part
	options Options
	checker *checker.Checker
	began   time.Time
	checks  int // of the kit so far
	bytes   int // that were checked
	config  *checker.Config
	base    *kit.Kit    // the survey alone, with its stations as one bundle
	stock   facts.Stock // of the catalogues, for the air of the vehicle
	err     error
	open    []Open

	pump    pump
	tube    string
	lines   []*line
	bundles []*bundle
	feed    feed
	list    []row

	unthreaded []Open // ends whose thread no fitting has
}

// pump is what is decided of the pump.
type pump struct {
	part, grease, bolts string
	boltCount           int64
	pause               float64 // s
	strokes             int
	run                 float64 // s; 0 where the timer counts strokes
	filled, first       float64 // m3; 0 where it is not decided
	outlets             int
}

// feed is what is decided of the feed.
type feed struct {
	fuse, cable string
	connectors  []string
}

// row is a row of the parts list.
type row struct {
	part           string
	quantity       int64
	length, volume string
}

// bundle is tubes that go one way together.
type bundle struct {
	id, name, conduit string
	route             []*station
}

// station is a station on a route.
type station struct {
	members document.Object // as surveyed
	at      *kit.Station
	id      string
	free    float64   // m; 0 where it is on the body of the one before
	ties    []float64 // m, from the one before
}

// line is one tube.
type line struct {
	point                      *kit.Point
	bundle                     *bundle // nil where it is single
	leaves                     int     // station of the bundle
	tail                       []*station
	lastFree                   float64
	lastTies                   []float64
	cut                        float64
	note                       string
	untubed                    string // why its tube is left open, "" where it is not
	element, pumpEnd, pointEnd string
}

// begin reads the survey as a kit without lines.
func (p *planner) begin() error {
	r := p.check()
	if p.err != nil {
		return p.err
	}
	for _, f := range r.Findings {
		if f.Rule == "file/catalogue" && p.parts(r) == 0 {
			return &Unread{f.Message}
		}
	}
	p.base, p.stock = r.Facts.Kit, r.Facts.Stock
	p.config, p.err = p.checker.Config(p.options.File)
	return p.err
}

// Unread is the error of a catalogue that could not be read, or of a kit that
// could not be checked to its end.
type Unread struct{ Why string }

// Error says why.
func (u *Unread) Error() string { return u.Why }

func (p *planner) parts(r *checker.Result) int {
	n := 0
	for _, kind := range kit.Kinds() {
		n += len(r.Facts.Kit.Parts.OfKind(kind))
	}
	return n
}

// check checks the kit as far as it is decided: by all rules that apply, as the
// settings may name any of them.
func (p *planner) check() *checker.Result {
	var b bytes.Buffer
	document.YAML(&b, p.document())
	if p.err = p.spend(b.Len()); p.err != nil {
		return nil
	}
	results, err := p.checker.Check(p.options.File, b.Bytes())
	if err != nil {
		p.err = err
		return nil
	}
	r := results[0]
	for i := range r.Findings {
		if f := &r.Findings[i]; f.Rule == "file/time" {
			p.err = &Unread{"no kit is proposed: " + f.Message + "; allow it more time (--time-limit)"}
			return nil
		}
	}
	if r.Facts == nil {
		p.err = &Unread{"the kit that is proposed cannot be read: " + r.Findings[0].Message}
	}
	return r
}

// What a proposal may take, beside the time that is allowed for it. A survey of
// 34 points takes some 50 checks.
const (
	mostChecks = 1000
	mostBytes  = 200 << 20 // of the kits that are checked
)

// spend counts a check; the error says that there may be none.
func (p *planner) spend(bytes int) error {
	if limit := p.options.Time; limit > 0 && time.Since(p.began) > limit {
		return &Unread{fmt.Sprintf("no kit is proposed: it took longer than %s; allow it more time (--time-limit), or survey the vehicle in two parts", limit)}
	}
	if p.checks == mostChecks || p.bytes+bytes > mostBytes {
		return &Unread{fmt.Sprintf("no kit is proposed: it took %d checks, and may take no more; survey the vehicle in two parts", p.checks)}
	}
	p.checks++
	p.bytes += bytes
	return nil
}

// facts works out the kit as far as it is decided.
func (p *planner) facts() *facts.Kit {
	r := p.check()
	if r == nil || r.Facts == nil {
		return nil
	}
	return r.Facts
}

// limit is that of a rule pack, in SI; 0 where no pack sets it.
func (p *planner) limit(id string) float64 { return p.config.Limit(id).V }

// weight is how much some packs find: a graver finding outweighs ten of the next.
func weight(r *checker.Result, packs ...string) int {
	sum := 0
	for _, f := range r.Findings {
		if !of(&f, packs...) || f.Status != finding.Violated && f.Status != finding.NotEvaluated {
			continue
		}
		sum += map[finding.Severity]int{finding.Minor: 1, finding.Major: 10, finding.Critical: 100}[f.Severity]
	}
	return sum
}

// of reports whether a finding is that of one of some packs.
func of(f *finding.Finding, packs ...string) bool {
	pack, _, _ := strings.Cut(f.Rule, "/")
	return slices.Contains(packs, pack)
}

// choose sets one of n candidates: the first with which some packs find the
// least, and nothing is tried after one with which they find nothing.
func (p *planner) choose(n int, set func(i int), packs ...string) {
	best, least := -1, 0
	for i := range n {
		set(i)
		r := p.check()
		if p.err != nil {
			return
		}
		found := weight(r, packs...)
		if best < 0 || found < least {
			best, least = i, found
		}
		if found == 0 {
			break
		}
	}
	if best >= 0 {
		set(best)
	}
}

// leave notes what is left to a person.
func (p *planner) leave(place, at, says string) {
	o := Open{Place: place, Says: says}
	if at != "" {
		o.at = []string{at}
	}
	p.open = append(p.open, o)
}

// family is that in which the kit is drawn.
func (p *planner) family() units.Family {
	if p.base == nil {
		return units.Metric
	}
	return p.base.Family()
}

// length writes one in the unit of the bench.
func (p *planner) length(si float64) string {
	if p.family() == units.Inch {
		return in(si, "in")
	}
	return in(si, "mm")
}

// in writes a value in a unit, without what a conversion leaves behind.
func in(si float64, symbol string) string {
	u, _ := units.Lookup(symbol)
	const digits = 10
	x, _ := strconv.ParseFloat(strconv.FormatFloat(si/u.Factor-u.Offset, 'g', digits, 64), 64)
	return strconv.FormatFloat(x+0, 'f', -1, 64) + " " + symbol
}

// mark puts a remark at the member to which a pointer leads, or at the nearest
// around it; false where there is none.
func mark(root document.Object, pointer, remark string) bool {
	var holder document.Object
	at := -1
	var v any = root
	for _, key := range source.Keys(pointer) {
		if r, is := v.(document.Remarked); is {
			v = r.Value
		}
		switch in := v.(type) {
		case document.Object:
			i := slices.IndexFunc(in, func(m document.Member) bool { return m.Key == key })
			if i < 0 {
				v = nil
				break
			}
			holder, at, v = in, i, in[i].Value
		case document.List:
			i, err := strconv.Atoi(key)
			if err != nil || i >= len(in) {
				v = nil
				break
			}
			if v = in[i]; v != nil {
				if o, is := v.(document.Object); is && len(o) > 0 {
					holder, at = o, 0
				}
			}
		default:
			v = nil
		}
		if v == nil {
			break
		}
	}
	if at < 0 {
		return false
	}
	value, before := holder[at].Value, ""
	if r, is := value.(document.Remarked); is {
		value, before = r.Value, r.Remark+"; "
	}
	if !strings.Contains(before, remark) {
		holder[at].Value = document.Remarked{Value: value, Remark: before + remark}
	}
	return true
}

func (p *planner) inch() bool { return p.family() == units.Inch }

package preview

import (
	"cmp"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

	"kitgauge/checker/facts"
	"kitgauge/checker/finding"
	"kitgauge/checker/kit"
	"kitgauge/checker/report"
	"kitgauge/checker/report/drawing"
	"kitgauge/checker/units"
	"kitgauge/checker/value"
)

// Picture is a kit that can be drawn, with its joints anywhere.
type Picture struct {
	kit     *facts.Kit
	draw    drawing.Input
	svg     string // the views at rest
	joints  []joint
	spans   []spanEnds
	things  []thingName
	details []detail
	figures map[string][]thing // by the place in the file
	found   map[string]bool    // the places at which the check found something
}

// detail is a detail of the drawing.
type detail struct {
	Letter string `json:"letter"`
	Shows  string `json:"shows"`
}

// joint is a slider.
type joint struct {
	Name string  `json:"name"`
	At   string  `json:"at"`
	Role string  `json:"role"`
	From float64 `json:"from"` // SI
	To   float64 `json:"to"`
	Low  string  `json:"low"` // the ends, in the kit's units
	High string  `json:"high"`
	Why  string  `json:"why"` // it cannot be moved; "" where it can
}

// spanEnds is how the joints stand where a span is at its ends.
type spanEnds struct {
	Place    string    `json:"place"`
	At       string    `json:"at"`
	Longest  []float64 `json:"longest"`
	Shortest []float64 `json:"shortest"`
}

func newPicture(in *Input) (*Picture, error) {
	p := &Picture{kit: in.Facts, figures: map[string][]thing{}, found: map[string]bool{}}
	ordered := in.Run.Kits[0].Ordered()
	p.draw = drawing.Input{Kit: in.Facts, Findings: in.Run.Kits[0].Findings, ID: "plan", Link: func(f *finding.Finding) string {
		return "#" + idOf(ordered.Number(f))
	}, Enlarged: func(letter string) string { return "#detail-" + letter }}
	var err error
	if p.svg, err = svg(func(w io.Writer) error { return drawing.Views(w, p.draw) }); err != nil {
		return nil, fmt.Errorf("the kit cannot be drawn: %w", err)
	}
	for _, d := range drawing.Details(in.Facts) {
		p.details = append(p.details, detail{d.Letter, d.Shows})
	}
	for i := range ordered.List {
		if f := &ordered.List[i]; f.Status != finding.NotEvaluated {
			p.found[f.Place] = true
		}
	}
	for _, j := range p.kit.Joints {
		p.joints = append(p.joints, p.joint(j))
	}
	for _, s := range p.kit.Spans {
		p.spans = append(p.spans, spanEnds{s.Place(), s.Source().Pointer(), p.kit.Extreme(s, true), p.kit.Extreme(s, false)})
	}
	p.lookUp(in.Run.Kits[0].Figures)
	return p, nil
}

func (p *Picture) joint(j *facts.Joint) joint {
	dim := units.Angle
	if j.Kind.V == "prismatic" {
		dim = units.Length
	}
	out := joint{Name: j.Label(), At: j.Node.Pointer(), Role: j.Role.V}
	m, err := j.Moves()
	if err != nil {
		out.Why = err.Error()
		return out
	}
	if !(m.From < m.To) {
		out.Why = "its range has no width"
		return out
	}
	out.From, out.To = m.From, m.To
	out.Low, out.High = units.Format(m.From, dim, p.kit.Family()), units.Format(m.To, dim, p.kit.Family())
	return out
}

// posed is what the page shows of a pose.
type posed struct {
	Joints []string    `json:"joints"` // how each stands
	Rest   bool        `json:"rest"`
	Slack  nearest     `json:"slack"`
	Gap    nearest     `json:"gap"`
	More   int         `json:"more"` // spans that are not listed
	Spans  []spanPosed `json:"spans"`
	Gaps   []gapPosed  `json:"gaps"`
}

// nearest is where something is least.
type nearest struct {
	Text  string `json:"text"` // "" where there is none
	Place string `json:"place"`
	Range string `json:"range"` // the least of all over the range of all joints
	Where string `json:"where"` // the place of that
	But   string `json:"but"`   // what is left out; "" where nothing is
}

// mostSpans is how many spans are listed: of more, those with the least slack.
const mostSpans = 60

// spanPosed is a span in a pose, with what it comes to over the range.
type spanPosed struct {
	Index       int    `json:"index"` // of the state's
	Place       string `json:"place"`
	At          string `json:"at"`
	Apart       string `json:"apart"`
	Slack       string `json:"slack"`
	SlackRange  string `json:"slackRange"`
	Radius      string `json:"radius"`
	RadiusRange string `json:"radiusRange"`
	RadiusLeast string `json:"radiusLeast"` // that the tubes take
	Says        string `json:"says"`        // what is wrong there; "" where nothing is
	Alarm       bool   `json:"alarm"`       // the check has found something of it
}

// gapPosed is a piece of a route near a zone.
type gapPosed struct {
	Place    string `json:"place"`
	At       string `json:"at"`
	Distance string `json:"distance"`
	Range    string `json:"range"`
	Keep     string `json:"keep"`
	Says     string `json:"says"`
	Alarm    bool   `json:"alarm"` // as of a span
}

func (p *Picture) pose(q []float64) ([]byte, error) {
	pose, err := p.kit.Pose(q)
	if err != nil {
		return nil, err
	}
	out := posed{Rest: pose.Rest()}
	for _, j := range p.kit.Joints {
		out.Joints = append(out.Joints, pose.Stands(j))
	}
	var spans []facts.SpanPose
	for _, s := range p.kit.Spans {
		spans = append(spans, pose.Span(s))
	}
	p.spansOf(&out, spans)
	p.gapsOf(&out, pose.Gaps(spans))
	drawn, err := svg(func(w io.Writer) error {
		return drawing.Posed(w, drawing.Input{Kit: p.kit, ID: "pose"}, &drawing.Pose{Pose: pose, Spans: spans})
	})
	if err != nil {
		return nil, fmt.Errorf("the kit cannot be drawn: %w", err)
	}
	return answer(&out, drawn)
}

func (p *Picture) spansOf(out *posed, spans []facts.SpanPose) {
	least, leastOver, over := math.Inf(1), math.Inf(1), nearest{}
	for i := range spans {
		s := &spans[i]
		one := spanPosed{
			Index: i, Place: s.Span.Place(), At: s.Span.Source().Pointer(), Apart: p.length(s.Apart),
			Slack: p.length(s.Slack), SlackRange: p.length(s.Span.Slack),
			Radius: p.length(s.Radius), RadiusRange: p.length(s.Span.LoopRadius), RadiusLeast: p.length(s.Span.BendRadius),
		}
		switch {
		case s.Slack.Known && s.Slack.V < 0:
			one.Says = "too short here"
		case s.Radius.Known && s.Span.BendRadius.Known && s.Radius.V < s.Span.BendRadius.V:
			one.Says = "bent tighter than " + one.RadiusLeast
		}
		if s.Slack.Known && s.Slack.V < least {
			least = s.Slack.V
			out.Slack = nearest{Text: one.Slack, Place: one.Place}
		}
		if s.Span.Slack.Known && s.Span.Slack.V < leastOver {
			leastOver = s.Span.Slack.V
			over = nearest{Range: one.SlackRange, Where: one.Place}
		}
		one.Alarm = one.Says != "" && p.found[one.Place]
		out.Spans = append(out.Spans, one)
	}
	out.Slack.Range, out.Slack.Where = over.Range, over.Where
	if out.More = len(spans) - mostSpans; out.More <= 0 {
		out.More = 0
		return
	}
	slices.SortStableFunc(out.Spans, func(a, b spanPosed) int {
		return cmp.Compare(slackRoom(&spans[a.Index]), slackRoom(&spans[b.Index]))
	})
	out.Spans = out.Spans[:mostSpans]
}

// slackRoom is the slack of a span, for an order.
func slackRoom(s *facts.SpanPose) float64 {
	if !s.Slack.Known {
		return math.Inf(1)
	}
	return s.Slack.V
}

func (p *Picture) gapsOf(out *posed, gaps []facts.Gap) {
	const listed = 120
	slices.SortStableFunc(gaps, func(a, b facts.Gap) int { return cmp.Compare(room(&a), room(&b)) })
	least, leastOver, over, lined := math.Inf(1), math.Inf(1), nearest{}, 0
	for i := range gaps {
		g := &gaps[i]
		one := p.gapPosed(g)
		switch {
		case g.Lining != "":
			lined++
		case g.Distance.Known && g.Distance.V < least:
			least = g.Distance.V
			out.Gap = nearest{Text: one.Distance, Place: one.Place}
		}
		if d := g.Approach.Distance; g.Lining == "" && d.Known && d.V < leastOver {
			leastOver = d.V
			over = nearest{Range: one.Range, Where: one.Place}
		}
		if i < listed {
			out.Gaps = append(out.Gaps, one)
		}
	}
	out.Gap.Range, out.Gap.Where = over.Range, over.Where
	if lined > 0 {
		out.Gap.But = report.Count(lined, "passage with a grommet", "passages with a grommet") + " left out"
	}
}

func (p *Picture) gapPosed(g *facts.Gap) gapPosed {
	one := gapPosed{Place: g.Approach.Place(), Distance: p.length(g.Distance), Range: p.length(g.Approach.Distance), Keep: p.length(value.Known(g.Keep))}
	if n := g.Approach.Source(); n != nil {
		one.At = n.Pointer()
	}
	switch {
	case g.Lining != "" && g.Distance.V <= 0:
		one.Says = "passes through, protected by " + g.Lining
	case g.Lining != "":
		one.Says = "protected by " + g.Lining
	case g.Distance.Known && g.Distance.V < g.Keep:
		one.Says = "nearer than " + one.Keep
		one.Alarm = p.found[one.Place]
	}
	return one
}

// room is how much farther a piece is than is asked for, to 0.1 mm, so that the
// order does not hang on the last bit. Of a passage with its grommet nothing is
// asked.
func room(g *facts.Gap) float64 {
	if !g.Distance.Known || g.Lining != "" {
		return math.Inf(1)
	}
	return math.Round((g.Distance.V - g.Keep) * 1e4)
}

// length writes a length in the kit's units, or why there is none.
func (p *Picture) length(v value.Number) string {
	if !v.Known {
		return v.Reason("it")
	}
	return units.Format(v.V, units.Length, p.kit.Family())
}

// thing is something of the kit with its figures.
type thing struct {
	Kind    string   `json:"kind"`
	Place   string   `json:"place"`
	Figures []figure `json:"figures"`
	subject value.Subject
}

// figure is a quantity. One that depends on how the joints stand is told over
// their whole range, and as they stand.
type figure struct {
	Name   string    `json:"name"`
	Text   string    `json:"text"`   // "" where it is told as the joints stand alone
	Now    string    `json:"now"`    // "" where it does not depend on them
	Over   string    `json:"over"`   // "least over the range of all joints"
	Stands string    `json:"stands"` // as the joints stand there: "left kingpin at -38 deg"
	Stand  []float64 `json:"stand"`
}

// thingName is something that can be looked up.
type thingName struct {
	Kind  string `json:"kind"`
	Place string `json:"place"`
	At    string `json:"at"`
}

// listed are the kinds of things that the page lists by name; what else was
// computed is shown with them.
var listed = []string{"point", "line", "bundle", "span", "station", "joint", "zone", "pump"}

// lookUp finds the figures of everything that stands in the kit's own file.
func (p *Picture) lookUp(all []report.Figures) {
	figures := map[[2]string]report.Figures{}
	for _, f := range all {
		if _, twice := figures[[2]string{f.Kind, f.Place}]; !twice {
			figures[[2]string{f.Kind, f.Place}] = f
		}
	}
	file := ""
	if p.kit.Node != nil {
		file = p.kit.Node.Pos().File
	}
	for _, kind := range facts.Kinds() {
		for _, s := range p.kit.Subjects(kind.Name) {
			n := s.Source()
			if n == nil || n.Pos().File != file || kind.Name == "kit" {
				continue
			}
			at := n.Pointer()
			if slices.Contains(listed, kind.Name) {
				p.things = append(p.things, thingName{kind.Name, s.Place(), at})
			}
			if one := p.newThing(s, figures[[2]string{kind.Name, s.Place()}]); len(one.Figures) > 0 {
				p.figures[at] = append(p.figures[at], one)
			}
		}
	}
	slices.SortStableFunc(p.things, func(a, b thingName) int {
		return slices.Index(listed, a.Kind) - slices.Index(listed, b.Kind)
	})
}

func (p *Picture) newThing(of value.Subject, f report.Figures) thing {
	one := thing{Kind: f.Kind, Place: f.Place, subject: of}
	extents := p.kit.Extents(of)
	for _, is := range f.Figures {
		next := figure{Name: is.Name, Text: is.Amount.Text}
		if is.Why != "" {
			next.Text = "not known: " + is.Why
		}
		if e, ranges := extents[strings.ReplaceAll(is.Name, " ", "_")]; ranges && is.Why == "" && e.Words != "" {
			next.Over, next.Stands, next.Stand = over(e), e.Words, e.At
		}
		one.Figures = append(one.Figures, next)
	}
	return one
}

// over tells what a figure is of the range of all joints.
func over(e facts.Extent) string {
	return map[bool]string{true: "most", false: "least"}[e.Most] + " over the range of all joints"
}

// as is the thing with what its figures come to in a pose.
func (t thing) as(p *Picture, pose *facts.Pose) thing {
	now := map[string]string{}
	t.Figures = slices.Clone(t.Figures)
	switch s := t.subject.(type) {
	case *facts.Span:
		in := pose.Span(s)
		now["slack"], now["loop radius"], now["loop sag"] = p.length(in.Slack), p.length(in.Radius), p.length(in.Sag)
		t.Figures = append([]figure{{Name: "distance of its ends", Now: p.length(in.Apart)}}, t.Figures...)
	case *facts.Approach:
		now["distance"] = p.length(pose.Gap(s).Distance)
	}
	for i := range t.Figures {
		if f := &t.Figures[i]; f.Over != "" {
			f.Now = now[f.Name]
		}
	}
	return t
}

// detail draws a detail.
func (p *Picture) detail(letter string) ([]byte, error) {
	drawn, err := svg(func(w io.Writer) error { return drawing.Detail(w, p.draw, letter) })
	if err != nil {
		return nil, err
	}
	return answer(&detail{Letter: letter}, drawn)
}

// figuresAt is what was computed of what stands at a place, and of the line or
// bundle that it belongs to.
func (p *Picture) figuresAt(pointer string, q []float64) ([]byte, error) {
	if q == nil {
		q = make([]float64, len(p.kit.Joints))
	}
	pose, err := p.kit.Pose(q)
	if err != nil {
		return nil, err
	}
	things := slices.Clone(p.figures[pointer])
	if whole := routeOf(p.kit.Kit, pointer); whole != pointer {
		things = append(things, p.figures[whole]...)
	}
	for i := range things {
		things[i] = things[i].as(p, pose)
	}
	return answer(&struct {
		Things []thing `json:"things"`
	}{things}, "")
}

// routeOf is the line or bundle that holds what stands at a place.
func routeOf(k *kit.Kit, pointer string) string {
	inside := func(whole string) bool { return len(pointer) > len(whole) && pointer[:len(whole)+1] == whole+"/" }
	for _, l := range k.Lines {
		if l.Node != nil && inside(l.Node.Pointer()) {
			return l.Node.Pointer()
		}
	}
	for _, b := range k.Bundles {
		if b.Node != nil && inside(b.Node.Pointer()) {
			return b.Node.Pointer()
		}
	}
	return pointer
}

package checker

import (
	"bytes"
	"cmp"
	"regexp"
	"runtime"
	"slices"
	"strings"

	"kitgauge/checker/engine"
	"kitgauge/checker/facts"
	"kitgauge/checker/finding"
	"kitgauge/checker/kit"
	"kitgauge/checker/slip"
	"kitgauge/checker/source"
	"kitgauge/rules"
	"kitgauge/schema"
)

// trials checks one kit again and again, with values of its own or of its
// catalogues changed or taken away: it tells what hangs on what.
type trials struct {
	of    *Result // whose kit it is
	in    *inputs
	watch *watch
	on    string // the day for which the kit was checked

	memory *facts.Memory // of what the trials work out alike
}

// tree reads the kit and its catalogues anew, for a caller who changes them.
func (t *trials) tree() slip.Tree {
	docs, _ := source.Parse(t.of.File, t.of.Text.Text)
	tree := slip.Tree{docs[t.of.Document]}
	for _, f := range t.in.catalogues {
		old := f.Node.Document()
		docs, _ := source.Parse(old.File, old.Text)
		tree = append(tree, docs[0])
	}
	return tree
}

// check is the check of a tree alone, of which one document was changed:
// without its concessions and what is known. It looks at the shape where that
// was at fault, and where not the whole is asked for at the rules alone of
// which something was found.
func (t *trials) check(tree slip.Tree, changed int, whole bool) slip.Checked {
	var found problems
	if t.hasFault("file/shape") {
		found.add("file/shape", schema.Validate("kit", tree[0].Root)...)
	}
	model, faults := kit.Read(tree[0])
	found.add("file/value", faults...)
	joined := t.in.catalogue
	if changed > 0 {
		files := slices.Clone(t.in.catalogues)
		files[changed-1], faults = kit.ReadFile(tree[changed])
		found.add("file/catalogue", faults...)
		joined, _ = kit.NewCatalogue(files, t.in.unread)
	}
	found.add("file/reference", model.Resolve(joined)...)
	config := *t.in.config
	config.options.Judged = true
	if !whole {
		config.Packs = t.concerned()
	}
	known := facts.Compute(model, facts.Options{Limit: config.Limit, On: t.on, Stop: t.watch.over, Memory: t.memory, Packs: names(config.Packs)})
	outcome, err := evaluate(known, &config, t.watch)
	if err != nil {
		return slip.Checked{}
	}
	return slip.Checked{Findings: sorted(append(found.findings, outcome.Findings...)), Judged: outcome.Judged}
}

// hasFault reports whether the kit has a finding of a rule.
func (t *trials) hasFault(rule string) bool {
	return slices.ContainsFunc(t.of.Findings, func(f finding.Finding) bool { return f.Rule == rule })
}

// names are those of packs; nil, which is all, where one is not built in and
// may look at anything.
func names(packs []*engine.Pack) []string {
	list := []string{}
	for _, p := range packs {
		if !slices.Contains(rules.Names(), p.Name) {
			return nil
		}
		list = append(list, p.Name)
	}
	return list
}

// concerned are the packs of which something was found.
func (t *trials) concerned() []*engine.Pack {
	return slices.DeleteFunc(slices.Clone(t.in.config.Packs), func(p *engine.Pack) bool {
		return !slices.ContainsFunc(t.of.Findings, func(f finding.Finding) bool { return strings.HasPrefix(f.Rule, p.Name+"/") })
	})
}

// slips looks for the one slip that explains most of what was found, where
// that is much or grave.
func (t *trials) slips(o *Options) {
	r := t.of
	open, grave := 0, false
	for i := range r.Findings {
		if f := &r.Findings[i]; f.AtOrAbove(finding.Minor) {
			open++
			grave = grave || f.Severity == finding.Critical
		}
	}
	if o.Slips == 0 || open == 0 || r.weight() > mostWeight || open < many && !grave && !o.EverySlip {
		return
	}
	report := slip.Search(t.tree, r.Findings, t.check, slip.Options{
		Trials: int(float64(o.Slips) / r.weight()), Workers: runtime.GOMAXPROCS(0), Stop: t.watch.over,
		Choices: t.choices,
	})
	r.Slips = &report
}

// look looks for the slip behind whatever is found, once.
func (t *trials) look() *slip.Report {
	if t.of.Slips == nil {
		t.slips(&Options{Slips: slip.Usual, EverySlip: true})
	}
	return t.of.Slips
}

// choices are the parts of the kind of one, or the words of the schema.
func (t *trials) choices(n *source.Node) []string {
	if kin := t.in.catalogue.Kin(n.Scalar); kin != nil || n.Document().File != t.of.File {
		return kin
	}
	return schema.Choices("kit", n)
}

// usualSize is that of a kit of 34 points, in bytes, usualSpent what the
// searches over its joints take, and usualFindings are as many as one slip in
// it may bring. usualSpans are its free spans, and usualSteps what rules of one's
// own may take while a check takes no longer than without.
const (
	usualSize     = 40_000
	usualSpent    = 30_000
	usualFindings = 100
	usualSpans    = 50
	usualSteps    = 50_000
)

// weight is how much dearer a trial is than one of a usual kit: as much less
// often the kit is checked again.
func (r *Result) weight() float64 {
	return max(1, float64(len(r.Text.Text))/usualSize, float64(len(r.Findings))/usualFindings, float64(r.Facts.Spent())/usualSpent,
		float64(len(r.Facts.Spans))/usualSpans, float64(r.Steps)/usualSteps)
}

// mostWeight is how much dearer than usual a trial may be: of a dearer one there
// would be too few to find anything.
const mostWeight = 20

// many is how many findings make it likely that one slip is behind them:
// common practice, no source.
const many = 4

// mostCauses is how many findings are looked at as the cause of others.
const mostCauses = 20

// relate says which findings follow from another: those that can no longer be
// made when the value of which a cause says that it is wrong is taken away,
// and those that were not evaluated for the same reason.
func (t *trials) relate() {
	r := t.of
	if r.relateToWhole() {
		return
	}
	r.relateReasons()
	defer r.onlyCauses()
	if r.weight() > mostWeight {
		return
	}
	var tree slip.Tree // made for the first cause
	looked := 0
	for _, i := range r.causes() {
		cause := &r.Findings[i]
		if cause.Follows != "" || cause.Status != finding.Violated || !r.othersBeside(cause) {
			continue
		}
		if looked++; float64(looked)*r.weight() > mostCauses || t.watch.over() {
			return
		}
		if tree == nil {
			tree = t.tree()
		}
		t.relateTo(cause, tree)
	}
}

// causes are the places of the causes in the list of what was found: first what
// a catalogue lists, then names given twice, then what was measured, then what is a cause only where
// nothing else is: the cut lengths of a whole bundle rest on the station or the
// free length that is wrong.
func (r *Result) causes() []int {
	var listed, first, then []int
	for i := range r.Findings {
		switch f := &r.Findings[i]; {
		case !f.Cause:
		case f.Pos.File != r.File:
			listed = append(listed, i)
		case !f.LastCause:
			first = append(first, i)
		case f.Severity >= finding.Major && strings.HasPrefix(f.Pointer, "/bundles/"):
			then = append(then, i)
		}
	}
	twice := func(i int) bool { return slip.Twice(r.Text.Root.Lookup(r.Findings[i].Pointer)) }
	slices.SortStableFunc(first, func(a, b int) int { return one(twice(b)) - one(twice(a)) })
	return slices.Concat(listed, first, then)
}

func one(is bool) int {
	if is {
		return 1
	}
	return 0
}

// leastOfWay is how many findings have to rest on a station of a bundle before
// it is taken for their cause: one alone may have another.
const leastOfWay = 2

// othersBeside reports whether there is a finding that may follow from one.
func (r *Result) othersBeside(cause *finding.Finding) bool {
	return slices.ContainsFunc(r.Findings, func(f finding.Finding) bool { return mayFollow(&f, cause) })
}

func mayFollow(f, cause *finding.Finding) bool {
	if f.Rule == "file/syntax" { // a trial does not read the text again
		return false
	}
	own := f.Cause && (!f.LastCause || cause.LastCause) && f.Pos.File == cause.Pos.File
	return f.Status == finding.Violated && !own && f.Follows == "" && f.Fingerprint != cause.Fingerprint
}

// onlyCauses leaves no finding about a way a cause from which nothing follows,
// nor one that follows itself.
func (r *Result) onlyCauses() {
	followed := map[string]bool{}
	for i := range r.Findings {
		followed[r.Findings[i].Follows] = true
	}
	for i := range r.Findings {
		f := &r.Findings[i]
		unread := f.Rule == "file/catalogue" && followed[f.Fingerprint]
		f.Cause = unread || f.Cause && (!f.LastCause || f.Follows == "" && followed[f.Fingerprint])
	}
}

// relateTo takes away what the cause is about, and looks what goes with it.
func (t *trials) relateTo(cause *finding.Finding, tree slip.Tree) {
	at := slices.IndexFunc(tree, func(d *source.Document) bool { return d.File == cause.Pos.File })
	if at < 0 {
		return
	}
	n := tree[at].Root.Lookup(cause.Pointer)
	if n == nil || n.Parent() == nil {
		return
	}
	if at > 0 { // of a part all figures: which of them is wrong is seldom sure
		for n.Parent().Kind == source.Map && n.Parent().Parent() != nil {
			n = n.Parent()
		}
	}
	var gone []*finding.Finding
	twice := slip.Twice(n)
	for _, change := range t.mended(n) {
		undo := change()
		if more := t.gone(cause, tree, at, twice); len(more) > len(gone) {
			gone = more
		}
		undo()
	}
	if cause.LastCause && len(gone) < leastOfWay {
		return
	}
	for _, f := range gone {
		f.Follows = cause.Fingerprint
	}
}

// mended are the changes that undo what a cause is about: its value is taken
// away or, where that is a name given twice in a list, the second thing gets
// one that is looked for and not there, or goes.
func (t *trials) mended(n *source.Node) []func() (undo func()) {
	if !slip.Twice(n) {
		return []func() func(){func() func() { return slip.Without(n) }}
	}
	list := []func() func(){func() func() { return slip.Dropped(n.Parent()) }}
	for _, name := range t.lookedFor(n) {
		list = append(list, func() func() { return slip.Renamed(n, name) })
	}
	return list
}

// mostNames is how many names are tried for a thing that has that of another.
const mostNames = 6

// lookedFor lists the names at what was found that no thing of a list has.
func (t *trials) lookedFor(n *source.Node) []string {
	var names []string
	root := t.of.Text.Root
	for i := range t.of.Findings {
		at := root.Lookup(t.of.Findings[i].Pointer)
		for _, key := range []string{"", n.Key(), "number", "id", "part"} {
			m := at
			if key != "" {
				m = at.Get(key)
			}
			if m != nil && m.Kind <= source.Text && m.Scalar != "" && !slices.Contains(names, m.Scalar) && !slip.HasName(n, m.Scalar) && len(names) < mostNames {
				names = append(names, m.Scalar)
			}
		}
	}
	return names
}

// gone are the findings that are no longer made of a tree. On a name given twice
// rests also what is else a cause itself: the second thing may be a copy.
func (t *trials) gone(cause *finding.Finding, tree slip.Tree, changed int, twice bool) []*finding.Finding {
	still := finding.Count(t.check(tree, changed, false).Findings, finding.Violated)
	var gone []*finding.Finding
	for i := range t.of.Findings {
		f := &t.of.Findings[i]
		if key := f.Key(); still[key] > 0 {
			still[key]--
			continue
		}
		if mayFollow(f, cause) || twice && f.Status == finding.Violated && f.Follows == "" && f.Fingerprint != cause.Fingerprint {
			gone = append(gone, f)
		}
	}
	return gone
}

// relateToWhole lets all follow from what is said of the whole file; it is
// false where nothing is.
func (r *Result) relateToWhole() bool {
	i := slices.IndexFunc(r.Findings, func(f finding.Finding) bool { return f.Cause && strings.HasPrefix(f.Rule, "file/") })
	if i < 0 {
		return false
	}
	for j := range r.Findings {
		if j != i {
			r.Findings[j].Follows = r.Findings[i].Fingerprint
		}
	}
	return true
}

// relateCatalogues relates what a kit is told of a catalogue that could not be
// read to the fault in that.
func (r *Result) relateCatalogues() {
	at := map[source.Pos]string{}
	for i := range r.Findings {
		if f := &r.Findings[i]; f.Rule == "file/catalogue" && len(f.Related) == 0 {
			at[f.Pos] = f.Fingerprint
		}
	}
	for i := range r.Findings {
		if f := &r.Findings[i]; f.Rule == "file/catalogue" && len(f.Related) > 0 {
			f.Follows = at[f.Related[0].Pos]
		}
	}
}

// relateUnread relates what is found of a line that cannot be read, or of a value
// that has no right form, to that.
func (r *Result) relateUnread() {
	lines, values := map[source.Pos]*finding.Finding{}, map[string]*finding.Finding{}
	for i := range r.Findings {
		f := &r.Findings[i]
		switch {
		case f.Status != finding.Violated || f.Pos.File != r.File || r.Text.Root == nil:
		case f.Rule == "file/syntax":
			lines[source.Pos{File: f.Pos.File, Line: f.Pos.Line}] = f
		case f.Rule == "file/shape" || f.Rule == "file/value":
			if n := r.Text.Root.Lookup(f.Pointer); n != nil && n.Kind < source.List {
				values[f.Pointer] = f
			}
		}
	}
	for i := range r.Findings {
		f := &r.Findings[i]
		cause := lines[source.Pos{File: f.Pos.File, Line: f.Pos.Line}]
		if cause == nil && !strings.HasPrefix(f.Rule, "file/") {
			cause = values[f.Pointer]
		}
		if cause != nil && cause != f && f.Rule != "file/syntax" && f.Status == finding.Violated && f.Follows == "" {
			f.Follows = cause.Fingerprint
		}
	}
	r.relateNames(lines)
}

// relateConcessions relates what a concession may have been granted for, which
// stands in a file that cannot be read in full, to what is wrong with that.
func (r *Result) relateConcessions(given []finding.Given) {
	i := slices.IndexFunc(r.Findings, func(f finding.Finding) bool { return f.Rule == "file/concessions" })
	at := slices.IndexFunc(r.Inputs, func(in Input) bool { return in.Role == RoleConcessions })
	if i < 0 || at < 0 {
		return
	}
	cause, text := r.Findings[i].Fingerprint, string(r.Inputs[at].Text)
	for i := range r.Findings {
		f := &r.Findings[i]
		if f.Status != finding.Violated || f.Follows != "" || !strings.Contains(text, f.Rule) || !strings.Contains(text, f.Place) && !strings.Contains(text, f.Pointer) {
			continue
		}
		if !slices.ContainsFunc(given, func(g finding.Given) bool { return g.Rule == f.Rule && (g.Place == f.Place || g.Place == f.Pointer) }) {
			f.Follows = cause
		}
	}
}

// relateNames relates names that lead nowhere to the line on which they stand and
// which cannot be read.
func (r *Result) relateNames(lines map[source.Pos]*finding.Finding) {
	if len(lines) == 0 {
		return
	}
	text := bytes.Split(r.Text.Text, []byte("\n"))
	for i := range r.Findings {
		f := &r.Findings[i]
		n := r.Text.Root.Lookup(f.Pointer)
		if f.Rule != "file/reference" || f.Follows != "" || n == nil || n.Scalar == "" {
			continue
		}
		name := regexp.MustCompile(`(^|[^\w-])` + regexp.QuoteMeta(n.Scalar) + `($|[^\w-])`)
		for at, cause := range lines {
			if at.Line >= 1 && at.Line <= len(text) && name.Match(text[at.Line-1]) && (f.Follows == "" || cause.Fingerprint < f.Follows) {
				f.Follows = cause.Fingerprint
			}
		}
	}
}

// quotes is the fingerprint of the fault of the file that a message gives as its
// reason; "" where it gives none.
func (r *Result) quotes(message string) string {
	for i := range r.Findings {
		if f := &r.Findings[i]; f.Rule == "file/value" && strings.Contains(message, f.Message) {
			return f.Fingerprint
		}
	}
	return ""
}

// relateReasons relates what was not evaluated to the fault that is the
// reason, or to the first that was not evaluated for the same.
func (r *Result) relateReasons() {
	first := map[string]string{} // fingerprints, by reason
	r.relateCatalogues()
	r.relateUnread()
	for _, f := range r.Findings {
		if strings.HasPrefix(f.Rule, "file/") && f.Status == finding.Violated && first[f.Message] == "" {
			first[f.Message] = cmp.Or(f.Follows, f.Fingerprint)
		}
	}
	for i := range r.Findings {
		f := &r.Findings[i]
		if f.Status == finding.Violated && f.Follows == "" && !strings.HasPrefix(f.Rule, "file/") {
			f.Follows = r.quotes(f.Message)
		}
		reason, is := strings.CutPrefix(f.Message, "not evaluated: ")
		if f.Status != finding.NotEvaluated || !is {
			continue
		}
		if of, known := first[reason]; known {
			f.Follows = of
			continue
		}
		first[reason] = f.Fingerprint
	}
}

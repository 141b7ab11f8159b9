package affected

import (
	"cmp"
	"context"
	"fmt"
	"maps"
	"path"
	"slices"
	"strings"

	"kitgauge/checker/files"
	"kitgauge/checker/settings"
	"kitgauge/checker/source"
	"kitgauge/checker/spelling"
)

// reasons says why a kit counts as changed; none where it does not.
func (f *finder) reasons(ctx context.Context, name string) ([]string, error) {
	file := f.path(name)
	if reason := f.own(file); reason != "" {
		return []string{reason}, nil
	}
	if !f.after.has(file) {
		return nil, nil // it came after the range, or the check will say that it is gone
	}
	var reasons []string
	if beside := files.ConcessionsBeside(file); beside != "" {
		if s := f.stateOf(beside); s.changed {
			reasons = append(reasons, "its file of concessions "+f.show(beside)+" "+s.verb())
		}
	}
	for _, also := range f.query.Also {
		if s := f.stateOf(f.path(also)); s.changed {
			reasons = append(reasons, also+" "+s.verb())
		}
	}
	if !f.deep {
		return reasons, nil
	}
	text, err := f.after.read(ctx, file)
	if err != nil {
		return append(reasons, "it cannot be read"), nil
	}
	more, err := f.settings(ctx, file)
	if err != nil {
		return nil, err
	}
	reasons = append(reasons, more...)
	docs, _ := source.Parse(file, text)
	for _, doc := range docs {
		reasons = append(reasons, f.catalogues(ctx, file, doc.Root)...)
	}
	return compact(reasons), ctx.Err()
}

// compact drops what stands there already.
func compact(list []string) []string {
	var kept []string
	seen := map[string]bool{}
	for _, text := range list {
		if !seen[text] {
			kept = append(kept, text)
		}
		seen[text] = true
	}
	return kept
}

// own says what became of the kit's own file, "" where it is as it was.
func (f *finder) own(file string) string {
	s := f.stateOf(file)
	switch {
	case !s.changed || s.status == 'D':
		return ""
	case s.from != "":
		return "it was renamed from " + f.show(s.from)
	case s.status == 'A':
		return "it is new"
	case s.status == 0:
		return s.how
	}
	return "it changed"
}

// verb says what became of another file.
func (s state) verb() string {
	switch {
	case s.opaque:
		return "may have changed: " + s.how
	case s.status == 'A':
		return "is new"
	case s.status == 'D':
		return "is gone"
	}
	return "changed"
}

// settings says what became of the settings that apply to a kit, and of the
// rule packs that they add.
func (f *finder) settings(ctx context.Context, file string) ([]string, error) {
	was, is := f.applying(f.before, file), f.applying(f.after, file)
	var reasons []string
	for _, name := range was {
		if !slices.Contains(is, name) {
			reasons = append(reasons, "the settings "+f.show(name)+" apply to it no more")
		}
	}
	for _, name := range is {
		if !slices.Contains(was, name) {
			reasons = append(reasons, "the settings "+f.show(name)+" apply to it now")
			continue
		}
		more, err := f.settingsFile(ctx, name)
		if err != nil {
			return nil, err
		}
		reasons = append(reasons, more...)
	}
	return reasons, nil
}

// settingsFile says what became of one settings file and of the rule packs that
// it adds.
func (f *finder) settingsFile(ctx context.Context, is string) ([]string, error) {
	if s := f.stateOf(is); s.changed {
		return []string{"its settings " + f.show(is) + " " + s.verb()}, nil
	}
	text, err := f.after.read(ctx, is)
	if err != nil {
		return nil, ctx.Err() // a check will say so
	}
	docs, _ := source.Parse(is, text)
	var reasons []string
	for _, doc := range docs {
		read, _ := settings.Read(doc)
		for _, pack := range read.Add {
			own := path.Join(path.Dir(is), pack.Scalar)
			if s := f.stateOf(own); s.changed {
				reasons = append(reasons, "its rule pack "+f.show(own)+" "+s.verb())
			}
		}
	}
	return reasons, nil
}

// applying lists the settings files that apply to a kit, the nearest first.
func (f *finder) applying(s *snapshot, file string) []string {
	if f.query.Settings != "" {
		if chosen := f.path(f.query.Settings); s.has(chosen) {
			return []string{chosen}
		}
		return nil
	}
	var list []string
	for dir := path.Dir(file); ; dir = path.Dir(dir) {
		if name := path.Join(dir, settings.FileName); s.there(name) {
			list = append(list, name)
		}
		if dir == "." {
			return list
		}
	}
}

// catalogues says what changed in the catalogues of a kit that it uses.
func (f *finder) catalogues(ctx context.Context, file string, kit *source.Node) []string {
	var names []string
	for _, n := range items(kit.Get("catalogues")) {
		names = append(names, n.Scalar)
	}
	is := f.is.follow(ctx, file, names)
	states := map[string]state{}
	for _, c := range is.files {
		if s := f.stateOf(c); s.changed {
			states[c] = s
		}
	}
	if len(states) == 0 {
		return nil // then the same names led to the same files before
	}
	was := f.was.follow(ctx, file, names)
	if whole := f.whole(ctx, was, is, states); len(whole) > 0 {
		return whole
	}
	used := map[string]bool{}
	scalars(kit, used)
	var list []difference
	for _, number := range union(was.held, is.held) {
		d, differs := compareHoldings(number, was.held[number], is.held[number])
		if !differs || !used[number] && !d.twice {
			continue
		}
		if _, changed := states[d.file]; !changed {
			d.verb += " by inclusion"
		}
		list = append(list, d)
	}
	return f.tell(list)
}

// whole says what concerns every kit that uses the catalogues.
func (f *finder) whole(ctx context.Context, was, is *stock, states map[string]state) []string {
	var reasons []string
	for _, c := range is.files {
		s, changed := states[c]
		switch {
		case !changed:
		case s.opaque:
			reasons = append(reasons, "its catalogue "+f.show(c)+" "+s.verb())
		case f.was.catalogue(ctx, c).unknown:
			reasons = append(reasons, "its catalogue "+f.show(c)+" changed, and what it was is not known here")
		case f.is.catalogue(ctx, c).missing:
			reasons = append(reasons, "its catalogue "+f.show(c)+" is gone")
		case f.was.catalogue(ctx, c).missing && slices.Contains(was.files, c):
			reasons = append(reasons, "its catalogue "+f.show(c)+" is new")
		case f.is.catalogue(ctx, c).faulty:
			reasons = append(reasons, "its catalogue "+f.show(c)+" changed and is faulty")
		case f.was.catalogue(ctx, c).faulty:
			reasons = append(reasons, "its catalogue "+f.show(c)+" changed and was faulty")
		}
	}
	if len(reasons) == 0 && !slices.Equal(was.faults, is.faults) {
		for _, c := range is.files {
			if _, changed := states[c]; changed {
				reasons = append(reasons, "its catalogue "+f.show(c)+" changed, and with it the files that are included")
			}
		}
	}
	return reasons
}

// scalars gathers all that is written in a kit.
func scalars(n *source.Node, used map[string]bool) {
	if n.Scalar != "" {
		used[n.Scalar] = true
	}
	for _, item := range n.Items {
		scalars(item, used)
	}
}

func union(a, b map[string][]holding) []string {
	all := slices.Collect(maps.Keys(a))
	for number := range b {
		if _, twice := a[number]; !twice {
			all = append(all, number)
		}
	}
	slices.SortFunc(all, spelling.Natural)
	return all
}

// difference is a part that is not as it was.
type difference struct {
	file, verb, number string
	twice              bool // it is or was listed twice, which concerns every kit
}

func compareHoldings(number string, was, is []holding) (difference, bool) {
	same := slices.EqualFunc(was, is, func(a, b holding) bool { return a.part == b.part })
	d := difference{number: number, twice: len(was) > 1 || len(is) > 1}
	switch {
	case same:
		return d, false
	case len(is) == 0:
		d.file, d.verb = was[0].file, "lost"
	case len(was) == 0:
		d.file, d.verb = is[0].file, "got"
	case len(is) > 1:
		d.file, d.verb = is[len(is)-1].file, "doubled"
	default:
		d.file, d.verb = is[0].file, "changed"
	}
	return d, true
}

// mostNamed is how many parts are named before the rest is only counted.
const mostNamed = 6

// sentences hold a catalogue, and parts.
var sentences = map[string]string{
	"changed":              "its catalogue %s changed %s",
	"doubled":              "its catalogue %s repeats %s",
	"got":                  "its catalogue %s now has %s",
	"lost":                 "its catalogue %s no longer has %s",
	"changed by inclusion": "its catalogue %s is now the only one with %s",
	"doubled by inclusion": "its catalogues now include %s, which repeats %s",
	"got by inclusion":     "its catalogues now include %s with %s",
	"lost by inclusion":    "its catalogues no longer include %s with %s",
}

// tell puts differences into words, a sentence for each file and kind.
func (f *finder) tell(list []difference) []string {
	type group struct{ file, verb string }
	var order []group
	numbers := map[group][]string{}
	for _, d := range list {
		g := group{d.file, d.verb}
		if numbers[g] == nil {
			order = append(order, g)
		}
		numbers[g] = append(numbers[g], d.number)
	}
	slices.SortFunc(order, func(a, b group) int {
		return cmp.Or(strings.Compare(a.file, b.file), strings.Compare(a.verb, b.verb))
	})
	var reasons []string
	for _, g := range order {
		parts := numbers[g]
		named := "part "
		if len(parts) > 1 {
			named = "parts "
		}
		named += strings.Join(parts[:min(len(parts), mostNamed)], ", ")
		if more := len(parts) - mostNamed; more > 0 {
			named += fmt.Sprintf(" and %d more", more)
		}
		reasons = append(reasons, fmt.Sprintf(sentences[g.verb], f.show(g.file), named))
	}
	return reasons
}

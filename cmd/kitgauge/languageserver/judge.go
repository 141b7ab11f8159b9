package languageserver

import (
	"context"
	"errors"
	"path/filepath"
	"slices"
	"sync"
	"time"

	"kitgauge/checker"
	"kitgauge/checker/files"
	"kitgauge/checker/finding"
	"kitgauge/checker/slip"
	"kitgauge/checker/source"
)

// What waits for a pause in typing.
const (
	// slipsAfter is how long nothing is typed before the one slip behind what is
	// found is looked for, which takes a second or two.
	slipsAfter = 700 * time.Millisecond
	// lookEvery is how often the files that open kits have read are looked at,
	// for changes that no editor tells of.
	lookEvery = 2 * time.Second
)

// running is a judgement that goes on.
type running struct {
	of     *document
	cancel context.CancelFunc
	began  time.Time
	search bool // it looks for slips
}

// young is how long a judgement goes on before it is let go on to its end, and
// then told of the text that it began with, although that was changed meanwhile:
// else nothing would be told of a large kit as long as one types.
const young = 50 * time.Millisecond

// givesWay reports whether a judgement is given up for what was changed.
func (r *running) givesWay() bool {
	return r.search || time.Since(r.began) < young && time.Since(r.of.told) < longestHeld
}

// judgement is what was found in a text.
type judgement struct {
	text    *text
	version int
	place   place
	checker *checker.Checker // nil of what is no kit
	store   *store           // what that has read
	results []*checker.Result
	faults  []*source.Problem // for which no kit can be checked; of a file that kits read, all
	strange bool              // it is not looked at
	slips   bool              // the one slip behind it was looked for, or there is nothing to explain

	mu    sync.Mutex
	texts map[string]*text // of the other files of the check, by path
}

// textOf is the text that was checked of a file, by the name that the check has
// for it; nil where it is not at hand.
func (j *judgement) textOf(file string) *text {
	path := j.place.path(file)
	if path == j.place.path(j.place.name) {
		return j.text
	}
	j.mu.Lock()
	defer j.mu.Unlock()
	if t := j.texts[path]; t != nil {
		return t
	}
	for _, r := range j.results {
		for _, in := range r.Inputs {
			if in.BuiltIn || j.place.path(in.Name) != path {
				continue
			}
			if j.texts == nil {
				j.texts = map[string]*text{}
			}
			j.texts[path] = newText(in.Text, j.text.encoding)
			return j.texts[path]
		}
	}
	if j.store != nil {
		return j.store.text(path)
	}
	return nil
}

// open reports whether something is found that is neither conceded nor known.
func (j *judgement) open() bool {
	return slices.ContainsFunc(j.results, func(r *checker.Result) bool {
		return slices.ContainsFunc(r.Findings, func(f finding.Finding) bool { return f.AtOrAbove(finding.Minor) })
	})
}

// explained reports whether one slip may be behind what is found.
func (j *judgement) explained() bool {
	return slices.ContainsFunc(j.results, func(r *checker.Result) bool { return r.Slips != nil && len(r.Slips.Best) > 0 })
}

// place is how a check names a file: relative to a directory.
type place struct{ dir, name string }

// path is that of a file that a check names.
func (p place) path(name string) string {
	if name = filepath.FromSlash(name); filepath.IsAbs(name) {
		return filepath.Clean(name)
	}
	return filepath.Join(p.dir, name)
}

// placeOf names a file relative to what the editor has open, or to the tree that
// holds it. The lock is held.
func (s *server) placeOf(path string) place {
	dir := ""
	for _, root := range s.roots {
		if files.Within(root, path) && len(root) > len(dir) {
			dir = root
		}
	}
	if dir == "" {
		dir, _ = files.Tree(filepath.Dir(path))
	}
	name, err := filepath.Rel(dir, path)
	if dir == "" || err != nil {
		return place{filepath.Dir(path), filepath.Base(path)}
	}
	return place{dir, filepath.ToSlash(name)}
}

// work judges what is due, the latest change first, then looks for slips, until
// the context ends.
func (s *server) work(ctx context.Context) {
	looking := time.NewTicker(lookEvery)
	defer looking.Stop()
	for ctx.Err() == nil {
		if d := s.dueFirst(); d != nil {
			s.judge(ctx, d)
			continue
		}
		d, wait := s.unexplained()
		if d != nil && wait <= 0 {
			s.explain(ctx, d)
			continue
		}
		var quiet <-chan time.Time
		if d != nil {
			quiet = time.After(wait)
		}
		select {
		case <-ctx.Done():
		case <-s.wake:
		case <-quiet:
		case <-looking.C:
			s.guard("a look at the disk", s.look)
		}
	}
}

// dueFirst is the document to be judged first; nil where all are.
func (s *server) dueFirst() (first *document) {
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, d := range s.documents {
		if d.due && (first == nil || d.changed > first.changed) {
			first = d
		}
	}
	return first
}

// begin readies a judgement of a document as it is now.
func (s *server) begin(ctx context.Context, d *document, search bool) (context.Context, context.CancelFunc, *judgement) {
	s.mu.Lock()
	defer s.mu.Unlock()
	ctx, cancel := context.WithCancel(ctx)
	s.running = &running{d, cancel, time.Now(), search}
	j := &judgement{text: d.text, version: d.version, place: s.placeOf(d.path), strange: d.strange()}
	if d.isKit() {
		if today := s.options.today(); d.checker == nil || d.day != today {
			d.store, d.day = newStore(s.buffer), today
			o := s.options.Check
			o.Files, o.Dir, o.On = d.store, j.place.dir, today
			from := s.base
			if d.found != nil && d.found.checker != nil {
				from = d.found.checker // for what it remembers
			}
			d.checker = from.With(o)
		}
		j.checker, j.store = d.checker, d.store
	}
	return ctx, cancel, j
}

// over ends a judgement; now is false where it was given up, or is no longer of
// what is written: then it stays due, and told says whether it is worth telling.
func (s *server) over(d *document, j *judgement, given bool) (now, told bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.running = nil
	if !given || s.documents[d.path] != d || s.state >= stateDone {
		return false, false
	}
	d.found = j
	if d.text != j.text || j.checker != d.checker {
		return false, true
	}
	s.settle(d)
	return true, true
}

// judge judges a document and tells what is found.
func (s *server) judge(ctx context.Context, d *document) {
	ctx, cancel, j := s.begin(ctx, d, false)
	defer cancel()
	given := true
	if why := s.guard("the check of "+j.place.name, func() { given = s.check(ctx, j) }); why != nil {
		j.faults = []*source.Problem{{Pos: source.Pos{File: j.place.name, Line: 1, Column: 1}, Message: why.Message}}
	}
	if _, told := s.over(d, j, given); told {
		s.guard("what is shown of "+j.place.name, func() { s.tell(d, j) })
	}
}

// check checks the text of a judgement; false where it was given up.
func (s *server) check(ctx context.Context, j *judgement) bool {
	if j.strange {
		j.slips = true
		return true
	}
	if j.checker == nil {
		j.faults = checker.ByItself(j.place.name, j.text.whole)
		return true
	}
	results, err := j.checker.CheckContext(ctx, j.place.name, j.text.whole)
	var broken *checker.BrokenPacks
	switch {
	case errors.As(err, &broken):
		j.faults = broken.Problems
	case err != nil:
		return false
	}
	j.results = results
	j.slips = j.slips || !j.open()
	return true
}

// unexplained is the document in which the one slip behind what is found is to
// be looked for first, and how long to wait for that; nil where there is none.
func (s *server) unexplained() (*document, time.Duration) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if !s.options.Slips || s.state != stateOpen {
		return nil, 0
	}
	var first *document
	for _, d := range s.documents {
		if j := d.found; j != nil && !j.slips && j.checker != nil && (first == nil || d.looked != nil || first.looked == nil && d.changed > first.changed) {
			first = d
		}
	}
	if first != nil && first.looked != nil {
		return first, 0
	}
	return first, slipsAfter - time.Since(s.typed)
}

// explain looks for the one slip behind what is found.
func (s *server) explain(ctx context.Context, d *document) {
	ctx, cancel, j := s.begin(ctx, d, true)
	defer cancel()
	s.mu.Lock()
	o, before := s.options.Check, d.found
	o.Files, o.Dir, o.On, o.Slips, o.EverySlip = d.store, j.place.dir, d.day, slip.Usual, s.options.EverySlip
	s.mu.Unlock()
	own := j.checker
	j.checker, j.slips = own.With(o), true
	given := true
	if why := s.guard("the search for slips", func() { given = s.check(ctx, j) }); why != nil {
		j.results = before.results
	}
	j.checker = own
	if now, _ := s.over(d, j, given); now && j.explained() {
		s.guard("what is shown of "+j.place.name, func() { s.tell(d, j) })
	}
}

// look has those kits judged again that have read what is another now.
func (s *server) look() {
	s.mu.Lock()
	stores := map[*document]*store{}
	for _, d := range s.documents {
		if d.store != nil {
			stores[d] = d.store
		}
	}
	s.mu.Unlock()
	for d, store := range stores {
		if !store.stale() {
			continue
		}
		s.mu.Lock()
		if d.store == store && s.documents[d.path] == d {
			d.checker = nil
			s.judgeAgain(d)
		}
		s.mu.Unlock()
	}
}

// judged waits until a document is judged as it was when it was asked for, and
// returns that; nil where it is gone or the context ends first.
func (s *server) judged(ctx context.Context, d *document) *judgement {
	for {
		s.mu.Lock()
		found, wait := d.found, d.settled
		s.mu.Unlock()
		if wait == nil {
			return found
		}
		select {
		case <-wait:
		case <-ctx.Done():
			return nil
		}
	}
}

// explained waits until a document is judged as it was when it was asked for, and
// the slip behind what is found has been looked for, where slips are; nil where
// the document is gone or the context ends first.
func (s *server) explained(ctx context.Context, d *document) *judgement {
	for {
		j := s.judged(ctx, d)
		s.mu.Lock()
		over := j == nil || j.slips || j.checker == nil || !s.options.Slips
		gone := s.documents[d.path] != d || s.state != stateOpen
		if !over && !gone && d.looked == nil {
			d.looked = make(chan struct{})
			select {
			case s.wake <- struct{}{}:
			default:
			}
		}
		wait := d.looked
		s.mu.Unlock()
		switch {
		case gone:
			return nil
		case over:
			return j
		}
		select {
		case <-wait:
		case <-ctx.Done():
			return nil
		}
	}
}

// mostTold is how many findings of a file an editor is given; it marks each in
// the text.
const mostTold = 500

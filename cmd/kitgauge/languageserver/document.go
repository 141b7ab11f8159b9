package languageserver

import (
	"path/filepath"
	"regexp"
	"strings"
	"time"

	"kitgauge/checker"
	"kitgauge/checker/editor"
	"kitgauge/checker/files"
	"kitgauge/checker/settings"
)

// document is a file that is open in the editor. What it holds is guarded by the
// lock of the server.
type document struct {
	uri, path string
	unsaved   bool // it was never saved: path is where it would lie
	version   int
	text      *text
	changed   int // counts the changes, so that the latest is judged first

	checker *checker.Checker // of a kit: with what it has read beside it; nil where that has to be read anew
	day     string           // for which it judges concessions
	store   *store           // what the checker has read
	due     bool             // it has to be judged
	found   *judgement       // the last, which may be of an earlier text
	settled chan struct{}    // closed when the text has been judged
	looked  chan struct{}    // of who waits for the slip behind what is found: closed with the next judgement

	mended   []byte // what the last fix of all made of it; nil where there was none
	mendedIn *store // with what it was checked

	told time.Time // when what its check found was told last
	held time.Time // since when what was found in it is held back; zero where it is not

	view   *editor.View // of viewed, with what of was found
	viewed *text
	of     *judgement
}

// strange reports whether a text that was never saved is not looked at: nothing
// says that it is a kit.
func (d *document) strange() bool {
	return d.unsaved && !kitShaped.Match(d.text.bytes)
}

// kitShaped tells a text that begins as a kit does: with its schema, or with its
// header behind remarks.
var kitShaped = regexp.MustCompile(`^(?:\s*#[^\n]*\n|\s*\n|---[^\n]*\n)*(?:\s*#[^\n]*\$schema=\S*\bkit\.schema\.json|header:)`)

// isKit tells kits from what kits read.
func (d *document) isKit() bool { return files.IsKitName(d.path) }

// concerns reports whether a file is one that a check looks at.
func concerns(path string) bool {
	return files.IsKitName(path) || files.IsCatalogueName(path) || files.IsPackName(path) || strings.HasSuffix(path, files.ConcessionsEnding) || filepath.Base(path) == settings.FileName
}

// opened takes a text that the editor shows from now on.
func (s *server) opened(p didOpenParams) {
	s.mu.Lock()
	defer s.mu.Unlock()
	path, is := s.pathOf(p.TextDocument.URI)
	if !is || !concerns(path) || unsaved(p.TextDocument.URI) && p.TextDocument.Language != "yaml" {
		return
	}
	d := s.documents[path]
	if d == nil {
		d = &document{path: path, unsaved: unsaved(p.TextDocument.URI)}
		s.documents[path] = d
	}
	if d.unsaved != unsaved(p.TextDocument.URI) {
		return // the file of that name is open as well
	}
	d.uri = p.TextDocument.URI
	s.take(d, p.TextDocument.Version, newText([]byte(p.TextDocument.Text), s.encoding))
}

// changed takes what was typed.
func (s *server) changed(p didChangeParams) {
	s.mu.Lock()
	defer s.mu.Unlock()
	d := s.document(p.TextDocument.URI)
	if d == nil {
		return
	}
	now := d.text
	for _, c := range p.Changes {
		now = now.with(c)
	}
	version := d.version
	if p.TextDocument.Version != nil {
		version = *p.TextDocument.Version
	}
	s.take(d, version, now)
}

// closed forgets a text: the disk holds the file again.
func (s *server) closed(p documentParams) {
	s.mu.Lock()
	d := s.document(p.TextDocument.URI)
	if d != nil {
		delete(s.documents, d.path)
		s.settle(d)
		if s.running != nil && s.running.of == d {
			s.running.cancel()
		}
		s.touched(d.path)
	}
	s.mu.Unlock()
	if d != nil {
		s.tell(d, nil)
	}
}

// document is the one that is open of a URI; nil where none is. The lock is
// held.
func (s *server) document(uri string) *document {
	path, _ := s.pathOf(uri)
	if d := s.documents[path]; d != nil && d.unsaved == unsaved(uri) {
		return d
	}
	return nil
}

// take gives a document a text. The lock is held.
func (s *server) take(d *document, version int, now *text) {
	d.version, d.text = version, now
	if d.unsaved && len(s.roots) == 0 && !s.warned && !d.strange() && !filepath.IsAbs(strings.TrimPrefix(d.uri, untitled)) {
		s.warned = true
		go s.notify("window/showMessage", messageParams{severityInformation, "kitgauge looks for the catalogues of this kit in " + filepath.Dir(d.path) + ", since no directory is open and the kit was never saved: save it, and it is checked where it lies"})
	}
	s.changes++
	s.typed = time.Now()
	d.changed = s.changes
	s.judgeAgain(d)
	s.touched(d.path)
}

// touched has those kits judged again that have read a file. The lock is held.
func (s *server) touched(path string) {
	for _, d := range s.documents {
		if d.store != nil && d.store.needs(path) && d.path != path {
			d.checker = nil
			s.judgeAgain(d)
		}
	}
}

// judgeAgain has a document judged, and ends the judgement that goes on, where it
// gives way: what was changed last comes first, and what was given up stays due.
// The lock is held.
func (s *server) judgeAgain(d *document) {
	if !d.due {
		d.due = true
		if d.settled == nil {
			d.settled = make(chan struct{})
		}
	}
	if s.running != nil && s.running.givesWay() {
		s.running.cancel()
	}
	select {
	case s.wake <- struct{}{}:
	default:
	}
}

// settle tells those who wait for a judgement that there is one, or none to
// come. The lock is held.
func (s *server) settle(d *document) {
	d.due = false
	for _, waiting := range []*chan struct{}{&d.settled, &d.looked} {
		if *waiting != nil {
			close(*waiting)
			*waiting = nil
		}
	}
}

// buffer is the text of a file that is open; nil where it is not.
func (s *server) buffer(path string) *text {
	s.mu.Lock()
	defer s.mu.Unlock()
	if d := s.documents[path]; d != nil {
		return d.text
	}
	return nil
}

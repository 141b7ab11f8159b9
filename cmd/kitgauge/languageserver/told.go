package languageserver

import (
	"bytes"
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"
)

// share is what the check of one file tells of a file, and of which text of it.
type share struct {
	list []shown
	of   *text // nil where it is not at hand
	// version is that of the text where the file is the one that was checked.
	version int
}

// tell gives the editor what was found of a document, and takes back what was
// told of it before; of one that was closed there is nothing.
func (s *server) tell(d *document, j *judgement) {
	list := map[string]share{}
	if j != nil {
		list = s.diagnose(j)
	}
	s.telling.Lock()
	defer s.telling.Unlock()
	s.mu.Lock()
	if j != nil && s.documents[d.path] != d {
		s.mu.Unlock()
		return // it was closed meanwhile
	}
	d.told = time.Now()
	touched := map[string]bool{}
	for path := range s.given {
		if _, was := s.given[path][d.path]; was {
			touched[path] = true
			delete(s.given[path], d.path)
		}
	}
	for path, more := range list {
		touched[path] = true
		if s.given[path] == nil {
			s.given[path] = map[string]share{}
		}
		s.given[path][d.path] = more
	}
	var publish []publishParams
	for _, path := range slices.Sorted(maps.Keys(touched)) {
		if p, is := s.told(path); is {
			if path == d.path { // by the name that the editor has, also of what it just closed
				p.URI = d.uri
			}
			publish = append(publish, p)
		}
	}
	s.mu.Unlock()
	for _, p := range publish {
		s.notify("textDocument/publishDiagnostics", p)
	}
}

// longestHeld is how long nothing is told of a file because kits are still to be
// judged with what was typed in it.
const longestHeld = 700 * time.Millisecond

// told is all that is told of a file, what several kits find once, with the
// version of the text that it is of. It is false where some of it is of an
// earlier text than the rest: what is told next will be whole. The lock is held.
func (s *server) told(path string) (publishParams, bool) {
	p := publishParams{URI: uriOf(path)}
	d, given := s.documents[path], s.given[path]
	if d != nil {
		p.URI = d.uri
		version := d.version
		now := s.ofNow(path)
		own, checked := given[path]
		switch {
		case len(now) == len(given):
		case len(given) == 1 && checked:
			version, now = own.version, given
		case len(now) == 0 || d.held.IsZero() || time.Since(d.held) < longestHeld:
			if d.held.IsZero() {
				d.held = time.Now()
			}
			return p, false
		}
		p.Version, given, d.held = &version, now, time.Time{}
	}
	list := []diagnostic{}
	for _, one := range joined(path, given) {
		list = append(list, one.diagnostic)
	}
	p.Diagnostics = gravest(list)
	return p, true
}

// ofNow is what is told of a file that is open, as far as it is of the text that
// the file has now. The lock is held.
func (s *server) ofNow(path string) map[string]share {
	d, now := s.documents[path], map[string]share{}
	for by, it := range s.given[path] {
		if it.of == nil || it.of == d.text || bytes.Equal(it.of.whole, d.text.whole) {
			now[by] = it
		}
	}
	return now
}

// shownAt is what is shown in a file. The lock is held.
func (s *server) shownAt(path string) []shown { return joined(path, s.given[path]) }

// joined is what is told of a file, once where several kits find it: what is
// wrong with a file by itself stands behind what kits find there.
func joined(path string, given map[string]share) []shown {
	type key struct {
		code, message string
		at            span
	}
	var list []shown
	seen := map[key]bool{}
	own := given[path].list
	for _, by := range slices.Sorted(maps.Keys(given)) {
		if by == path {
			continue
		}
		for _, one := range given[by].list {
			first, _, _ := strings.Cut(one.Message, "\n")
			if k := (key{one.Code, first, one.Range}); !seen[k] {
				seen[k], seen[key{one.Code, "", span{one.Range.Start, one.Range.Start}}] = true, true
				list = append(list, one)
			}
		}
	}
	own = slices.DeleteFunc(slices.Clone(own), func(one shown) bool {
		return one.finding == nil && seen[key{one.Code, "", span{one.Range.Start, one.Range.Start}}]
	})
	return append(own, list...)
}

// gravest keeps as many as an editor is given, the gravest, in their order.
func gravest(list []diagnostic) []diagnostic {
	if len(list) <= mostTold {
		return list
	}
	order := slices.Clone(list)
	slices.SortStableFunc(order, func(a, b diagnostic) int { return cmp.Compare(a.Severity, b.Severity) })
	worst := order[mostTold-1].Severity
	room := mostTold
	for _, one := range order {
		if one.Severity < worst {
			room--
		}
	}
	kept := list[:0:0]
	for _, one := range list {
		if one.Severity < worst {
			kept = append(kept, one)
		} else if one.Severity == worst && room > 0 {
			kept = append(kept, one)
			room--
		}
	}
	return append(kept, diagnostic{
		Severity: kept[0].Severity, Code: "file/listed", Source: program,
		Message: fmt.Sprintf("%d more are found, none graver than those that are shown: kitgauge check lists them", len(list)-len(kept)),
	})
}

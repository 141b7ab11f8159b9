package affected

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"slices"

	"kitgauge/checker/files"
	"kitgauge/checker/internal/once"
	"kitgauge/checker/kit"
	"kitgauge/checker/source"
	"kitgauge/schema"
)

// catalogue is a catalogue file as it was or is.
type catalogue struct {
	missing bool
	unknown bool // its text cannot be had
	faulty  bool // it changed, and cannot be read without a complaint: that concerns every kit
	include []string
	numbers []string // of the parts, in the order of the file
	parts   []string // as JSON, beside numbers
}

// shelf keeps the catalogues of one end of the range, each read once.
type shelf struct {
	finder   *finder
	snapshot *snapshot
	files    once.Cache[*catalogue]
}

func (s *shelf) catalogue(ctx context.Context, file string) *catalogue {
	return s.files.Get(file, func() *catalogue { return s.read(ctx, file) })
}

func (s *shelf) read(ctx context.Context, file string) *catalogue {
	text, err := s.snapshot.read(ctx, file)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return &catalogue{missing: true}
	case err != nil:
		return &catalogue{unknown: true}
	}
	docs, problems := source.Parse(file, text)
	if len(docs) == 0 {
		return &catalogue{faulty: true}
	}
	root := docs[0].Root
	c := &catalogue{faulty: len(problems) > 0}
	if _, changed := s.finder.changes[file]; changed && !c.faulty {
		_, problems := kit.ReadFile(docs[0])
		c.faulty = len(problems) > 0 || len(schema.Validate("parts", root)) > 0
	}
	for _, name := range items(root.Get("include")) {
		c.include = append(c.include, name.Scalar)
	}
	for _, p := range items(root.Get("parts")) {
		if number := p.Get("number"); number != nil {
			c.numbers = append(c.numbers, number.Scalar)
			c.parts = append(c.parts, string(p.JSON()))
		}
	}
	return c
}

func items(n *source.Node) []*source.Node {
	if n == nil {
		return nil
	}
	return n.Items
}

// stock is all that a kit's catalogues hold at one end of the range.
type stock struct {
	files  []string // in the order of reading, also those that are missing
	faults []string // that concern every kit: missing files, circles
	held   map[string][]holding
}

// holding is a part and the catalogue that has it.
type holding struct{ file, part string }

// follow reads the catalogues that a kit file names, and those that they
// include.
func (s *shelf) follow(ctx context.Context, file string, names []string) *stock {
	st := &stock{held: map[string][]holding{}}
	s.collect(ctx, st, file, names, nil)
	return st
}

func (s *shelf) collect(ctx context.Context, st *stock, from string, names, open []string) {
	for _, name := range names {
		file, why := files.CatalogueBeside(from, name)
		switch {
		case why != "":
			st.faults = append(st.faults, why)
			continue
		case slices.Contains(open, file):
			st.faults = append(st.faults, fmt.Sprintf("%s includes itself", file))
			continue
		case slices.Contains(st.files, file):
			continue
		}
		st.files = append(st.files, file)
		c := s.catalogue(ctx, file)
		if c.missing {
			st.faults = append(st.faults, fmt.Sprintf("%s is missing", file))
			continue
		}
		for i, number := range c.numbers {
			st.held[number] = append(st.held[number], holding{file, c.parts[i]})
		}
		s.collect(ctx, st, file, c.include, append(open, file))
	}
}

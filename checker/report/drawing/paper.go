package drawing

import (
	"fmt"
	"strings"
)

// Paper is the size of the sheets, which lie on their long side.
type Paper string

// The papers that there are: those of ISO 216, and the letter of ANSI Y14.1.
const (
	PaperA3     Paper = "a3" // the zero value as well
	PaperA4     Paper = "a4"
	PaperLetter Paper = "letter"
)

// Papers lists them.
func Papers() []Paper { return []Paper{PaperA3, PaperA4, PaperLetter} }

// PaperOf reads the name of a paper.
func PaperOf(name string) (Paper, error) {
	for _, p := range Papers() {
		if strings.EqualFold(name, string(p)) {
			return p, nil
		}
	}
	return "", fmt.Errorf("there is no paper %q: a3, a4 or letter", name)
}

// paper is a sheet that lies on its long side.
type paper struct {
	name string
	w, h float64
}

func (p Paper) size() paper {
	switch p {
	case PaperA4:
		return paper{"A4", 297, 210}
	case PaperLetter:
		return paper{"Letter", 279.4, 215.9}
	}
	return paper{"A3", 420, 297}
}

// frames are the parts of a sheet that all sheets have: what is drawn, and at
// the foot a strip beside the title block.
type frames struct {
	paper
	frame, body, strip, block box
}

func (p paper) frames() frames {
	f := frames{paper: p, frame: box{bindingMargin, margin, p.w - margin, p.h - margin}}
	foot := f.frame.y1 - stripHeight
	f.block = box{f.frame.x1 - blockWidth, foot, f.frame.x1, f.frame.y1}
	f.strip = box{f.frame.x0, foot, f.block.x0, f.frame.y1}
	f.body = box{f.frame.x0, f.frame.y0, f.frame.x1, foot}
	return f
}

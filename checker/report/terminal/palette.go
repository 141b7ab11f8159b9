package terminal

import (
	"github.com/fatih/color"

	"kitgauge/checker/finding"
)

// style paints text; the zero style leaves it as it is.
type style struct{ ink *color.Color }

func (s style) paint(text string) string {
	if s.ink == nil || text == "" {
		return text
	}
	return s.ink.Sprint(text)
}

// palette holds the styles of one output. They are switched on or off here
// and nowhere else: what the environment or another output says has no say.
type palette struct {
	plain, heading, label  style
	critical, major, minor style
	unknown, good, bad     style
}

func newPalette(on bool) *palette {
	ink := func(of ...color.Attribute) style {
		if !on {
			return style{}
		}
		c := color.New(of...)
		c.EnableColor()
		return style{c}
	}
	return &palette{
		heading:  ink(color.Bold),
		label:    ink(color.Faint),
		critical: ink(color.FgRed, color.Bold),
		major:    ink(color.FgYellow, color.Bold),
		minor:    ink(color.FgCyan),
		unknown:  ink(color.FgMagenta),
		good:     ink(color.FgGreen),
		bad:      ink(color.FgRed),
	}
}

func (p *palette) severity(s finding.Severity) style {
	switch s {
	case finding.Critical:
		return p.critical
	case finding.Major:
		return p.major
	case finding.Minor:
		return p.minor
	}
	return p.plain
}

package dossier

import (
	"slices"
	"strings"

	"kitgauge/checker/finding"
	"kitgauge/checker/units"
)

// alike writes amounts that stand beside or under each other in one unit: of
// those in which they are written by themselves, the one that takes the fewest
// characters. Amounts of other dimensions have theirs among themselves.
// Temperatures keep theirs: a difference in K is none in degC.
func alike(amounts []*finding.Amount) {
	var done []string
	for _, a := range amounts {
		if a == nil || a.Dimension == units.Temperature.String() || slices.Contains(done, a.Dimension) {
			continue
		}
		done = append(done, a.Dimension)
		alikeIn(slices.DeleteFunc(slices.Clone(amounts), func(b *finding.Amount) bool { return b == nil || b.Dimension != a.Dimension }))
	}
}

// alikeIn does so with amounts of one dimension.
func alikeIn(amounts []*finding.Amount) {
	var symbols []string
	for _, a := range amounts {
		if _, symbol, _ := strings.Cut(a.Text, " "); !slices.Contains(symbols, symbol) {
			symbols = append(symbols, symbol)
		}
	}
	if len(symbols) < 2 {
		return
	}
	var best []string
	least := 0
	for _, symbol := range symbols {
		texts, size, ok := allIn(amounts, symbol)
		if ok && (best == nil || size < least) {
			best, least = texts, size
		}
	}
	for i := range best {
		amounts[i].Text = best[i]
	}
}

// allIn writes amounts in a unit, and counts the characters.
func allIn(amounts []*finding.Amount, symbol string) (texts []string, size int, ok bool) {
	for _, a := range amounts {
		text, err := units.FormatIn(a.SI, symbol)
		if err != nil {
			return nil, 0, false
		}
		texts = append(texts, text)
		size += len(text)
	}
	return texts, size, true
}

// Package spelling finds the known word nearest to a misspelt one.
package spelling

import "sort"

// Nearest returns the candidate with the smallest edit distance (insertions,
// deletions, substitutions and swaps of neighbours count 1; Damerau 1964) to
// the word, or "" when none is near enough to be what was meant: more than a
// third of the longer word would have to change. Ties go to the first in
// alphabetical order.
func Nearest(word string, candidates []string) string {
	sorted := append([]string(nil), candidates...)
	sort.Strings(sorted)
	best, bestDistance := "", -1
	for _, c := range sorted {
		if len(c) > 64 || len(word) > 64 {
			continue
		}
		d := Distance(word, c)
		if d > (max(len(word), len(c))+2)/3 {
			continue
		}
		if bestDistance < 0 || d < bestDistance {
			best, bestDistance = c, d
		}
	}
	return best
}

// Distance is the edit distance between two words, in bytes.
func Distance(a, b string) int {
	before, last, row := make([]int, len(b)+1), make([]int, len(b)+1), make([]int, len(b)+1)
	for j := range last {
		last[j] = j
	}
	for i := 1; i <= len(a); i++ {
		row[0] = i
		for j := 1; j <= len(b); j++ {
			cost := 1
			if a[i-1] == b[j-1] {
				cost = 0
			}
			row[j] = min(last[j]+1, row[j-1]+1, last[j-1]+cost)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				row[j] = min(row[j], before[j-2]+1)
			}
		}
		before, last, row = last, row, before
	}
	return last[len(b)]
}

package report

import "kitgauge/checker/visible"

// Visible is [visible.Text]: every report writes text from files so.
func Visible(text string) string { return visible.Text(text) }

// Unseen is [visible.Unseen].
func Unseen(r rune) bool { return visible.Unseen(r) }

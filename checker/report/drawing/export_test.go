package drawing

// TextBox is the room that a text takes, for tests that read it from the file.
func TextBox(x, y float64, anchor string, height float64, text string, bold bool) (x0, y0, x1, y1 float64) {
	b := textBox(spot{x, y}, anchor, height, text, bold)
	return b.x0, b.y0, b.x1, b.y1
}

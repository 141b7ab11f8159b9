package editor

// computed is what a check has computed of the thing at which a value stands.
func (v *View) computed(n *node) string { return "" }

// ofNamed is what it has computed of the thing that a name leads to.
func (v *View) ofNamed(m *mention) string { return "" }

func (v *View) figures(from, to int) []Figure { return nil }

package editor

// View is a text as an editor shows it, with what is known of it. It is safe
// for use by several goroutines.
type View struct {
	path    string
	text    []byte
	files   Files
	options Options
}

func open(path string, text []byte, f Files, o Options) *View {
	return &View{path: path, text: text, files: f, options: o}
}

func (v *View) completions(int) []Completion           { return nil }
func (v *View) hover(int) (Hover, bool)                { return Hover{}, false }
func (v *View) definition(int) []Place                 { return nil }
func (v *View) references(int) []Place                 { return nil }
func (v *View) renameRange(int) (Place, string, error) { return Place{}, "", errNothing }
func (v *View) rename(int, string) ([]Change, error)   { return nil, errNothing }
func (v *View) symbols() []Symbol                      { return nil }
func (v *View) links() []Link                          { return nil }
func (v *View) folds() []Fold                          { return nil }
func (v *View) figures(int, int) []Figure              { return nil }

package editor

import "errors"

var errNothing = errors.New("nothing here has a name that can be changed: put the cursor on an id, a number or a part number")

func (v *View) renameRange(int) (Place, string, error) { return Place{}, "", errNothing }
func (v *View) rename(int, string) ([]Change, error)   { return nil, errNothing }

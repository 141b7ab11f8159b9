package editor

import "errors"

var errNothing = errors.New("nothing here has a name that can be changed: put the cursor on an id, a number or a part number")

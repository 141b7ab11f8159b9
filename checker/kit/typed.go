package kit

import "kitgauge/checker/decode"

// Typed reads the catalogue's entry of a part with the figures of its kind: a
// *Pump, a *Tube and so on. It returns nil for a part that is in no file, or
// of no known kind.
func Typed(p *Part) any {
	if p.Node == nil {
		return nil
	}
	create := kinds[p.Kind.V]
	if create == nil {
		return nil
	}
	typed := create()
	decode.Into(p.Node, typed) // its problems were reported when the catalogue was read
	return typed
}

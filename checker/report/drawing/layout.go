package drawing

import "strconv"

// Margins and parts of the sheet [mm]. The margin for binding is on the left,
// and the title block is 180 wide (ISO 5457, ISO 7200; from memory).
const (
	bindingMargin = 20.0
	margin        = 10.0
	blockWidth    = 180.0
	stripHeight   = 40.0  // at the foot: legend, lists, title block
	columnFrom    = 330.0 // the least width of a sheet that has a column
	leastColumn   = 88.0  // at the right: findings and references
	mostColumn    = 124.0 // where the views leave room
	titleRoom     = 5.6   // over each view
	widest        = 7.0   // beside the views
	footRoom      = 10.0  // under the views: scale bar and datum
	mostReference = 62.0  // longer leaders to references are not followed
	smallestWhole = 60.0  // 1:60 is large enough for references all round
	leastLeader   = 5.5
	mostLeader    = 16.0
)

// layout says where everything goes on the overview.
type layout struct {
	frames
	scale     float64 // 1:scale
	below     bool    // all references of the side view stand below it
	named     []int   // the points with references
	collapsed bool    // those of details have none
	drawing   box     // the views with their references
	column    box     // beside them; empty on small papers
	side, top view
	sideRows  placedRows
	topRows   placedRows
}

// placedRows are the rows of a view with the height of each.
type placedRows struct {
	rows
	titleY       float64
	upY, downY   float64
	above, below float64 // what the rows take with their leaders
}

// plan finds the largest scale that has room for the views and their
// references. The references of the points in details are left out where they
// have no room, or long leaders.
func plan(s *scene, of paper) *layout {
	var all, apart []int
	for i := range s.points {
		all = append(all, i)
		if s.groupOf(i) == nil {
			apart = append(apart, i)
		}
	}
	least := firstLayout(s, of, nil)
	for _, named := range [][]int{all, apart} {
		l := firstLayout(s, of, named)
		large := l != nil && (l.scale <= least.scale || l.scale <= 1.34*least.scale && l.scale <= smallestWhole)
		if large && l.longest() <= mostReference {
			l.collapsed = len(named) < len(s.points)
			return l
		}
	}
	least.collapsed = true
	return least
}

// firstLayout is the layout of the largest scale that has room, nil where none
// has.
func firstLayout(s *scene, of paper, named []int) *layout {
	for _, scale := range scales {
		for _, below := range []bool{false, true} {
			if l, ok := tryLayout(s, of, scale, below, named); ok {
				return l
			}
		}
	}
	if len(named) > 0 {
		return nil
	}
	l, _ := tryLayout(s, of, scales[len(scales)-1], true, nil)
	return l
}

// longest is the longest leader of a reference.
func (l *layout) longest() float64 {
	most := 0.0
	for _, r := range []*placedRows{&l.sideRows, &l.topRows} {
		for _, b := range append(r.place(r.up, r.upY, true, nil), r.place(r.down, r.downY, false, nil)...) {
			most = max(most, distance(b.leader.a, b.leader.b))
		}
	}
	return most
}

// tryLayout lays the overview out at a scale.
func tryLayout(s *scene, of paper, scale float64, below bool, named []int) (*layout, bool) {
	l := &layout{frames: of.frames(), scale: scale, below: below, named: named}
	k := 1000 / scale
	ext := s.extent
	if ext.empty() {
		ext = space{}
	}
	w, sideH, topH := (ext.to.X-ext.from.X)*k, (ext.to.Z-ext.from.Z)*k, (ext.to.Y-ext.from.Y)*k
	columnW := 0.0
	if room := l.body.width(); room >= columnFrom {
		columnW = min(max(room-max(w+widest, (float64(len(named))/2+2)*wideStep), leastColumn), mostColumn)
	}
	if w+widest > l.body.width()-columnW {
		return l, false
	}
	l.drawing, l.column = l.body, l.body
	l.drawing.x1 -= columnW
	l.column.x0 = l.drawing.x1
	left := fine(l.drawing.x0 + (l.drawing.width()-w)/2)
	set := func(v *view, side bool, y, h, lowest float64) {
		*v = view{side: side, scale: k, datum: spot{fine(left - ext.from.X*k), fine(y + h + lowest*k)}, area: box{left, y, left + w, y + h}.grown(0.5)}
	}
	set(&l.side, true, 0, sideH, ext.from.Z)
	set(&l.top, false, 0, topH, ext.from.Y)
	if !l.rows(s) {
		return l, false
	}
	taken := l.sideRows.taken(&l.side) + l.topRows.taken(&l.top) + footRoom
	spare := l.drawing.height() - taken
	if spare < 0 {
		return l, false
	}
	spare -= l.sideRows.stretch(spare/5) + l.topRows.stretch(spare/5)
	sideY := l.drawing.y0 + spare/4 + titleRoom + l.sideRows.above
	topY := sideY + sideH + l.sideRows.below + spare/4 + titleRoom + l.topRows.above
	set(&l.side, true, fine(sideY), sideH, ext.from.Z)
	set(&l.top, false, fine(topY), topH, ext.from.Y)
	above, under := [2]float64{l.sideRows.above, l.topRows.above}, [2]float64{l.sideRows.below, l.topRows.below}
	if !l.rows(s) {
		return l, false
	}
	l.sideRows.settle(&l.side, above[0], under[0])
	l.topRows.settle(&l.top, above[1], under[1])
	return l, true
}

// rows shares out the references of both views.
func (l *layout) rows(s *scene) bool {
	for _, r := range []struct {
		v     *view
		to    *placedRows
		below bool
	}{{&l.side, &l.sideRows, l.below}, {&l.top, &l.topRows, false}} {
		list, ok := newRows(items(s.points, l.named, r.v), l.drawing.x0+3, l.drawing.x1-3, r.v.area, r.below)
		if !ok {
			return false
		}
		*r.to = placedRows{rows: list, above: 8, below: 8}
		if len(list.up) > 0 {
			r.to.above = stack(list.up) + leastLeader
		}
		if len(list.down) > 0 {
			r.to.below = stack(list.down) + leastLeader
		}
	}
	return true
}

// taken is the height of a view with its title and references.
func (r *placedRows) taken(v *view) float64 {
	return titleRoom + r.above + v.area.height() + r.below
}

// stretch lengthens the leaders, so that they run less flat.
func (r *placedRows) stretch(by float64) float64 {
	by = fine(min(by, mostLeader-leastLeader))
	taken := 0.0
	if len(r.up) > 0 {
		r.above += by
		taken += by
	}
	if len(r.down) > 0 {
		r.below += by
		taken += by
	}
	return taken
}

// settle fixes the heights at which the references stand.
func (r *placedRows) settle(v *view, above, below float64) {
	r.above, r.below = above, below
	r.upY = fine(v.area.y0 - above + stack(r.up))
	r.downY = fine(v.area.y1 + below - stack(r.down))
	r.titleY = fine(v.area.y0 - above - 1.6)
}

func itoa(n int) string { return strconv.Itoa(n) }

// ratio is a scale as it is written.
func ratio(denominator float64) string {
	if denominator < 1 {
		return strconv.FormatFloat(1/denominator, 'f', -1, 64) + ":1"
	}
	return "1:" + strconv.FormatFloat(denominator, 'f', -1, 64)
}

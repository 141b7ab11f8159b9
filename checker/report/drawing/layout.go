package drawing

import (
	"fmt"
	"strconv"
)

// paper is a sheet that lies on its long side (ISO 216).
type paper struct {
	name string
	w, h float64
}

// papers are tried in turn; a kit of the trade goes on the first.
var papers = []paper{{"A3", 420, 297}, {"A2", 594, 420}, {"A1", 841, 594}, {"A0", 1189, 841}}

// Margins and parts of the sheet [mm]. The margin for binding is on the left,
// and the title block is 180 wide (ISO 5457, ISO 7200; from memory).
const (
	bindingMargin = 20.0
	margin        = 10.0
	blockWidth    = 180.0
	stripHeight   = 40.0  // at the foot: legend, lists, title block
	leastColumn   = 66.0  // at the right: findings and references
	mostColumn    = 112.0 // where the views leave room
	titleRoom     = 5.6   // over each view
	widest        = 7.0   // beside the views
	footRoom      = 8.5   // under the views: scale bar and datum
	leastLeader   = 5.5
	mostLeader    = 16.0
)

// layout says where everything goes on the sheet.
type layout struct {
	paper
	scale     float64 // 1:scale
	below     bool    // of the side view
	frame     box
	drawing   box // the views with their references
	column    box
	strip     box // left of the title block
	block     box
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

// plan finds the largest scale on the smallest sheet that holds everything.
func plan(s *scene) (*layout, error) {
	for _, p := range papers {
		for _, scale := range scales {
			for _, below := range []bool{false, true} {
				if l, ok := tryLayout(s, p, scale, below); ok {
					return l, nil
				}
			}
		}
	}
	return nil, fmt.Errorf("%d grease points are too many for one sheet: an A0 sheet holds the references of about 350", len(s.points))
}

func newLayout(p paper) *layout {
	l := &layout{paper: p, frame: box{bindingMargin, margin, p.w - margin, p.h - margin}}
	foot := l.frame.y1 - stripHeight
	l.block = box{l.frame.x1 - blockWidth, foot, l.frame.x1, l.frame.y1}
	l.strip = box{l.frame.x0, foot, l.block.x0, l.frame.y1}
	return l
}

// tryLayout lays the sheet out at a scale; below says whether all references of
// the side view stand below it, which takes less height.
func tryLayout(s *scene, p paper, scale float64, below bool) (*layout, bool) {
	l := newLayout(p)
	l.below = below
	l.scale = scale
	k := 1000 / scale
	ext := s.extent
	if ext.empty() {
		ext = space{}
	}
	w, sideH, topH := (ext.to.X-ext.from.X)*k, (ext.to.Z-ext.from.Z)*k, (ext.to.Y-ext.from.Y)*k
	room := l.frame.width()
	need := max(w+widest, (float64(len(s.points))/2+2)*wideStep)
	if w+widest > room-leastColumn {
		return nil, false
	}
	columnW := min(max(room-need, leastColumn), mostColumn)
	l.drawing = box{l.frame.x0, l.frame.y0, l.frame.x1 - columnW, l.strip.y0}
	l.column = box{l.drawing.x1, l.frame.y0, l.frame.x1, l.strip.y0}
	left := fine(l.drawing.x0 + (l.drawing.width()-w)/2)
	set := func(v *view, side bool, y, h, lowest float64) {
		*v = view{side: side, scale: k, datum: spot{fine(left - ext.from.X*k), fine(y + h + lowest*k)}, area: box{left, y, left + w, y + h}.grown(0.5)}
	}
	set(&l.side, true, 0, sideH, ext.from.Z)
	set(&l.top, false, 0, topH, ext.from.Y)
	if !l.rows(s) {
		return nil, false
	}
	taken := l.sideRows.taken(&l.side) + l.topRows.taken(&l.top) + footRoom
	spare := l.drawing.height() - taken
	if spare < 0 {
		return nil, false
	}
	spare -= l.sideRows.stretch(spare/5) + l.topRows.stretch(spare/5)
	sideY := l.drawing.y0 + spare/4 + titleRoom + l.sideRows.above
	topY := sideY + sideH + l.sideRows.below + spare/4 + titleRoom + l.topRows.above
	set(&l.side, true, fine(sideY), sideH, ext.from.Z)
	set(&l.top, false, fine(topY), topH, ext.from.Y)
	above, under := [2]float64{l.sideRows.above, l.topRows.above}, [2]float64{l.sideRows.below, l.topRows.below}
	if !l.rows(s) {
		return nil, false
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
		list, ok := newRows(items(s.points, r.v), l.drawing.x0+3, l.drawing.x1-3, r.v.area, r.below)
		if !ok {
			return false
		}
		*r.to = placedRows{rows: list, above: 2, below: 2}
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

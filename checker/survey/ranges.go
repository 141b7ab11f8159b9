package survey

import (
	"bytes"
	"image"
	"image/color"
	"image/png"
	"math"

	"github.com/xuri/excelize/v2"
)

// sketch shows for one role of a joint where its range begins, and how its ends
// are measured.
type sketch struct {
	role, text string
	draw       func(c *canvas)
}

// ranges is a sheet with a sketch for each role of a joint. Nought is the rest
// position; the axes are those of ISO 8855, and a range turns with the right
// hand about its axis.
func (x *book) ranges() {
	const name, high = "ranges", 105
	_, err := x.NewSheet(name)
	x.note(err)
	for i, width := range []float64{15, 44, 66} {
		x.note(x.SetColWidth(name, letters(i), letters(i), width))
	}
	x.put(name, 0, 0, "How ranges are measured", x.title)
	for i, text := range []string{"role", "sketch: grey is rest, black the two ends", "how"} {
		x.put(name, i, 1, text, x.head)
	}
	for i, s := range sketches {
		row := 2 + i
		x.note(x.SetRowHeight(name, row+1, high))
		x.put(name, 0, row, s.role, x.member)
		x.put(name, 1, row, "", x.text)
		x.put(name, 2, row, s.text, x.unit)
		x.note(x.AddPictureFromBytes(name, cellName(1, row), &excelize.Picture{
			Extension: ".png", File: s.png(),
			Format: &excelize.GraphicOptions{OffsetX: 8, OffsetY: 6, ScaleX: 0.5, ScaleY: 0.5, AltText: s.role + ": " + s.text, Positioning: "oneCell"},
		}))
	}
	x.print(name, "how ranges are measured")
}

// canvas is a drawing of lines, in units of a hundredth of its height, x to the
// right and y up, with the origin in the lower left corner.
type canvas struct{ *image.Gray }

// The size of a sketch in dots; it is shown at half of it.
const (
	dotsWide = 540
	dotsHigh = 250
)

func (s *sketch) png() []byte {
	c := &canvas{image.NewGray(image.Rect(0, 0, dotsWide, dotsHigh))}
	for i := range c.Pix {
		c.Pix[i] = 255
	}
	s.draw(c)
	var b bytes.Buffer
	if err := png.Encode(&b, c.Gray); err != nil {
		panic("survey: a sketch: " + err.Error()) // an image of a size that PNG takes
	}
	return b.Bytes()
}

// The shades of a sketch.
const (
	black = 0
	grey  = 165
)

// line draws one with soft edges.
func (c *canvas) line(x0, y0, x1, y1, wide float64, shade uint8) {
	k := float64(dotsHigh) / 100
	x0, y0, x1, y1, wide = x0*k, float64(dotsHigh)-y0*k, x1*k, float64(dotsHigh)-y1*k, wide*k
	long := (x1-x0)*(x1-x0) + (y1-y0)*(y1-y0)
	left, right := int(math.Min(x0, x1)-wide-1), int(math.Max(x0, x1)+wide+1)
	top, bottom := int(math.Min(y0, y1)-wide-1), int(math.Max(y0, y1)+wide+1)
	for y := max(0, top); y <= min(dotsHigh-1, bottom); y++ {
		for x := max(0, left); x <= min(dotsWide-1, right); x++ {
			px, py, t := float64(x), float64(y), 0.0
			if long > 0 {
				t = math.Max(0, math.Min(1, ((px-x0)*(x1-x0)+(py-y0)*(y1-y0))/long))
			}
			d := math.Hypot(px-x0-t*(x1-x0), py-y0-t*(y1-y0))
			cover := math.Max(0, math.Min(1, wide/2-d+0.5))
			was := float64(c.GrayAt(x, y).Y)
			c.SetGray(x, y, color.Gray{Y: uint8(was + (float64(shade)-was)*cover)})
		}
	}
}

// arc draws one from an angle to another, in degrees from the right, upwards;
// head puts an arrow at its end.
func (c *canvas) arc(x, y, r, from, to, wide float64, head bool) {
	const step = 3
	n := int(math.Ceil(math.Abs(to-from)/step)) + 1
	at := func(a float64) (float64, float64) {
		sin, cos := math.Sincos(a * math.Pi / 180)
		return x + r*cos, y + r*sin
	}
	for i := range n {
		a, b := from+(to-from)*float64(i)/float64(n), from+(to-from)*float64(i+1)/float64(n)
		x0, y0 := at(a)
		x1, y1 := at(b)
		c.line(x0, y0, x1, y1, wide, black)
	}
	if head {
		x1, y1 := at(to)
		turn := to + 90
		if to < from {
			turn = to - 90
		}
		c.head(x1, y1, turn)
	}
}

// arrow draws a straight one.
func (c *canvas) arrow(x0, y0, x1, y1 float64) {
	c.line(x0, y0, x1, y1, 1.6, black)
	c.head(x1, y1, math.Atan2(y1-y0, x1-x0)*180/math.Pi)
}

// head is the head of an arrow that goes in a direction.
func (c *canvas) head(x, y, degrees float64) {
	for _, side := range []float64{150, -150} {
		sin, cos := math.Sincos((degrees + side) * math.Pi / 180)
		c.line(x, y, x+6*cos, y+6*sin, 1.6, black)
	}
}

// bar draws a bar from a place in a direction.
func (c *canvas) bar(x, y, degrees, long, wide float64, shade uint8) {
	sin, cos := math.Sincos(degrees * math.Pi / 180)
	c.line(x, y, x+long*cos, y+long*sin, wide, shade)
}

// dot marks an axis that goes into the paper.
func (c *canvas) dot(x, y float64) {
	c.line(x, y, x, y, 7, black)
	c.line(x, y, x, y, 3.4, 255)
}

// plus and minus stand beside the ends of a range.
func (c *canvas) plus(x, y float64) {
	c.minus(x, y)
	c.line(x, y-4, x, y+4, 1.8, black)
}

func (c *canvas) minus(x, y float64) { c.line(x-4, y, x+4, y, 1.8, black) }

// wheel is one from the side.
func (c *canvas) wheel(x, y, r float64) { c.arc(x, y, r, 0, 360, 2, false) }

var sketches = []sketch{
	{"steering", "From above. Nought is straight ahead. Turn to full lock both ways and measure the angle of each wheel against the frame. With the axis upwards (0, 0, 1) a turn to the left is positive. The inner wheel turns farther, so left and right have mirrored ranges.", func(c *canvas) {
		c.line(70, 50, 140, 50, 3, grey)
		c.bar(105, 14, 90, 72, 11, grey)
		for _, a := range []float64{55, 125} {
			c.bar(105, 50, a, 42, 4, black)
			c.bar(105, 50, a+180, 42, 4, black)
		}
		c.arc(105, 50, 36, 90, 125, 1.6, true)
		c.arc(105, 50, 36, 90, 55, 1.6, true)
		c.plus(76, 92)
		c.minus(134, 92)
		c.dot(105, 50)
	}},
	{"suspension", "From the front. Nought is the ride height of the loaded vehicle. Measure from there to the bump stop (the axle goes up) and to full droop with the axle hanging. With the axis upwards, up is positive.", func(c *canvas) {
		c.line(60, 88, 150, 88, 5, black)
		c.line(62, 42, 148, 42, 3, grey)
		c.line(62, 60, 148, 60, 3, black)
		c.line(62, 20, 148, 20, 3, black)
		for i := range 5 {
			y := 44 + float64(i)*8
			c.line(100, y, 110, y+4, 1.6, grey)
			c.line(110, y+4, 100, y+8, 1.6, grey)
		}
		c.arrow(168, 42, 168, 60)
		c.arrow(168, 42, 168, 20)
		c.plus(180, 56)
		c.minus(180, 24)
	}},
	{"articulation", "From above. Nought is straight ahead. Steer to the stop on both sides and measure the angle between the two frames. With the axis upwards, front frame to the left is positive.", func(c *canvas) {
		c.line(105, 8, 105, 48, 16, grey)
		c.bar(105, 48, 90, 42, 16, grey)
		for _, a := range []float64{60, 120} {
			c.bar(105, 48, a, 44, 3, black)
		}
		c.arc(105, 48, 34, 90, 120, 1.6, true)
		c.arc(105, 48, 34, 90, 60, 1.6, true)
		c.plus(72, 84)
		c.minus(138, 84)
		c.dot(105, 48)
	}},
	{"tipping", "From the left. Nought is the body lowered. Raise it to the stop and measure the angle of its floor. With the hinge at the rear and the axis to the right (0, -1, 0), raising is positive.", func(c *canvas) {
		c.line(40, 30, 170, 30, 4, black)
		c.line(165, 38, 60, 38, 4, grey)
		c.bar(165, 34, 135, 85, 4, black)
		c.arc(165, 34, 62, 180, 137, 1.6, true)
		c.plus(100, 66)
		c.wheel(70, 16, 11)
		c.wheel(145, 16, 11)
		c.dot(165, 34)
	}},
	{"cab", "From the left. Nought is the cab locked down. Tilt it to the stop and measure the angle of its floor. With the hinge in front and the axis to the left (0, 1, 0), tilting forward is positive.", func(c *canvas) {
		c.line(40, 24, 170, 24, 4, black)
		c.line(60, 32, 110, 32, 3, grey)
		c.line(60, 32, 60, 78, 3, grey)
		c.line(110, 32, 110, 78, 3, grey)
		c.line(60, 78, 110, 78, 3, grey)
		c.bar(60, 30, 55, 50, 4, black)
		c.arc(60, 30, 40, 0, 53, 1.6, true)
		c.plus(112, 60)
		c.dot(60, 30)
	}},
	{"drawbar", "From the left. Nought is the coupled height on level ground. Measure the angle to the highest and to the lowest place that it reaches; on a turntable from above, to both sides. With the axis to the left (0, 1, 0), down is positive.", func(c *canvas) {
		c.line(110, 62, 190, 62, 6, black)
		c.line(110, 50, 40, 50, 4, grey)
		c.bar(110, 50, 160, 74, 3, black)
		c.bar(110, 50, 205, 74, 3, black)
		c.arc(110, 50, 56, 180, 161, 1.6, true)
		c.arc(110, 50, 56, 180, 204, 1.6, true)
		c.minus(40, 84)
		c.plus(36, 18)
		c.wheel(160, 36, 14)
		c.dot(110, 50)
	}},
	{"boom", "From the left. Nought is where all positions of this survey were measured, such as level: write it beside the datum. Measure the angle to the highest and to the lowest position. With the axis to the right (0, -1, 0), raising what lies in front is positive.", func(c *canvas) {
		c.line(150, 10, 150, 46, 9, black)
		c.line(150, 46, 60, 46, 5, grey)
		c.bar(150, 46, 145, 92, 4, black)
		c.bar(150, 46, 203, 88, 4, black)
		c.arc(150, 46, 66, 180, 146, 1.6, true)
		c.arc(150, 46, 66, 180, 202, 1.6, true)
		c.plus(76, 88)
		c.minus(74, 12)
		c.dot(150, 46)
	}},
	{"slide", "Nought is where all positions of this survey were measured. Measure how far it slides to both ends. Positive is the direction of the axis.", func(c *canvas) {
		c.line(30, 34, 185, 34, 4, black)
		c.line(90, 48, 120, 48, 12, grey)
		c.line(140, 48, 160, 48, 3, black)
		c.line(50, 48, 70, 48, 3, black)
		c.arrow(105, 66, 160, 66)
		c.arrow(105, 66, 50, 66)
		c.line(105, 40, 105, 72, 1.2, grey)
		c.plus(170, 66)
		c.minus(40, 66)
	}},
}

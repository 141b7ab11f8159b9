package drawing

import (
	"fmt"
	"regexp"
	"strings"
	"sync"
)

// colours on light paper, on dark paper, and printed. Nothing is told apart
// by colour alone.
var colours = [...]struct{ name, light, dark, print string }{
	{"paper", "#ffffff", "#12161b", "#ffffff"},
	{"ink", "#14181d", "#e8ebef", "#000000"},
	{"faint", "#59636e", "#a3adb8", "#000000"},
	{"tube", "#0b4f8a", "#7cc0f5", "#000000"},
	{"sweep", "#5b3a8c", "#c3a6f0", "#000000"},
	{"heat", "#a8321f", "#f0937f", "#000000"},
	{"wheel", "#59636e", "#a3adb8", "#000000"},
	{"moving", "#80560a", "#e2b45c", "#000000"},
	{"edge", "#1f6b4a", "#7dd0a8", "#000000"},
	{"critical", "#a8131f", "#ff9a94", "#000000"},
	{"major", "#8a4b00", "#f3b562", "#000000"},
	{"minor", "#31536f", "#a5c8e6", "#000000"},
}

// rules are the style sheet; @name stands for a colour.
const rules = `.paper{fill:@paper}
text{font-family:"Liberation Sans",Arial,Helvetica,"DejaVu Sans",sans-serif;fill:@ink;white-space:pre}
.bold{font-weight:bold}
.faint{fill:@faint}
.halo{paint-order:stroke;stroke:@paper;stroke-width:.7;stroke-linejoin:round}
.frame{fill:none;stroke:@ink;stroke-width:.7}
.cell{fill:none;stroke:@ink;stroke-width:.25}
.rule{fill:none;stroke:@faint;stroke-width:.18}
.outline{fill:none;stroke:@ink;stroke-width:.35;stroke-dasharray:8 1.2 .6 1.2}
.bundle{fill:none;stroke:@tube;stroke-width:.7;stroke-linejoin:round;stroke-linecap:round}
.tail{fill:none;stroke:@tube;stroke-width:.3;stroke-linejoin:round;stroke-linecap:round}
.beside{fill:none;stroke:@faint;stroke-width:.18;stroke-linejoin:round}
.bar{fill:none;stroke:@tube;stroke-width:.5}
.body{fill:none;stroke:@faint;stroke-width:.18;stroke-dasharray:5 .8 .5 .8 .5 .8}
.wheel{fill:none;stroke:@wheel;stroke-width:.35}
.centre{fill:none;stroke:@faint;stroke-width:.18;stroke-dasharray:4 .8 .5 .8}
.detail{fill:none;stroke:@ink;stroke-width:.25}
.tag-detail{fill:@paper;stroke:@ink;stroke-width:.25}
.tag-length{fill:@paper;stroke:@tube;stroke-width:.18}
.head{fill:none;stroke:@ink;stroke-width:.25}
.free{stroke-dasharray:1.7 1.1;stroke-linecap:butt}
.stop{fill:@paper;stroke:@tube;stroke-width:.25}
.full{fill:@tube;stroke:@tube;stroke-width:.25}
.point{fill:@ink;stroke:@paper;stroke-width:.2}
.reference{fill:none;stroke:@ink;stroke-width:.18}
.leader{fill:none;stroke:@ink;stroke-width:.18}
.balloon{fill:@paper;stroke:@ink;stroke-width:.25}
.pump{fill:@paper;stroke:@ink;stroke-width:.5}
.solid{fill:@ink;stroke:none}
.wire{fill:none;stroke:@ink;stroke-width:.5}
.thin{fill:none;stroke:@ink;stroke-width:.25}
.axis{fill:none;stroke:@sweep;stroke-width:.25;stroke-dasharray:3 .7 .5 .7}
.joint{fill:none;stroke:@sweep;stroke-width:.35}
.joint-full{fill:@sweep;stroke:none}
.sector{fill:@sweep;fill-opacity:.1;stroke:@sweep;stroke-width:.25}
.trace{fill:none;stroke:@sweep;stroke-width:.2;stroke-dasharray:2 .6 .4 .6 .4 .6}
.extreme{fill:@paper;stroke:@sweep;stroke-width:.2}
.tag{fill:@paper;fill-opacity:.88;stroke:none}
.tag-joint{fill:@paper;stroke:@sweep;stroke-width:.2}
.tag-bundle{fill:@paper;stroke:@tube;stroke-width:.3}
.tag-zone{fill:@paper;stroke:@faint;stroke-width:.2;stroke-dasharray:.8 .5}
.zone-heat{stroke:@heat;stroke-width:.3}
.zone-wheel{stroke:@wheel;stroke-width:.3;stroke-dasharray:3 1}
.zone-moving{stroke:@moving;stroke-width:.3;stroke-dasharray:1.2 .7}
.zone-edge{stroke:@edge;stroke-width:.5}
.hatch-heat{fill:none;stroke:@heat;stroke-width:.18}
.hatch-wheel{fill:@wheel;stroke:none}
.hatch-moving{fill:none;stroke:@moving;stroke-width:.16}
.hatch-edge{fill:none;stroke:@edge;stroke-width:.22}
.swept{fill:none;stroke:@faint;stroke-width:.18;stroke-dasharray:2.4 .6 .4 .6 .4 .6}
.mark-critical{fill:@paper;stroke:@critical;stroke-width:.6}
.mark-major{fill:@paper;stroke:@major;stroke-width:.6}
.mark-minor{fill:@paper;stroke:@minor;stroke-width:.5}
.mark-none{fill:@paper;stroke:@faint;stroke-width:.4}
.settled{stroke-dasharray:.9 .6}
.mark-leader{fill:none;stroke:@ink;stroke-width:.3}
.gap{fill:none;stroke:@critical;stroke-width:.4;stroke-dasharray:.6 .5}
.chord{fill:none;stroke:@ink;stroke-width:.25}
.ghost{fill:none;stroke:@faint;stroke-width:.25;stroke-dasharray:1.4 .8}
.limit{fill:none;stroke:@heat;stroke-width:.3;stroke-dasharray:.8 .6}
`

// style is the style element: every rule holds below this drawing alone, and
// every colour is also written out for programs that know no variables.
var style = sync.OnceValue(func() string {
	var b strings.Builder
	b.WriteString("<style>\n")
	declare := func(media string, of func(i int) string) {
		b.WriteString(media + ".kit-drawing{")
		for i, c := range colours {
			fmt.Fprintf(&b, "--%s:%s;", c.name, of(i))
		}
		b.WriteString(map[bool]string{true: "}\n", false: "}}\n"}[media == ""])
	}
	declare("", func(i int) string { return colours[i].light })
	declare("@media (prefers-color-scheme:dark){", func(i int) string { return colours[i].dark })
	declare("@media print{", func(i int) string { return colours[i].print })
	light := map[string]string{}
	for _, c := range colours {
		light[c.name] = c.light
	}
	named := regexp.MustCompile(`([a-z-]+):@([a-z]+)`)
	for line := range strings.Lines(rules) {
		b.WriteString(".kit-drawing " + named.ReplaceAllStringFunc(line, func(found string) string {
			m := named.FindStringSubmatch(found)
			return fmt.Sprintf("%s:%s;%s:var(--%s)", m[1], light[m[2]], m[1], m[2])
		}))
	}
	b.WriteString("</style>\n")
	return b.String()
})

// hatches are the fillings of the zones: of heat slanting lines, of wheels
// dots, of moving parts a lattice, of edges upright lines.
func hatches(id string) string {
	pattern := func(kind string, size, turn float64, content string) string {
		return fmt.Sprintf(`<pattern id="%s-%s" patternUnits="userSpaceOnUse" width="%s" height="%s" patternTransform="rotate(%s)">%s</pattern>`+"\n",
			id, kind, num(size), num(size), num(turn), content)
	}
	return "<defs>\n" +
		pattern("heat", 1.6, 45, `<path class="hatch-heat" d="M0 0V1.6"/>`) +
		pattern("wheel", 2, 45, `<circle class="hatch-wheel" cx="1" cy="1" r=".22"/>`) +
		pattern("moving", 2, 30, `<path class="hatch-moving" d="M0 0V2M0 0H2"/>`) +
		pattern("edge", 1, 0, `<path class="hatch-edge" d="M.5 0V1"/>`) +
		"</defs>\n"
}

package drawing_test

import (
	"bytes"
	"fmt"
	"image"
	"image/png"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"kitgauge/checker/report/drawing"
)

// How the pictures of two renderers are compared: as shades of grey in squares
// of some pixels, since they smooth edges and set letters in their own way.
const (
	pictureWide = 1680 // pixels: 4 a millimetre on A3
	square      = 12   // pixels: 3 mm
	mostUnlike  = 0.16 // of any square, from 0 (the same) to 1 (black and white)
	mostMean    = 0.01
)

// TestTwoRenderers draws all sheets of the faulty gritter with Chromium and
// with librsvg, each started once, and holds the pictures to each other.
func TestTwoRenderers(t *testing.T) {
	chromium, rsvg := program(t, "chromium", "chromium-browser", "google-chrome"), program(t, "rsvg-convert")
	dir := t.TempDir()
	sheets, high := together(t)
	file := filepath.Join(dir, "sheets.svg")
	if err := os.WriteFile(file, sheets, 0o666); err != nil {
		t.Fatal(err)
	}
	run(t, exec.Command(rsvg, "--width", fmt.Sprint(pictureWide), "--height", fmt.Sprint(high), "--output", filepath.Join(dir, "rsvg.png"), file))
	run(t, exec.Command(chromium, "--headless", "--no-sandbox", "--disable-gpu", "--hide-scrollbars", "--force-device-scale-factor=1", "--user-data-dir="+filepath.Join(dir, "profile"),
		fmt.Sprintf("--window-size=%d,%d", pictureWide, high), "--screenshot="+filepath.Join(dir, "chromium.png"), "file://"+file))
	a, b := shades(t, filepath.Join(dir, "rsvg.png")), shades(t, filepath.Join(dir, "chromium.png"))
	if len(a) != len(b) || len(a) == 0 {
		t.Fatalf("the pictures have %d and %d squares", len(a), len(b))
	}
	sum, dark, across := 0.0, 0, pictureWide/square
	for i := range a {
		unlike := math.Abs(a[i] - b[i])
		sum += unlike
		if a[i] < 0.9 {
			dark++
		}
		if unlike > mostUnlike {
			t.Errorf("square %d, %d differs by %.2f, want at most %g", i%across, i/across, unlike, mostUnlike)
		}
	}
	if mean := sum / float64(len(a)); mean > mostMean {
		t.Errorf("the pictures differ by %.4f in the mean, want at most %g", mean, mostMean)
	}
	if dark < len(a)/20 {
		t.Errorf("%d of %d squares hold something: the pictures are all but empty", dark, len(a))
	}
}

// together puts all sheets of a kit into one picture, one below the other.
func together(t *testing.T) (svg []byte, high int) {
	t.Helper()
	r := examples(t)["gritter-faulty.kit.yaml"]
	var b bytes.Buffer
	y := 0.0
	for _, s := range drawing.Sheets(drawing.Input{Kit: r.Facts, Findings: r.Findings}) {
		fmt.Fprintf(&b, `<g transform="translate(0 %g)">%s</g>`, y, bytes.Replace(s.SVG, []byte(fmt.Sprintf(`width="%gmm" height="%gmm"`, s.Width, s.Height)), []byte(fmt.Sprintf(`width="%g" height="%g"`, s.Width, s.Height)), 1))
		y += s.Height
	}
	high = int(y * pictureWide / 420)
	return fmt.Appendf(nil, `<svg xmlns="http://www.w3.org/2000/svg" width="%d" height="%d" viewBox="0 0 420 %g">%s</svg>`, pictureWide, high, y, b.Bytes()), high
}

// program finds the first of several programs.
func program(t *testing.T, names ...string) string {
	t.Helper()
	for _, name := range names {
		if p, err := exec.LookPath(name); err == nil {
			return p
		}
	}
	if os.Getenv("CI") != "" {
		t.Fatalf("there is no %s", names[0])
	}
	t.Skipf("there is no %s", names[0])
	return ""
}

func run(t *testing.T, c *exec.Cmd) {
	t.Helper()
	if out, err := c.CombinedOutput(); err != nil {
		t.Fatalf("%s: %v\n%s", c.Path, err, out)
	}
}

// shades are the mean shades of the squares of a picture, from 0 (black) to 1.
func shades(t *testing.T, file string) []float64 {
	t.Helper()
	f, err := os.Open(file)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	m, err := png.Decode(f)
	if err != nil {
		t.Fatal(err)
	}
	var out []float64
	for y := 0; y+square <= m.Bounds().Dy(); y += square {
		for x := 0; x+square <= m.Bounds().Dx(); x += square {
			out = append(out, shade(m, x, y))
		}
	}
	return out
}

func shade(m image.Image, x0, y0 int) float64 {
	sum := 0.0
	for y := y0; y < y0+square; y++ {
		for x := x0; x < x0+square; x++ {
			r, g, b, a := m.At(x, y).RGBA()
			sum += (float64(r+g+b)/3 + float64(0xffff-a)) / 0xffff
		}
	}
	return sum / (square * square)
}

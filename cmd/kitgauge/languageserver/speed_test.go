package languageserver

import (
	"cmp"
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"
	"time"
)

// large is the kit of 84 points, with its catalogue in a place of its own.
const large = "testdata/kits/large.kit.yaml"

// keys are what is typed: the last digit of a value, each time another one that
// no check has seen, or a character that is lost and put back.
var keys = []struct {
	name, in string            // the file that is typed in; the kit where that is empty
	value    map[string]string // by kit; "" for all
	lost     bool
}{
	{name: "a digit of a cut length", value: map[string]string{gritter: "cut_length: 2700 mm", large: "cut_length: 3925 mm"}},
	{name: "a digit of the range of a joint", value: map[string]string{gritter: "range: {from: -90 mm", large: "range: {from: -85 mm"}},
	{name: "a digit of the place of the pump", value: map[string]string{gritter: "position: [-1600 mm, 620 mm, 1050 mm", large: "position: [-3350 mm, 620 mm, 1050 mm"}},
	{name: "a digit in the catalogue beside it", in: winter, value: map[string]string{"": "bend_radius: 25 mm\n"}},
	{name: "a bracket that was lost is put back", lost: true, value: map[string]string{gritter: "ambient: {from: -30 degC, to: 35 degC}", large: "range: {from: -85 mm, to: 75 mm}"}},
}

// BenchmarkKeystroke is how long it takes from what is sent of a keystroke to
// what is shown of the text with it, over pipes. Each reports the median of its
// runs.
//
//	go test ./cmd/kitgauge/languageserver -run XXX -bench Keystroke
func BenchmarkKeystroke(b *testing.B) {
	for _, kit := range []string{gritter, large} {
		points := map[string]string{gritter: "34 points", large: "84 points"}[kit]
		for _, k := range keys {
			b.Run(points+"/"+k.name, func(b *testing.B) {
				c := openForSpeed(b, kit)
				if k.in != "" {
					c.open(k.in)
				}
				c.clean(kit)
				file := cmp.Or(k.in, kit)
				c.press(b, kit, file, cmp.Or(k.value[kit], k.value[""]), k.lost)
			})
		}
		b.Run(points+"/the file is opened", func(b *testing.B) {
			c := openForSpeed(b, kit)
			c.clean(kit)
			var took []time.Duration
			for b.Loop() {
				c.shut(kit)
				c.clean(kit)
				c.mu.Lock()
				delete(c.told, c.uri(kit))
				c.mu.Unlock()
				began := time.Now()
				c.open(kit)
				c.clean(kit)
				took = append(took, time.Since(began))
			}
			median(b, took)
		})
	}
}

func openForSpeed(b *testing.B, kit string) *client {
	c := start(b, Options{}, capable)
	if kit == large {
		text, err := os.ReadFile("../../../" + large)
		if err != nil {
			b.Fatal(err)
		}
		c.write(large, string(text))
	}
	c.open(kit)
	c.clean(kit)
	return c
}

// press types in a file, and waits each time for what is shown of the kit.
func (c *client) press(b *testing.B, kit, file, value string, lost bool) {
	at := strings.Index(string(c.texts[file].bytes), value) + strings.LastIndexAny(value, "0123456789")
	if lost {
		at = strings.Index(string(c.texts[file].bytes), value) + len(value) - 1
	}
	stands := c.texts[file].bytes[at : at+1]
	first := string(stands)
	var took []time.Duration
	for i := 0; b.Loop(); i++ {
		now := first + fmt.Sprintf(".%03d", i)
		if lost {
			now = strings.Repeat(first, i%2)
		}
		c.mu.Lock()
		count := c.count
		c.mu.Unlock()
		began := time.Now()
		c.edit(file, textEdit{c.texts[file].span(at, at+len(stands)), now})
		c.shown(kit, count)
		if !lost || now != "" { // without the bracket little can be looked at
			took = append(took, time.Since(began))
		}
		stands = []byte(now)
	}
	median(b, took)
}

// shown waits until something is told of a file, behind so many that were told.
func (c *client) shown(kit string, count int) {
	late := time.After(patience)
	for {
		c.mu.Lock()
		p, last, came := c.told[c.uri(kit)], c.counts[c.uri(kit)], c.came
		c.mu.Unlock()
		if last > count && *p.Version == c.versions[kit] {
			return
		}
		select {
		case <-came:
		case <-late:
			c.Fatal("nothing is shown")
		}
	}
}

func median(b *testing.B, took []time.Duration) {
	slices.Sort(took)
	b.ReportMetric(float64(took[len(took)/2])/1e6, "median-ms")
	b.ReportMetric(float64(took[len(took)*9/10])/1e6, "slow-ms") // nine of ten are quicker
}

package page_test

import (
	"math"
	"slices"
	"testing"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/performance"
)

// TestLongClass: two hours with 2,000 calls open in under a second of script
// time and move in frames that are seen as one movement.
func TestLongClass(t *testing.T) {
	c := twoHours(t)
	path := c.write(t, "long", true)
	b := open(t, path, look{width: 1280, height: 800})
	call(b, performance.Enable, performance.EnableParams{})
	b.run(navigate(path))
	b.wait("time.sound")
	metrics := map[string]float64{}
	for _, m := range call(b, performance.GetMetrics, cdp.Empty{}).Metrics {
		metrics[m.Name] = m.Value
	}
	t.Logf("%d calls: script %.3f s, layout %.3f s, styles %.3f s", len(c.doc.Cues), metrics["ScriptDuration"], metrics["LayoutDuration"], metrics["RecalcStyleDuration"])
	if s := metrics["ScriptDuration"]; s <= 0 || s >= 1 {
		t.Errorf("opening took %.3f s of script, less than 1 is wanted", s)
	}
	for _, move := range []struct {
		what, step string
		limit      float64 // ms: two frames of a screen of 60 Hz, four where all is laid out anew
	}{
		{"panning", "show(view.from + 12 / view.scale, view.scale)", 34},
		{"zooming", "zoom(n % 40 < 20 ? 1.1 : 1 / 1.1)", 67},
		{"playing", "0", 34},
		{"scrolling", "scrollBy(0, 25)", 34},
	} {
		// The best of a few runs: what else the machine does is not the page's.
		best := math.Inf(1)
		for range 4 {
			b.do("show(1000, 4), time.go(1000)")
			if move.what == "playing" {
				b.do("time.play()")
			}
			frames := eval[[]float64](b, `new Promise(done => { let n = 0, was = 0; const frames = []; const step = now => { if (was) frames.push(now - was); was = now;
				%s; if (++n > 100) done(frames); else requestAnimationFrame(step) }; requestAnimationFrame(step) })`, move.step)
			b.do("time.pause(), scrollTo(0, 0)")
			slices.Sort(frames)
			middle := frames[len(frames)/2]
			t.Logf("%s: a frame takes %.1f ms in the middle, %.1f ms at 95 %%", move.what, middle, frames[len(frames)*95/100])
			if best = min(best, middle); best <= move.limit {
				break
			}
		}
		if best > move.limit {
			t.Errorf("%s: a frame takes %.1f ms, more than %.0f", move.what, best, move.limit)
		}
	}
	b.quiet()
}

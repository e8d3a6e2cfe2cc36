package page_test

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"cuewright/cues/export"
	"cuewright/plan/units"
)

// near is how far what is seen may be from what is heard, in seconds.
const near = 0.05

// moment is what one frame of a page shows.
type moment struct {
	Sound   float64 `json:"sound"` // the track's own time
	Head    float64 `json:"head"`  // where the play head is drawn
	Caption string  `json:"caption"`
	Left    string  `json:"left"`
	Name    string  `json:"name"`
}

const readMoment = `({ sound: time.now(), head: view.from + (Number(/translate\(([-\d.]+)/.exec(el('head').getAttribute('transform'))[1]) - view.gutter) / view.scale,
	caption: el('caption').textContent, left: el('screen-left').textContent, name: el('screen-name').textContent })`

// agrees reports whether a moment is right for some time within near of it.
func agrees(c *pageClass, m moment) error {
	if math.Abs(m.Head-m.Sound) > near {
		return fmt.Errorf("at %.3f s the play head is at %.3f", m.Sound, m.Head)
	}
	seen := func(is func(t float64) bool) bool {
		// The time left is 0:00 for the last millisecond of a stretch.
		for t := m.Sound - near; t <= m.Sound+near; t += 0.0005 {
			if is(t) {
				return true
			}
		}
		return false
	}
	if !seen(func(t float64) bool { return strings.TrimSpace(caption(c, t)) == strings.TrimSpace(m.Caption) }) {
		return fmt.Errorf("at %.3f s the caption is %q, the list says %q", m.Sound, m.Caption, caption(c, m.Sound))
	}
	if !seen(func(t float64) bool { left, name := stretch(c, t); return left == m.Left && name == m.Name }) {
		left, name := stretch(c, m.Sound)
		return fmt.Errorf("at %.3f s the big screen shows %q %q, the class is at %q %q", m.Sound, m.Name, m.Left, name, left)
	}
	return nil
}

func caption(c *pageClass, t float64) string {
	var texts []string
	frame := t * float64(c.doc.Rate)
	for _, q := range c.doc.Cues {
		if float64(q.Start) <= frame && frame < float64(q.End) {
			texts = append(texts, q.Text)
		}
	}
	return strings.Join(texts, " / ")
}

// stretch is the time left and the name at a time of the track, from the same
// document as `cues --format json`.
func stretch(c *pageClass, t float64) (left, name string) {
	frame, end := t*float64(c.doc.Rate), c.doc.Segments[0].Start
	name = "opening"
	for _, s := range c.doc.Segments {
		if frame >= float64(s.Start) {
			end, name = s.End, segmentName(s)
		}
	}
	if frame >= float64(end) {
		end, name = c.doc.Frames, "closing"
	}
	seconds := math.Ceil((float64(end)-frame)/float64(c.doc.Rate) - 1e-3)
	return units.FormatLength(time.Duration(seconds) * time.Second), name
}

func segmentName(s export.Segment) string {
	if s.Effort != "" {
		return s.Effort
	}
	return string(s.Part)
}

// TestFollows: for four classes, with their track and without, what is seen
// agrees with the list of calls at eight times, in passing and after a jump.
func TestFollows(t *testing.T) {
	for name, c := range map[string]*pageClass{"tiny": tiny(t), "demo": demo(t), "two hours": twoHours(t), hostileStem: hostile(t)} {
		for _, sound := range []bool{true, false} {
			if !sound && name != "tiny" {
				continue // a page without its track is driven by the same clock whatever the class
			}
			path := c.write(t, name, sound)
			b := open(t, path, look{width: 1280, height: 800})
			if sound {
				b.wait("time.sound")
			} else {
				b.wait("el('source').textContent.startsWith('No track')")
			}
			if got := eval[bool](b, "time.sound"); got != sound {
				t.Fatalf("%s: a track is heard: %v", name, got)
			}
			b.run(chromedp.Click(chromedp.ID("big")))
			length := float64(c.doc.Frames) / float64(c.doc.Rate)
			b.do("time.play()")
			for k := range 8 {
				// Half of the times are just where a call begins or a segment ends.
				at := length * (float64(k) + 0.5) / 9
				if k%2 == 1 {
					q := c.doc.Cues[k*len(c.doc.Cues)/9]
					at = float64(q.Start)/float64(c.doc.Rate) - 0.02
				}
				// Read in a frame that the browser draws in time: what a busy machine is late
				// with is not the page's. Without any such frame the last one counts.
				m := eval[moment](b, `new Promise(done => { time.go(%f); const from = performance.now(); let n = 0, was = from;
					const look = () => { const frame = performance.now(), late = frame - was > 34; was = frame;
						if (++n > 4 && !late && time.now() > %f && (!time.sound || !time.audio.seeking) || frame - from > 3000) done(%s); else requestAnimationFrame(look) };
					requestAnimationFrame(look) })`, at, at, readMoment)
				if m.Sound <= at || m.Sound > at+2 {
					t.Errorf("%s, sound %v: from %.3f it went to %.3f", name, sound, at, m.Sound)
				}
				if err := agrees(c, m); err != nil {
					t.Errorf("%s, sound %v: %v", name, sound, err)
				}
			}
			if n := eval[any](b, "window.broken || 0"); n != 0.0 {
				t.Errorf("%s: a text of the plan was run", name)
			}
			if sound {
				b.quiet()
			} else {
				b.quiet("ERR_FILE_NOT_FOUND") // the browser's own line about a track that is not there
			}
		}
	}
}

// TestChosen: a track under any name can be chosen, and one of another length is told of.
func TestChosen(t *testing.T) {
	c := tiny(t)
	path := c.write(t, "tiny", false)
	b := open(t, path, look{width: 1280, height: 800})
	b.wait("el('source').textContent.startsWith('No track')")
	other := t.TempDir() + "/<b>other.wav"
	writeSilence(t, other, 20)
	b.run(chromedp.SetUploadFiles(chromedp.ID("choose"), []string{other}))
	b.wait("time.sound")
	if got := eval[string](b, "el('source').textContent"); !strings.Contains(got, "<b>other.wav. It lasts 0:20, this class 0:58") {
		t.Errorf("it says %q", got)
	}
}

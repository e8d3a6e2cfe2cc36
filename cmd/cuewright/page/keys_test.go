package page_test

import (
	"math"
	"testing"

	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"
)

// press sends a key with its modifiers (8 is Shift, 2 Ctrl).
func (b *tab) press(key string, modifiers int64) {
	b.t.Helper()
	codes := map[string]int64{" ": 32, "ArrowLeft": 37, "ArrowUp": 38, "ArrowRight": 39, "ArrowDown": 40, "Escape": 27, "Enter": 13,
		"PageUp": 33, "PageDown": 34, "End": 35, "Home": 36, "0": 48, "+": 187, "-": 189}
	text := ""
	if key == "Enter" {
		text = "\r"
	} else if len(key) == 1 {
		text = key
	}
	for _, kind := range []input.DispatchKeyEventType{"keyDown", "keyUp"} {
		p := input.DispatchKeyEventParams{Type: kind, Key: key, Modifiers: modifiers, WindowsVirtualKeyCode: codes[key]}
		if kind == "keyDown" {
			p.Text = text
		}
		call(b, input.DispatchKeyEvent, p)
	}
}

// TestKeys presses every key that the page tells of.
func TestKeys(t *testing.T) {
	c := demo(t)
	b := open(t, c.write(t, "harbour-steps", true), look{width: 1280, height: 800})
	b.wait("time.sound")
	at := func(what string, want float64) {
		t.Helper()
		if got := eval[float64](b, "time.now()"); math.Abs(got-want) > near {
			t.Errorf("%s: at %.3f, not %.3f", what, got, want)
		}
	}
	is := func(what, condition string) {
		t.Helper()
		if !eval[bool](b, condition) {
			t.Errorf("%s: not %s", what, condition)
		}
	}
	b.do("time.go(100)")
	b.press("ArrowRight", 0)
	at("right", 105)
	b.press("ArrowLeft", 0)
	b.press("ArrowLeft", 0)
	at("left", 95)
	b.press("ArrowRight", 8)
	at("shift right", 140) // the second segment, after 0:20 and 2:00
	b.press("ArrowRight", 8)
	at("shift right", 320)
	b.press("ArrowLeft", 8)
	at("shift left", 140)
	b.do("time.go(150)")
	b.press("ArrowLeft", 8)
	at("shift left within a segment", 140)
	b.press(" ", 0)
	b.wait("!time.audio.paused && time.now() > 140.3")
	b.press(" ", 0)
	is("space", "time.audio.paused && !time.playing")

	b.do("el('pane-box').focus()")
	b.press("+", 0)
	is("+", "Math.abs(view.scale / fit() - 2) < 1e-6")
	b.press("ArrowUp", 0)
	is("up", "Math.abs(view.scale / fit() - 4) < 1e-6")
	b.press("-", 0)
	b.press("ArrowDown", 0)
	is("- and down", "view.whole")
	b.do("zoom(8), show(0, view.scale)")
	b.press("PageDown", 0)
	is("page down", "Math.abs(view.from - 0.9 * span()) < 0.01")
	b.press("PageUp", 0)
	is("page up", "view.from === 0")
	b.press("0", 0)
	is("0", "view.whole")

	b.do("el('strip').focus()")
	b.press("End", 0)
	at("end", 1528)
	b.press("Home", 0)
	at("home", 0)
	is("the strip tells", "el('strip').getAttribute('aria-valuetext') === '-00:20, opening'")

	// A button keeps its own keys.
	b.do("el('on').focus()")
	b.press("Enter", 0)
	at("a button", 5)
	is("a button", "!time.playing")

	b.do("el('big').focus()")
	b.press("Enter", 0)
	is("the big screen", "big.open && !el('screen').hidden && document.activeElement === el('screen') && el('page').inert")
	b.press("ArrowRight", 8)
	at("on the big screen", 20)
	b.press(" ", 0)
	is("space on the big screen", "time.playing")
	b.press(" ", 0)
	b.press("Escape", 0)
	b.wait("!big.open && el('screen').hidden && !el('page').inert && document.activeElement === el('big')")
	b.quiet()
}

// TestPlaces follows every link of the check and every call and segment of the
// lists, and clicks on calls in the drawing.
func TestPlaces(t *testing.T) {
	c := faulty(t)
	b := open(t, c.write(t, "harbour-steps", true), look{width: 1280, height: 800})
	b.wait("time.sound")
	if n := eval[int](b, "document.querySelectorAll('#problems a').length"); n != len(c.problems) || n < 3 {
		t.Fatalf("%d links for %d problems", n, len(c.problems))
	}
	for i, p := range c.doc.Problems {
		b.do("document.querySelectorAll('#problems a')[%d].click()", i)
		if want := float64(p.At) / float64(c.doc.Rate); p.At >= 0 && math.Abs(eval[float64](b, "time.now()")-want) > near {
			t.Errorf("problem %d does not lead to %.3f", i+1, want)
		}
		if !eval[bool](b, "document.activeElement === el('pane-box') && time.now() >= view.from && time.now() <= view.from + span()") {
			t.Errorf("problem %d: its place is not in sight", i+1)
		}
		if !eval[bool](b, "[...document.querySelectorAll('#land text')].some(e => e.textContent === '%d')", i+1) {
			t.Errorf("problem %d: no flag with its number is drawn", i+1)
		}
	}
	// Without the script too a link leads somewhere.
	if lost := eval[int](b, "[...document.querySelectorAll('a')].filter(a => !document.querySelector(a.getAttribute('href'))).length"); lost > 0 {
		t.Errorf("%d links lead nowhere", lost)
	}
	wrong := eval[[]string](b, `[...document.querySelectorAll('button[data-at]')].filter(e => { e.click(); return Math.abs(time.now() - e.dataset.at) > 0.001 }).map(e => e.textContent)`)
	if len(wrong) > 0 {
		t.Errorf("these do not jump to their time: %q", wrong)
	}
	// The stroke and the text of a call in the drawing.
	b.do("reveal(335.0, 8)")
	for _, q := range c.doc.Cues {
		at := float64(q.Start) / float64(c.doc.Rate)
		if q.Lane != "speech" || at < 330 || at > 380 || q.Kind == "set" {
			continue
		}
		place := eval[[]float64](b, `(() => { const r = view.svg.getBoundingClientRect(); return [r.left + view.gutter + (%f - view.from) * view.scale + 3, r.top + view.layout.voice] })()`, at)
		b.run(chromedp.MouseClickXY(place[0], place[1]))
		if got := eval[float64](b, "time.now()"); math.Abs(got-at) > near {
			t.Errorf("a click on %q goes to %.3f, not %.3f", q.Text, got, at)
		}
		b.do("time.go(0)")
		text := eval[[]float64](b, `(() => { const e = [...document.querySelectorAll('#land .call')].filter(e => e.textContent === %q).map(e => e.getBoundingClientRect()).find(r => Math.abs(r.left - %f) < 12); return e ? [e.left + 5, e.top + e.height / 2] : [] })()`, q.Text, place[0])
		if len(text) == 0 {
			continue // no room for it at this scale
		}
		b.run(chromedp.MouseClickXY(text[0], text[1]))
		if got := eval[float64](b, "time.now()"); math.Abs(got-at) > near {
			t.Errorf("a click on the text %q goes to %.3f, not %.3f", q.Text, got, at)
		}
	}
	// Dragging moves the drawing and jumps nowhere.
	b.do("time.go(50), show(300, 4)")
	b.run(chromedp.DragAndDropXY(800, 300, 600, 300))
	if from, now := eval[float64](b, "view.from"), eval[float64](b, "time.now()"); math.Abs(from-350) > 1 || now != 50 {
		t.Errorf("after dragging 200 px at 4 px a second from 300 s: the view starts at %.2f, the time is %.2f", from, now)
	}
	b.do("document.querySelector('#landscape').dispatchEvent(new WheelEvent('wheel', {deltaY: -100, ctrlKey: true, clientX: 700, clientY: 300, cancelable: true, bubbles: true}))")
	if eval[float64](b, "view.scale") <= 4 {
		t.Error("Ctrl and the wheel do not come closer")
	}
	b.quiet()
}

// TestTouch pans with one finger and pinches with two.
func TestTouch(t *testing.T) {
	b := open(t, demo(t).write(t, "harbour-steps", true), look{width: 360, height: 740})
	b.do("show(300, 4)")
	box := eval[[]float64](b, "(() => { el('pane-box').scrollIntoView(); const r = view.svg.getBoundingClientRect(); return [r.left, r.top + 150] })()")
	touch := func(kind input.DispatchTouchEventType, points ...float64) {
		var list []*input.TouchPoint
		for i, x := range points {
			list = append(list, &input.TouchPoint{X: box[0] + x, Y: box[1], ID: new(float64(i))})
		}
		call(b, input.DispatchTouchEvent, input.DispatchTouchEventParams{Type: kind, TouchPoints: list})
	}
	touch("touchStart", 250)
	for x := 240.0; x >= 150; x -= 10 {
		touch("touchMove", x)
	}
	touch("touchEnd")
	if from := eval[float64](b, "view.from"); from < 315 || from > 326 {
		t.Errorf("after a finger moved 100 px at 4 px a second from 300 s the view starts at %.1f", from)
	}
	touch("touchStart", 150, 200)
	for d := 0.0; d <= 50; d += 10 {
		touch("touchMove", 150-d, 200+d)
	}
	touch("touchEnd")
	if scale := eval[float64](b, "view.scale"); scale < 8 || scale > 14 {
		t.Errorf("two fingers three times as far apart: %.1f px a second, it was 4", scale)
	}
	b.quiet()
}

package page_test

import (
	"fmt"
	"testing"

	"github.com/chromedp/chromedp"
)

// TestFloor: off the belt the big screen says so, without a speed or a unit, and tells what comes back; the ground goes on
// as the belt was left, and the class that ends there is not told to slow down.
func TestFloor(t *testing.T) {
	c := makeClass(t, "mats.yaml", `class: Harbour Mats
units: km/h
efforts:
  push: {speed: [9, 12], incline: 3}
  mat: {role: floor}
main:
  - {effort: push, for: 2m}
  - {effort: mat, for: 2m, note: plank}
  - {effort: push, for: 2m}
  - {effort: mat, for: 2m}
`)
	path := c.write(t, "mats", false)
	for _, size := range []look{{width: 1280, height: 800}, {width: 390, height: 844, dark: true}} {
		b := open(t, path, size)
		if got := eval[string](b, "[grounds[1].incline, grounds[1].fast, grounds[1].speed].join(' ')"); got != "3 0 floor" {
			t.Errorf("the mat is drawn at %q", got)
		}
		if got := eval[int](b, "[...document.querySelectorAll('[data-level]')].filter(e => e.textContent.includes('floor')).length"); got > 0 {
			t.Errorf("%d levels of what has none", got)
		}
		b.shoot(fmt.Sprintf("floor-%d", size.width), true)
		b.do("time.go(20 + 180)")
		b.run(chromedp.Click(chromedp.ID("big")))
		for _, x := range []struct{ id, want string }{{"screen-name", "mat"}, {"screen-targets", "off the belt"}, {"screen-next", "push, 9–12 km/h, incline 3 %"}} {
			if got := eval[string](b, "el('"+x.id+"').textContent"); got != x.want {
				t.Errorf("%s says %q, want %q", x.id, got, x.want)
			}
		}
		b.shoot(fmt.Sprintf("screen-floor-%d", size.width), false)
		b.do("time.go(20 + 420)")
		if got := eval[string](b, "el('screen-next').textContent"); got != "the end of the class" {
			t.Errorf("at the end of the floor the screen says %q", got)
		}
	}
}

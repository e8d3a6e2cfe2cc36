package page_test

import "testing"

// TestLongClass: a class of two hours with 2,000 calls costs no more to move in than one of
// 25 minutes: only what is seen is drawn, it is drawn anew only where the view leaves what
// is drawn, and nothing is drawn while it plays within it. What is counted are the elements
// of the drawing, which are the work of a frame, not the time of this machine.
func TestLongClass(t *testing.T) {
	type cost struct{ Elements, Panned, Playing int }
	costs := map[string]cost{}
	for name, c := range map[string]*pageClass{"short": demo(t), "long": twoHours(t)} {
		path := c.write(t, name, true)
		b := open(t, path, look{width: 1280, height: 800})
		b.wait("time.sound")
		costs[name] = eval[cost](b, `new Promise(async done => {
			const land = el('land'), frame = () => new Promise(requestAnimationFrame), count = () => land.querySelectorAll('*').length;
			show(600, 4); time.go(620); await frame(); await frame();
			const elements = count();
			let drawn = 0;
			const watch = new MutationObserver(list => { drawn += list.some(m => m.type === 'childList') });
			watch.observe(land, { childList: true, subtree: true });
			for (let n = 0; n < 100; n++) { show(view.from + 12 / view.scale, view.scale); await frame(); }
			const panned = drawn;
			show(600, 4); time.go(620); await frame(); await frame();
			drawn = 0;
			time.play();
			for (let n = 0; n < 30; n++) await frame();
			time.pause();
			done({ elements, panned, playing: drawn });
		})`)
		b.quiet()
	}
	t.Logf("%+v", costs)
	short, long := costs["short"], costs["long"]
	if short.Elements < 20 || long.Elements > 4*short.Elements {
		t.Errorf("%d elements are drawn of two hours, %d of 25 minutes", long.Elements, short.Elements)
	}
	if long.Panned < 1 || long.Panned > 30 {
		t.Errorf("the drawing was made anew %d times in 100 steps of 12 pixels", long.Panned)
	}
	if long.Playing > 0 {
		t.Errorf("the drawing was made anew %d times while it played within it", long.Playing)
	}
}

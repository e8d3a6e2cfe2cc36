package page_test

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
)

// sizes are a phone, a tablet, a laptop and a large screen.
var sizes = [][2]int64{{360, 740}, {768, 1024}, {1280, 800}, {2560, 1440}}

// TestLooks sees every view at four sizes in light and dark: nothing runs out of
// the paper sideways, and the digits of the big screen are a quarter of its height.
func TestLooks(t *testing.T) {
	path := faulty(t).write(t, "harbour-steps", true)
	for _, dark := range []bool{false, true} {
		for _, size := range sizes {
			if dark && size[0] == 768 {
				continue // colours hang on no width, and two dark ones are looked at beside the largest
			}
			name := fmt.Sprintf("%d-%s", size[0], map[bool]string{false: "light", true: "dark"}[dark])
			b := open(t, path, look{width: size[0], height: size[1], dark: dark})
			b.do("time.go(400)")
			b.shoot("see-"+name, false)
			b.do("document.querySelectorAll('.stretch').forEach(e => e.style.contentVisibility = 'visible')")
			b.do("reveal(400, 6)")
			b.shoot("whole-"+name, true)
			if over := eval[int](b, "document.documentElement.scrollWidth - innerWidth"); over > 0 {
				t.Errorf("%s: the page is %d px wider than the window", name, over)
			}
			b.run(chromedp.Click(chromedp.ID("big")))
			for _, at := range []float64{0, 400, 1500, 1527} {
				b.do("time.go(%v)", at)
				if over := eval[string](b, `[...document.querySelectorAll('#screen > *, #screen-left, #screen-clock, #screen-set')]
					.filter(e => e.scrollWidth > e.clientWidth + 1 && e.clientWidth || e.getBoundingClientRect().right > innerWidth || e.getBoundingClientRect().bottom > innerHeight)
					.map(e => e.id).join(' ')`); over != "" {
					t.Errorf("%s at %v s: %s runs out of the big screen", name, at, over)
				}
			}
			b.do("time.go(400)")
			b.shoot("screen-"+name, false)
			// The height of the ink of a digit, from the font itself.
			part := eval[float64](b, `(() => { const s = getComputedStyle(el('screen-left')), c = document.createElement('canvas').getContext('2d');
				c.font = s.fontWeight + ' ' + s.fontSize + ' ' + s.fontFamily; const m = c.measureText('1');
				return (m.actualBoundingBoxAscent + m.actualBoundingBoxDescent) / innerHeight })()`)
			if size[0] > size[1] && part < 0.25 {
				t.Errorf("%s: digits are %.0f %% of the screen's height", name, part*100)
			}
			b.quiet()
		}
	}
}

// TestLabels: every part over the drawing has its name on a laptop, of twenty sets at
// least the first, the last and every fifth have their number, and no two names touch.
func TestLabels(t *testing.T) {
	b := open(t, hour(t).write(t, "long-rise", false), look{width: 1024, height: 800})
	for _, width := range []int64{1024, 390} {
		b.look(look{width: width, height: 800})
		b.wait(fmt.Sprintf("view.layout.width > %d && view.layout.width < %d", width*9/10, width))
		has := eval[[]string](b, "[...document.querySelectorAll('#land .part, #land .set')].map(e => e.textContent)")
		want := []string{"main", "1", "5", "10", "15", "20"}
		if width == 1024 {
			want = append(want, "warm-up", "cool-down")
		}
		for _, name := range want {
			if !slices.Contains(has, name) {
				t.Errorf("at %d px %q is missing among %q", width, name, has)
			}
		}
		if pairs := eval[[]string](b, touching, "#land .part, #land .set"); len(pairs) > 0 {
			t.Errorf("at %d px these touch: %q", width, pairs)
		}
	}
}

// TestFlags: every problem with a place has a number on the drawing that can be read,
// with no other number over it and no pole through it.
func TestFlags(t *testing.T) {
	for name, c := range map[string]*pageClass{"jumpy": jumpy(t), "faulty": faulty(t)} {
		b := open(t, c.write(t, "flags", true), look{width: 1024, height: 800})
		for _, width := range []int64{1024, 390, 1920} {
			b.look(look{width: width, height: 800})
			b.wait(fmt.Sprintf("view.layout.width > %d && view.layout.width < %d", width*9/10, width))
			for _, closer := range []string{"show(0, 0)", "zoom(1.7)", "zoom(3), show(0, view.scale)"} {
				b.do(closer)
				if lost := eval[[]int](b, `(() => { const seen = [...document.querySelectorAll('#land .flag')].map(e => e.textContent);
					return data.flags.filter(f => f.from >= view.from && f.from <= view.from + span() && !seen.includes(String(f.number))).map(f => f.number) })()`); len(lost) > 0 {
					t.Errorf("%s at %d px, %s: flags without a number: %v", name, width, closer, lost)
				}
				if pairs := eval[[]string](b, touching, "#land .flag"); len(pairs) > 0 {
					t.Errorf("%s at %d px, %s: these touch: %q", name, width, closer, pairs)
				}
				if bad := eval[[]string](b, `(() => { const poles = [...document.querySelector('#land .pole').getAttribute('d').matchAll(/M([-\d.]+) [\d.]+V([\d.]+)/g)];
					return [...document.querySelectorAll('#land .flag')].filter(e => { const r = e.getBBox();
						return r.y + r.height > view.layout.height + 2 || poles.some(p => p[1] > r.x && p[1] < r.x + r.width && p[2] > r.y + 3) }).map(e => e.textContent) })()`); len(bad) > 0 {
					t.Errorf("%s at %d px, %s: under a pole or off the paper: %q", name, width, closer, bad)
				}
			}
		}
		b.quiet()
	}
}

// TestTable: the table of segments needs no scrolling from a phone to a large screen,
// and no number is torn from its unit.
func TestTable(t *testing.T) {
	for name, path := range map[string]string{"demo": demo(t).write(t, "harbour-steps", false), "hour": hour(t).write(t, "long-rise", false)} {
		b := open(t, path, look{width: 390, height: 800})
		for _, width := range []int64{360, 390, 768, 960, 961, 1024, 1920} {
			b.look(look{width: width, height: 800})
			if over := eval[int](b, "Math.max(document.documentElement.scrollWidth - innerWidth, (e => e.scrollWidth - e.clientWidth)(document.querySelector('.wide')))"); over > 0 {
				t.Errorf("%s at %d px: %d px too wide", name, width, over)
			}
			if torn := eval[[]string](b, "[...document.querySelectorAll('#segments .whole')].filter(e => e.getClientRects().length > 1).map(e => e.textContent)"); len(torn) > 0 {
				t.Errorf("%s at %d px: torn over two lines: %q", name, width, torn)
			}
			if width < 1920 {
				continue
			}
			if rows := eval[int](b, "[...document.querySelectorAll('tbody tr')].filter(e => e.getBoundingClientRect().height > 36).length"); rows > 0 {
				t.Errorf("%s at %d px: %d rows have two lines", name, width, rows)
			}
			if part := eval[float64](b, "document.querySelector('table').clientWidth / document.querySelector('main').clientWidth"); part < 0.95 {
				t.Errorf("%s at %d px: the table takes %.2f of the width", name, width, part)
			}
		}
	}
}

// touching lists the pairs of texts whose boxes overlap.
const touching = `(() => { const all = [...document.querySelectorAll('%s')].map(e => [e.textContent, e.getBBox()]), pairs = [];
	all.forEach(([a, p], i) => all.slice(i + 1).forEach(([b, q]) => {
		if (p.x < q.x + q.width && q.x < p.x + p.width && p.y + 3 < q.y + q.height && q.y + 3 < p.y + p.height) pairs.push(a + ' and ' + b);
	})); return pairs })()`

var pdfPage = regexp.MustCompile(`/Type\s*/Page\b[^s]`)

// TestPrint prints the demo class, and a class of an hour, on one or two sheets of either paper.
func TestPrint(t *testing.T) {
	for name, path := range map[string]string{"demo": demo(t).write(t, "harbour-steps", false), "faulty": faulty(t).write(t, "harbour-steps", false),
		"hour": hour(t).write(t, "long-rise", false)} {
		b := open(t, path, look{width: 1280, height: 800, dark: true})
		for paper, size := range map[string]chromedp.PaperSize{"a4": chromedp.PaperA4, "letter": chromedp.PaperLetter} {
			pdf := get(b, chromedp.PrintToPDF(chromedp.PDFPaper(size), chromedp.PDFPreferCSSPageSize()))
			keep(t, name+"-"+paper+".pdf", pdf)
			if n := len(pdfPage.FindAll(pdf, -1)); n < 1 || n > 2 {
				t.Errorf("%s on %s: %d pages", name, paper, n)
			}
			if bytes.Count(pdf, []byte("/Font")) == 0 {
				t.Errorf("%s on %s: no text", name, paper)
			}
		}
		// Dark paper is for screens.
		call(b, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Media: "print", Features: look{dark: true}.features()})
		for _, chosen := range []string{"", "dark"} {
			b.do("document.documentElement.dataset.theme = '%s'", chosen)
			if ink := eval[string](b, "getComputedStyle(document.body).color"); ink != "rgb(0, 0, 0)" {
				t.Errorf("%s: printed in %s", name, ink)
			}
		}
		if n := eval[int](b, "el('printed').querySelectorAll('text').length"); n < 20 {
			t.Errorf("%s: the drawing for print has %d texts", name, n)
		}
	}
}

// axePath finds axe-core where it was installed for the tests.
func axePath(t *testing.T) string {
	path := os.Getenv("CUEWRIGHT_AXE")
	if path == "" {
		path = filepath.Join("node_modules", "axe-core", "axe.min.js")
	}
	if _, err := os.Stat(path); err != nil {
		if os.Getenv("CUEWRIGHT_NEED_BROWSER") == "1" {
			t.Fatalf("axe-core is needed: %v", err)
		}
		t.Skip("no axe-core (CUEWRIGHT_AXE names its axe.min.js): accessibility is not tried")
	}
	return path
}

// TestAccessible runs axe-core over every view and finds nothing serious.
func TestAccessible(t *testing.T) {
	openBrowser(t)
	axe, err := os.ReadFile(axePath(t))
	if err != nil {
		t.Fatal(err)
	}
	for name, path := range map[string]string{"faulty": faulty(t).write(t, "harbour-steps", true), "hostile": hostile(t).write(t, hostileStem, true)} {
		for _, l := range []look{{width: 1280, height: 800}, {width: 1280, height: 800, dark: true}, {width: 360, height: 740}} {
			if name == "hostile" && (l.dark || l.width < 1000) {
				continue // its texts look as others do
			}
			b := open(t, path, l)
			b.do("document.querySelectorAll('.stretch').forEach(e => e.style.contentVisibility = 'visible')")
			eval[any](b, string(axe)+"; null")
			for view, act := range map[string]func(){
				"see":    func() {},
				"help":   func() { b.do("el('how-box').open = true") },
				"zoomed": func() { b.do("zoom(6)") },
				"screen": func() { b.do("time.go(400)"); b.run(chromedp.Click(chromedp.ID("big"))) },
			} {
				act()
				found := eval[struct {
					Bad    []string
					Passes int
				}](b, `axe.run().then(r => ({Bad: r.violations.filter(v => v.impact === 'serious' || v.impact === 'critical')
					.map(v => v.id + ': ' + v.help + ' ' + v.nodes.slice(0, 3).map(n => n.html.slice(0, 160)).join(' | ')), Passes: r.passes.length}))`)
				for _, f := range found.Bad {
					t.Errorf("%s, %s, %d px, dark %v: %s", name, view, l.width, l.dark, f)
				}
				if found.Passes < 5 {
					t.Errorf("%s, %s: only %d rules were tried", name, view, found.Passes)
				}
				b.do("closeScreen()")
			}
		}
	}
}

// TestLongCounts: sets in sets with names, and distances, stay inside the big screen and the page.
func TestLongCounts(t *testing.T) {
	text, err := os.ReadFile("../../../testdata/plans/good/quay-ladders.yaml")
	if err != nil {
		t.Fatal(err)
	}
	path := makeClass(t, "quay-ladders.yaml", string(text)).write(t, "quay-ladders", false)
	for _, size := range [][2]int64{{360, 740}, {1280, 800}} {
		b := open(t, path, look{width: size[0], height: size[1]})
		b.do("time.go(20 + 35 * 60 + 10)") // in the first set of the first set
		if over := eval[int](b, "document.documentElement.scrollWidth - innerWidth"); over > 0 {
			t.Errorf("%d px: the page is %d px wider than the window", size[0], over)
		}
		b.run(chromedp.Click(chromedp.ID("big")))
		b.do("time.go(20 + 35 * 60 + 10)")
		if got := eval[string](b, "el('screen-set').textContent"); got != "set 1 of 2, set 1 of 3" {
			t.Errorf("%d px: the big screen says %q", size[0], got)
		}
		if over := eval[string](b, `[...document.querySelectorAll('#screen > *, #screen-left, #screen-clock, #screen-set')]
			.filter(e => e.scrollWidth > e.clientWidth + 1 && e.clientWidth || e.getBoundingClientRect().right > innerWidth || e.getBoundingClientRect().bottom > innerHeight)
			.map(e => e.id).join(' ')`); over != "" {
			t.Errorf("%d px: %s runs out of the big screen", size[0], over)
		}
		b.shoot(fmt.Sprintf("counts-%d", size[0]), false)
	}
}

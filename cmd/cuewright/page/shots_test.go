package page_test

import (
	"fmt"
	"testing"

	"github.com/chromedp/chromedp"
)

func TestQuick(t *testing.T) {
	c := faulty(t)
	path := c.write(t, "harbour-steps", true)
	for _, dark := range []bool{false, true} {
		for _, size := range [][2]int64{{360, 740}, {768, 1024}, {1280, 800}, {2560, 1440}} {
			name := fmt.Sprintf("%d-%s", size[0], map[bool]string{false: "light", true: "dark"}[dark])
			l := look{width: size[0], height: size[1], dark: dark}
			b := open(t, path, l)
			b.do("time.go(400)")
			b.shoot("see-"+name, false)
			b.do("reveal(400, 6), document.getElementById('list').style.contentVisibility='visible', document.querySelectorAll('.stretch').forEach(e=>e.style.contentVisibility='visible')")
			b.shoot("whole-"+name, true)
			b.run(chromedp.Click(chromedp.ID("big")))
			b.shoot("screen-"+name, false)
			b.quiet()
		}
	}
	b := open(t, path, look{width: 1280, height: 800})
	keep(t, "a4.pdf", get(b, chromedp.PrintToPDF(chromedp.PDFPaper(chromedp.PaperA4), chromedp.PDFPreferCSSPageSize())))
	b.quiet()
}

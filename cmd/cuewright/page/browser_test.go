package page_test

import (
	"context"
	"flag"
	"fmt"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
)

// shots is where screenshots and print sheets are kept to be looked at.
var shots = flag.String("shots", "", "keep screenshots and print sheets in this `DIR`")

// A browser is opened once for all tests.
var browser struct {
	once sync.Once
	ctx  context.Context
	stop []func()
	err  error
}

func TestMain(m *testing.M) {
	code := m.Run()
	for i := len(browser.stop) - 1; i >= 0; i-- {
		browser.stop[i]()
	}
	os.Exit(code)
}

// openBrowser skips the test where there is no browser, unless
// CUEWRIGHT_NEED_BROWSER=1 says that there must be one, and in short runs.
func openBrowser(t testing.TB) context.Context {
	if testing.Short() {
		t.Skip("a browser is slow enough without the race detector")
	}
	path := ""
	for _, name := range []string{"chromium", "chromium-browser"} {
		if found, err := exec.LookPath(name); err == nil {
			path = found
			break
		}
	}
	if path == "" {
		if os.Getenv("CUEWRIGHT_NEED_BROWSER") == "1" {
			t.Fatal("no chromium on the PATH, and CUEWRIGHT_NEED_BROWSER=1 asks for one")
		}
		t.Skip("no chromium on the PATH: the page is not tried in a browser")
	}
	browser.once.Do(func() {
		dir, err := os.MkdirTemp("", "page-browser-")
		if err != nil {
			browser.err = err
			return
		}
		options := []chromedp.ExecAllocatorOption{chromedp.ExecPath(path), chromedp.UserDataDir(dir), chromedp.NoFirstRun}
		for _, f := range []string{"headless", "no-sandbox", "disable-gpu", "disable-quic", "disable-background-networking",
			"disable-component-update", "disable-sync", "disable-dev-shm-usage", "hide-scrollbars", "mute-audio"} {
			options = append(options, chromedp.Flag(f, true))
		}
		options = append(options, chromedp.Flag("autoplay-policy", "no-user-gesture-required"))
		alloc, stop := chromedp.NewExecAllocator(context.Background(), options...)
		ctx, cancel := chromedp.NewContext(alloc)
		browser.stop = append(browser.stop, func() { os.RemoveAll(dir) }, stop, cancel)
		browser.ctx, browser.err = ctx, chromedp.Do(ctx, chromedp.Navigate("about:blank"))
	})
	if browser.err != nil {
		t.Fatal("the browser does not start: ", browser.err)
	}
	return browser.ctx
}

// A tab is a page opened in the browser, with what it asked for and complained of.
type tab struct {
	t   testing.TB
	ctx context.Context

	mu       sync.Mutex
	requests []string
	errors   []string
}

// A look is how a tab is seen.
type look struct {
	width, height int64
	dark, still   bool
}

func (l look) features() []*emulation.MediaFeature {
	scheme, motion := "light", "no-preference"
	if l.dark {
		scheme = "dark"
	}
	if l.still {
		motion = "reduce"
	}
	return []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: scheme}, {Name: "prefers-reduced-motion", Value: motion}}
}

// open opens a file from the disk in a tab of its own.
func open(t testing.TB, path string, l look) *tab {
	ctx, cancel := chromedp.NewContext(openBrowser(t))
	ctx, stop := context.WithTimeout(ctx, 3*time.Minute)
	t.Cleanup(func() { stop(); cancel() })
	b := &tab{t: t, ctx: ctx}
	if err := chromedp.Listen(ctx, b.hear); err != nil {
		t.Fatal(err)
	}
	call(b, network.Enable, network.EnableParams{})
	call(b, log.Enable, cdp.Empty{})
	call(b, runtime.Enable, cdp.Empty{})
	b.look(l)
	b.run(navigate(path))
	return b
}

// hear keeps what the page asks for and complains of.
func (b *tab) hear(event any) {
	b.mu.Lock()
	defer b.mu.Unlock()
	switch e := event.(type) {
	case *network.EventRequestWillBeSent:
		b.requests = append(b.requests, e.Request.URL)
	case *runtime.EventExceptionThrown:
		text := e.ExceptionDetails.Text
		if x := e.ExceptionDetails.Exception; x != nil {
			text += " " + x.Description
		}
		b.errors = append(b.errors, text)
	case *runtime.EventConsoleAPICalled:
		if e.Type == runtime.ConsoleAPICalledTypeError || e.Type == runtime.ConsoleAPICalledTypeWarning {
			b.errors = append(b.errors, fmt.Sprint(e.Type, e.Args))
		}
	case *log.EventEntryAdded:
		if e.Entry.Level == "error" || e.Entry.Level == "warning" {
			b.errors = append(b.errors, e.Entry.Text+" "+e.Entry.URL)
		}
	}
}

func navigate(path string) chromedp.Action[chromedp.Void] { return chromedp.Navigate(fileURL(path)) }

func fileURL(path string) string {
	path, _ = filepath.Abs(path)
	return (&url.URL{Scheme: "file", Path: path}).String()
}

func (b *tab) run(steps ...chromedp.Action[chromedp.Void]) {
	b.t.Helper()
	if err := chromedp.Do(b.ctx, steps...); err != nil {
		b.t.Fatal(err)
	}
}

// get runs an action for its value.
func get[T any](b *tab, a chromedp.Action[T]) T {
	b.t.Helper()
	v, err := chromedp.Run(b.ctx, a)
	if err != nil {
		b.t.Fatal(err)
	}
	return v
}

// call runs a command of the browser's protocol.
func call[P, R any](b *tab, c cdp.Command[P, R], params P) R {
	b.t.Helper()
	r, err := chromedp.Call(b.ctx, c, params)
	if err != nil {
		b.t.Fatal(err)
	}
	return r
}

func (b *tab) look(l look) {
	b.t.Helper()
	call(b, emulation.SetDeviceMetricsOverride, emulation.SetDeviceMetricsOverrideParams{Width: l.width, Height: l.height, DeviceScaleFactor: 1})
	call(b, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Features: l.features()})
}

// eval runs an expression in the page; a promise is waited for.
func eval[T any](b *tab, expression string, args ...any) T {
	b.t.Helper()
	if len(args) > 0 {
		expression = fmt.Sprintf(expression, args...)
	}
	v, err := chromedp.Run(b.ctx, chromedp.Evaluate[T](expression, chromedp.EvalAwaitPromise))
	if err != nil {
		b.t.Fatalf("%s: %v", expression, err)
	}
	return v
}

// do runs a statement whose value is of no interest.
func (b *tab) do(statement string, args ...any) {
	b.t.Helper()
	eval[bool](b, "("+statement+", true)", args...)
}

// wait waits until a condition holds.
func (b *tab) wait(condition string) {
	b.t.Helper()
	if _, err := chromedp.Run(b.ctx, chromedp.Poll[bool](condition, chromedp.WithPollingTimeout(20*time.Second))); err != nil {
		b.t.Fatalf("%s: %v", condition, err)
	}
}

// quiet fails where the page complained, or asked for anything but itself and
// its track.
func (b *tab) quiet(allowed ...string) {
	b.t.Helper()
	b.mu.Lock()
	defer b.mu.Unlock()
	for _, e := range b.errors {
		if !slices.ContainsFunc(allowed, func(s string) bool { return strings.Contains(e, s) }) {
			b.t.Errorf("the console says: %s", e)
		}
	}
	for _, r := range b.requests {
		if !strings.HasPrefix(r, "file:") && !strings.HasPrefix(r, "blob:") {
			b.t.Errorf("a request leaves the page: %s", r)
		}
	}
}

// shoot takes a screenshot and keeps it where -shots says.
func (b *tab) shoot(name string, whole bool) {
	if *shots == "" {
		return
	}
	b.t.Helper()
	action := chromedp.CaptureScreenshot()
	if whole {
		action = chromedp.FullScreenshot(100)
	}
	png := get(b, action)
	if len(png) < 2000 {
		b.t.Errorf("%s: a screenshot of %d bytes", name, len(png))
	}
	keep(b.t, name+".png", png)
}

func keep(t testing.TB, name string, data []byte) {
	if *shots == "" {
		return
	}
	if err := os.WriteFile(filepath.Join(*shots, name), data, 0o644); err != nil {
		t.Error(err)
	}
}

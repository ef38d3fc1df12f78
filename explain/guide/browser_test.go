//go:build browser

package guide

import (
	"context"
	"encoding/json"
	"flag"
	"fmt"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/chromedp"
)

const (
	chromium = "/usr/bin/chromium"
	axeCore  = "../../.ci/browser/node_modules/axe-core/axe.min.js"
)

var shots = flag.String("shots", "", "keep pictures of the page in this folder")

// browse opens a page in a browser, and gives what it asked of any network besides itself, and what it complained of.
func browse(t *testing.T, page string) (ctx context.Context, told func() []string) {
	t.Helper()
	server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Content-Type", "text/html; charset=utf-8")
		fmt.Fprint(w, page)
	}))
	t.Cleanup(server.Close)
	opts := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(chromium), chromedp.NoSandbox,
		chromedp.Flag("disable-background-networking", true), chromedp.Flag("disable-sync", true), chromedp.Flag("disable-quic", true))
	alloc, stop := chromedp.NewExecAllocator(context.Background(), opts...)
	t.Cleanup(stop)
	ctx, cancel := chromedp.NewContext(alloc)
	t.Cleanup(cancel)
	var mu sync.Mutex
	var heard []string
	do(t, ctx, chromedp.Navigate("about:blank")) // opens the target, so that nothing is missed
	if _, err := chromedp.Call(ctx, network.Enable, network.EnableParams{}); err != nil {
		t.Fatal(err)
	}
	if err := chromedp.Listen(ctx, func(ev any) {
		if r, ok := ev.(*network.EventRequestWillBeSent); ok && r.Request.URL != server.URL+"/" && r.Request.URL != "data:," {
			mu.Lock()
			defer mu.Unlock()
			heard = append(heard, "asked for "+r.Request.URL)
		}
	}); err != nil {
		t.Fatal(err)
	}
	console := chromedp.Console(ctx)
	go func() {
		for m, err := range console {
			if err != nil {
				return
			}
			mu.Lock()
			heard = append(heard, m.Text)
			mu.Unlock()
		}
	}()
	do(t, ctx, chromedp.Navigate(server.URL+"/"))
	return ctx, func() []string {
		mu.Lock()
		defer mu.Unlock()
		return append([]string(nil), heard...)
	}
}

func do(t *testing.T, ctx context.Context, steps ...chromedp.Action[chromedp.Void]) {
	t.Helper()
	if err := chromedp.Do(ctx, steps...); err != nil {
		t.Fatal(err)
	}
}

func eval[T any](t *testing.T, ctx context.Context, js string) T {
	t.Helper()
	v, err := chromedp.Run(ctx, chromedp.Evaluate[T](js, chromedp.EvalAwaitPromise))
	if err != nil {
		t.Fatalf("%s: %v", js[:min(len(js), 200)], err)
	}
	return v
}

// look keeps a picture of what the window shows.
func look(t *testing.T, ctx context.Context, name string) {
	t.Helper()
	if *shots == "" {
		return
	}
	png, err := chromedp.Run(ctx, chromedp.CaptureScreenshot())
	if err == nil {
		err = os.WriteFile(filepath.Join(*shots, name+".png"), png, 0o666)
	}
	if err != nil {
		t.Fatal(err)
	}
}

// light sets what the reader's system prefers: light or dark.
func light(t *testing.T, ctx context.Context, scheme string) {
	t.Helper()
	_, err := chromedp.Call(ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{
		Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: scheme}},
	})
	if err != nil {
		t.Fatal(err)
	}
}

// TestPageInABrowser opens the shipped handbook, searches it, follows a result, and looks at it wide and narrow.
func TestPageInABrowser(t *testing.T) {
	ctx, told := browse(t, html(t, New(shipped(t))))
	do(t, ctx, chromedp.EmulateViewport(1280, 900))
	look(t, ctx, "wide-top")
	if got := eval[int](t, ctx, `document.querySelectorAll("#results a").length`); got != 0 {
		t.Errorf("%d results before anything was searched", got)
	}

	do(t, ctx, chromedp.SendKeys("#words", "blotter"), chromedp.WaitVisible("#results a"))
	look(t, ctx, "wide-search")
	found := eval[string](t, ctx, `document.getElementById("found").textContent`)
	want := eval[int](t, ctx, `[...document.querySelectorAll("article")].filter((a) => a.textContent.toLowerCase().includes("blotter")).length`)
	if want < 10 || found != fmt.Sprintf("%d places", want) {
		t.Errorf("it says %q, and there are %d", found, want)
	}
	first := eval[string](t, ctx, `document.querySelector("#results a[href^='#treatment-']").getAttribute("href")`)
	if first != "#treatment-blotter-wash" {
		t.Errorf("the first treatment found is %s, though one has the word in its name", first)
	}
	if bad := eval[[]string](t, ctx, `[...document.querySelectorAll("#results a")].map((a) => a.getAttribute("href"))
		.filter((h) => !document.getElementById(h.slice(1)).textContent.toLowerCase().includes("blotter"))`); len(bad) > 0 {
		t.Errorf("found without the word: %v", bad)
	}
	if n := eval[int](t, ctx, `CSS.highlights.get("found").size`); n < want {
		t.Errorf("%d words are marked in %d places", n, want)
	}

	eval[bool](t, ctx, `document.querySelector("#results a[href='#treatment-blotter-wash']").click(), true`)
	time.Sleep(300 * time.Millisecond)
	if top := eval[float64](t, ctx, `document.getElementById("treatment-blotter-wash").getBoundingClientRect().top`); top < -2 || top > 100 {
		t.Errorf("the result is %v px from the top after it was followed", top)
	}
	look(t, ctx, "wide-treatment")
	eval[bool](t, ctx, `location.hash = "#"+document.querySelector(".beside").closest("article").id, true`)
	time.Sleep(300 * time.Millisecond)
	look(t, ctx, "wide-rule")
	eval[bool](t, ctx, `location.hash = "#test-ink.wet", true`)
	time.Sleep(300 * time.Millisecond)
	look(t, ctx, "wide-test")

	eval[bool](t, ctx, `document.getElementById("words").select(), true`)
	do(t, ctx, chromedp.SendKeys("#words", "no-such-word-anywhere"))
	time.Sleep(500 * time.Millisecond)
	if got := eval[string](t, ctx, `document.getElementById("found").textContent + document.getElementById("results").textContent`); got != "0 places" {
		t.Errorf("for a word that is nowhere it says %q", got)
	}

	do(t, ctx, chromedp.EmulateViewport(420, 900))
	eval[bool](t, ctx, `location.hash = "", scrollTo(0, 0), true`)
	look(t, ctx, "narrow-top")
	for _, id := range []string{"treatment-blotter-wash", "rule-wash-moving-ink", "test-ink.wet", "sources"} {
		eval[bool](t, ctx, `location.hash = "#`+id+`", true`)
		time.Sleep(300 * time.Millisecond)
		look(t, ctx, "narrow-"+id)
	}
	if wide := eval[int](t, ctx, `document.documentElement.scrollWidth`); wide > 420 {
		t.Errorf("a narrow window must be scrolled sideways: the page is %d px wide", wide)
	}
	if heard := told(); len(heard) > 0 {
		t.Errorf("the page asked for something or complained: %v", heard)
	}
}

// TestPageByKeyboard: the first Tab skips to the text, the search is reached and its results are followed by keys alone.
func TestPageByKeyboard(t *testing.T) {
	ctx, _ := browse(t, html(t, New(small(t))))
	active := func() string {
		return eval[string](t, ctx, `document.activeElement.id || document.activeElement.className || document.activeElement.getAttribute("href") || ""`)
	}
	tab := func() { do(t, ctx, chromedp.KeyEvent("\t")) }
	tab()
	if got := active(); got != "skip" {
		t.Errorf("the first stop is %q", got)
	}
	tab()
	if got := active(); got != "words" {
		t.Fatalf("the second stop is %q", got)
	}
	do(t, ctx, chromedp.KeyEvent("gloves"))
	do(t, ctx, chromedp.WaitVisible("#results a"))
	tab()
	if got := active(); got != "#treatment-bath" {
		t.Errorf("after the search comes %q", got)
	}
	do(t, ctx, chromedp.KeyEvent("\r"))
	if got := eval[string](t, ctx, `location.hash`); got != "#treatment-bath" {
		t.Errorf("Enter leads to %q", got)
	}
}

// TestPageForAll: axe-core finds nothing wrong with the shipped handbook, in light and dark, wide and narrow, with results
// shown. It checks the Web Content Accessibility Guidelines 2.2, A and AA, and its own good practice. Of entries
// that are built alike it looks at a few: what the page shows a thousand times over differs in its words only.
func TestPageForAll(t *testing.T) {
	axe, err := os.ReadFile(axeCore)
	if err != nil {
		t.Fatalf("%v\n`.ci/browser.sh` installs it", err)
	}
	ctx, _ := browse(t, html(t, New(shipped(t))))
	eval[bool](t, ctx, string(axe)+"; true")
	do(t, ctx, chromedp.SendKeys("#words", "blotter"), chromedp.WaitVisible("#results a"))
	if left := eval[int](t, ctx, thin); left < 8 || left > 200 {
		t.Fatalf("%d entries are left to be looked at", left)
	}
	for _, scheme := range []string{"light", "dark"} {
		light(t, ctx, scheme)
		for _, width := range []int64{1280, 420} {
			do(t, ctx, chromedp.EmulateViewport(width, 900))
			name := fmt.Sprintf("%s-%d", scheme, width)
			look(t, ctx, name)
			checkAxe(t, ctx, name)
		}
	}
}

// thin leaves the articles that hold something, by tags and classes, that no article before them does.
const thin = `(() => {
	const seen = new Set();
	const name = (e) => e.localName + "." + e.className;
	for (const a of document.querySelectorAll("article")) {
		const fresh = [a, ...a.querySelectorAll("*")].map((e) => name(a) + " " + name(e.parentElement) + " " + name(e)).filter((s) => !seen.has(s));
		if (!fresh.length) a.remove();
		fresh.forEach((s) => seen.add(s));
	}
	const ids = new Set([...document.querySelectorAll("[id]")].map((e) => e.id));
	document.querySelectorAll("a[href^='#']").forEach((a) => { if (!ids.has(a.hash.slice(1))) a.href = "#text"; });
	return document.querySelectorAll("article").length;
})()`

func checkAxe(t *testing.T, ctx context.Context, name string) {
	t.Helper()
	report := eval[string](t, ctx, `axe.run(document, {resultTypes: ["violations"], iframes: false}).then((r) => JSON.stringify({passes: r.passes.length,
		violations: r.violations.map((v) => v.id + ": " + v.help + ", at " + v.nodes.slice(0, 3).map((n) => n.target.join(" ")).join("; "))}))`)
	var r struct {
		Passes     int
		Violations []string
	}
	if err := json.Unmarshal([]byte(report), &r); err != nil {
		t.Fatal(err)
	}
	if r.Passes < 20 {
		t.Errorf("%s: only %d checks were made", name, r.Passes)
	}
	if len(r.Violations) > 0 {
		t.Errorf("%s:\n%s", name, strings.Join(r.Violations, "\n"))
	}
}

// TestPageWithoutScripts: with scripts off, the search is not offered and every entry is there to read.
func TestPageWithoutScripts(t *testing.T) {
	ctx, _ := browse(t, strings.ReplaceAll(html(t, New(small(t))), "<script>"+script+"</script>", ""))
	if eval[bool](t, ctx, `document.getElementById("search").checkVisibility()`) {
		t.Error("a search is offered that cannot work")
	}
	if hidden := eval[int](t, ctx, `[...document.querySelectorAll("article, article *")].filter((e) => !e.checkVisibility()).length`); hidden > 0 {
		t.Errorf("%d parts cannot be read", hidden)
	}
}

// TestPageOnPaper prints the small handbook.
func TestPageOnPaper(t *testing.T) {
	ctx, _ := browse(t, html(t, New(small(t))))
	pdf, err := chromedp.Run(ctx, chromedp.PrintToPDF(chromedp.PDFPreferCSSPageSize()))
	if err != nil || !strings.HasPrefix(string(pdf), "%PDF-") {
		t.Fatalf("no page was printed: %v", err)
	}
	if _, err := chromedp.Call(ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Media: "print"}); err != nil {
		t.Fatal(err)
	}
	do(t, ctx, chromedp.EmulateViewport(700, 1600))
	look(t, ctx, "paper")
	if eval[bool](t, ctx, `document.querySelector("#search, .back").checkVisibility()`) {
		t.Error("a search is printed")
	}
	if *shots != "" {
		if err := os.WriteFile(filepath.Join(*shots, "paper.pdf"), pdf, 0o666); err != nil {
			t.Fatal(err)
		}
	}
}

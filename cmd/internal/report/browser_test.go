package report

import (
	"context"
	"fmt"
	"io"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
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
	"github.com/chromedp/chromedp/kb"

	"stavewright/optimize"
)

// A browser is one Chromium for all the tests of a run, and what went wrong in it.
type browser struct {
	ctx context.Context
	dir string

	mu    sync.Mutex
	wrong []string // console errors, exceptions, requests for anything but the page itself
}

// newBrowser starts Debian's headless Chromium. It is asked for by STAVEWRIGHT_REQUIRE_SOLVERS=1, and may be missing otherwise.
func newBrowser(t *testing.T) *browser {
	t.Helper()
	path, err := exec.LookPath("chromium")
	if err != nil {
		if os.Getenv("STAVEWRIGHT_REQUIRE_SOLVERS") == "1" {
			t.Fatal("chromium is not installed")
		}
		t.Skip("needs chromium")
	}
	options := append(slices.Clone(chromedp.DefaultExecAllocatorOptions[:]), chromedp.ExecPath(path), chromedp.WindowSize(1280, 900),
		chromedp.WSURLReadTimeout(5*time.Minute))
	if os.Getuid() == 0 {
		options = append(options, chromedp.NoSandbox) // Chromium refuses to sandbox for root
	}
	limited, cancel := context.WithTimeout(t.Context(), 20*time.Minute) // a minute or two, on a machine under load far longer
	t.Cleanup(cancel)
	allocated, cancel := chromedp.NewExecAllocator(limited, options...)
	t.Cleanup(cancel)
	ctx, cancel := chromedp.NewContext(allocated)
	t.Cleanup(cancel)
	b := &browser{ctx: ctx, dir: t.TempDir()}
	err = chromedp.Listen(ctx, func(event any) {
		switch e := event.(type) {
		case *network.EventRequestWillBeSent:
			if !strings.HasPrefix(e.Request.URL, "file://") || e.Type != network.ResourceTypeDocument {
				b.note("requested " + e.Request.URL)
			}
		case *runtime.EventExceptionThrown:
			b.note("threw " + e.ExceptionDetails.Text)
		case *runtime.EventConsoleAPICalled:
			b.note("said to the console: " + string(e.Type))
		case *log.EventEntryAdded:
			b.note("logged " + e.Entry.Text)
		}
	})
	if err != nil {
		t.Fatal(err)
	}
	call(t, b, network.Enable, network.EnableParams{})
	call(t, b, log.Enable, cdp.Empty{})
	return b
}

func (b *browser) note(s string) {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.wrong = append(b.wrong, s)
}

// quiet fails on whatever went wrong since it was last asked.
func (b *browser) quiet(t *testing.T) {
	t.Helper()
	b.mu.Lock()
	defer b.mu.Unlock()
	for _, w := range b.wrong {
		t.Errorf("the page %s", w)
	}
	b.wrong = nil
}

func (b *browser) run(t *testing.T, steps ...chromedp.Action[chromedp.Void]) {
	t.Helper()
	if err := chromedp.Do(b.ctx, steps...); err != nil {
		t.Fatal(err)
	}
}

// call sends a command of the browser's own protocol.
func call[P, R any](t *testing.T, b *browser, command cdp.Command[P, R], p P) {
	t.Helper()
	if _, err := chromedp.Call(b.ctx, command, p); err != nil {
		t.Fatal(err)
	}
}

func (b *browser) click(t *testing.T, selector string) {
	t.Helper()
	b.run(t, chromedp.Click(chromedp.CSS(selector)))
}

// open shows a page in a window of a size.
func (b *browser) open(t *testing.T, name string, html []byte, width, height int64) {
	t.Helper()
	path := filepath.Join(b.dir, name+".html")
	if err := os.WriteFile(path, html, 0o644); err != nil {
		t.Fatal(err)
	}
	b.run(t, chromedp.EmulateViewport(width, height), chromedp.Navigate((&url.URL{Scheme: "file", Path: path}).String()))
}

// ask is what a script's expression comes to.
func ask[T any](t *testing.T, b *browser, script string) T {
	t.Helper()
	out, err := chromedp.Run(b.ctx, chromedp.Evaluate[T](script))
	if err != nil {
		t.Fatalf("%s: %v", script, err)
	}
	return out
}

// expect holds an expression of the page to what it must be.
func expect[T comparable](t *testing.T, b *browser, want T, script string) {
	t.Helper()
	if got := ask[T](t, b, script); got != want {
		t.Errorf("%s is %v, want %v", script, got, want)
	}
}

const dotMiddle = `(() => { const r = document.querySelector('.front-chart .dot[data-point="%d"] circle:last-child').getBoundingClientRect(); return [r.x + r.width/2, r.y + r.height/2] })()`

func (b *browser) dot(t *testing.T, i int) (x, y float64) {
	t.Helper()
	at := ask[[]float64](t, b, `document.querySelector('.front-chart').scrollIntoView(), `+fmt.Sprintf(dotMiddle, i))
	return at[0], at[1]
}

const (
	title    = `document.getElementById('picked-h').firstElementChild.textContent`
	massShow = `document.querySelector('.figures [data-k="mass"]').textContent`
	visible  = `[...document.querySelectorAll('[data-row]')].filter(e => e.checkVisibility()).map(e => +e.dataset.row).join(' ')`
)

func TestBrowser(t *testing.T) {
	if testing.Short() {
		t.Skip("a browser, in full runs")
	}
	b := newBrowser(t)
	front := sampleFront(t)
	front.Program.Limits.DesignLoadN, front.Program.Limits.SafetyFactor = 700, 2
	html := frontPage(t, front)
	text := func(i int) string { return Fixed(front.Points[i].CoreMassG, 2) }
	open := func(t *testing.T) { b.open(t, "front", html, 1280, 900) }

	t.Run("pick by mouse, finger and keyboard", func(t *testing.T) {
		open(t)
		expect(t, b, "Point 4 of 6", title)
		x, y := b.dot(t, 1)
		b.run(t, chromedp.MouseClickXY(x, y))
		expect(t, b, "Point 2 of 6", title)
		expect(t, b, text(1), massShow)
		expect(t, b, 1, `document.querySelectorAll('.dot[aria-current]').length`)
		expect(t, b, "1", `document.querySelector('[data-row][aria-current]').dataset.row`)
		strips := `JSON.parse(document.getElementById('data').textContent).points[1].strips.every((wood, i) =>
			[...document.querySelectorAll('#picked figure:not(#other) [data-strip="' + i + '"]')].every(e => e.getAttribute('fill') === 'url(#wood' + wood + ')'))`
		expect(t, b, true, strips)

		x, y = b.dot(t, 4)
		b.run(t, chromedp.TapXY(x+6, y+6)) // a finger does not hit a dot's middle
		expect(t, b, "Point 5 of 6", title)

		ask[bool](t, b, `scrollTo(0, 0), true`)
		b.run(t, chromedp.MouseClickXY(3, 3)) // from where the tabulator starts
		for range 20 {
			b.run(t, chromedp.KeyEvent(kb.Tab))
			if ask[bool](t, b, `document.activeElement.classList.contains('dot')`) {
				break
			}
		}
		expect(t, b, "4", `document.activeElement.dataset.point`)
		for _, step := range []struct {
			key  string
			want int
		}{{kb.ArrowRight, 5}, {kb.ArrowLeft, 4}, {kb.Home, 0}, {kb.ArrowDown, 0}, {kb.ArrowUp, 1}, {kb.End, 5}} {
			b.run(t, chromedp.KeyEvent(step.key))
			expect(t, b, fmt.Sprintf("Point %d of 6", step.want+1), title)
			expect(t, b, fmt.Sprint(step.want), `document.activeElement.dataset.point`)
		}
		expect(t, b, 1, `document.querySelectorAll('.dot[tabindex="0"]').length`)
		b.click(t, `[data-go="start"]`)
		expect(t, b, "Point 4 of 6", title)
		b.quiet(t)
	})

	t.Run("compare two points", func(t *testing.T) {
		open(t)
		expect(t, b, "Reference", `document.querySelector('.figures [data-vs-name]').textContent`)
		b.click(t, `[data-go="last"]`)
		b.click(t, `#hold`)
		b.click(t, `[data-go="first"]`)
		expect(t, b, "Point 1 of 6", title)
		expect(t, b, "5", `document.getElementById('against').value`)
		expect(t, b, 0, `[...document.querySelectorAll('[data-vs-name]')].filter(e => e.textContent !== 'Point 6').length`)
		a, z := front.Points[0], front.Points[5]
		for _, f := range []struct{ key, first, last string }{
			{"mass", text(0), text(5)},
			{"ei", Fixed(a.EINM2, 2), Fixed(z.EINM2, 2)},
			{"cost", a.Cost.StringFixed(2), z.Cost.StringFixed(2)},
			{"fast", Fixed(a.FastGrownPct, 1), Fixed(z.FastGrownPct, 1)},
		} {
			expect(t, b, f.first+" "+f.last+" "+differenceOf(f.first, f.last),
				fmt.Sprintf(`['k', 'c', 'd'].map(k => document.querySelector('.figures [data-' + k + '="%s"]').textContent).join(' ')`, f.key))
		}
		expect(t, b, true, `JSON.parse(document.getElementById('data').textContent).points[5].strips.every((wood, i) =>
			[...document.querySelectorAll('#other [data-strip="' + i + '"]')].every(e => e.getAttribute('fill') === 'url(#wood' + wood + ')'))`)
		expect(t, b, true, `document.querySelector('[data-ei-against]').getAttribute('points') !== document.querySelector('[data-ei]').getAttribute('points')`)
		b.run(t, chromedp.Focus(chromedp.CSS(`#against`)), chromedp.KeyEvent(kb.Home)) // the first choice: nothing
		expect(t, b, 0, `[...document.querySelectorAll('[data-vs], #other')].filter(e => e.checkVisibility() && e.getClientRects().length).length`)
		b.quiet(t)
	})

	t.Run("filter", func(t *testing.T) {
		open(t)
		costs := make([]string, len(front.Points))
		var want []string
		for i := range front.Points {
			costs[i] = front.Points[i].Cost.StringFixed(2)
		}
		limit := slices.Sorted(slices.Values(costs))[2] // two digits before the point in all of them
		for i, c := range costs {
			if c <= limit {
				want = append(want, fmt.Sprint(i))
			}
		}
		b.run(t, chromedp.SendKeys(chromedp.CSS(`[data-most="cost"]`), limit))
		expect(t, b, strings.Join(want, " "), visible)
		expect(t, b, fmt.Sprintf("%d of 6 points", len(want)), `document.getElementById('passing').textContent`)
		expect(t, b, 6-len(want), `document.querySelectorAll('.dot.out').length`)
		b.click(t, `[data-go="last"]`)
		expect(t, b, want[len(want)-1], `document.querySelector('.dot[aria-current]').dataset.point`)
		b.run(t, chromedp.SendKeys(chromedp.CSS(`[data-least="fast"]`), "99"))
		expect(t, b, "", visible)
		expect(t, b, "No point passes; loosen a limit", `document.getElementById('passing').textContent`)
		b.click(t, `#all-points`)
		expect(t, b, "0 1 2 3 4 5", visible)
		b.quiet(t)
	})

	t.Run("sort", func(t *testing.T) {
		open(t)
		order := []int{0, 1, 2, 3, 4, 5}
		slices.SortStableFunc(order, func(i, k int) int { return front.Points[i].Cost.Cmp(front.Points[k].Cost) })
		sorted := func(want []int, dir string) {
			t.Helper()
			b.click(t, `#table th:nth-child(5) button`)
			expect(t, b, strings.Trim(fmt.Sprint(want), "[]"), visible)
			expect(t, b, dir, `[...document.querySelectorAll('[aria-sort]')].map(e => e.ariaSort).join()`)
		}
		expect(t, b, "Cost, EUR", `document.querySelector('#table th:nth-child(5)').textContent`)
		expect(t, b, "ascending", `document.querySelector('#table th').ariaSort`)
		sorted(order, "ascending")
		slices.Reverse(order)
		sorted(order, "descending")
		b.quiet(t)
	})

	t.Run("without its script", func(t *testing.T) {
		call(t, b, emulation.SetScriptExecutionDisabled, emulation.SetScriptExecutionDisabledParams{Value: true})
		open(t)
		call(t, b, emulation.SetScriptExecutionDisabled, emulation.SetScriptExecutionDisabledParams{})
		expect(t, b, 0, `[...document.querySelectorAll('.js-only')].filter(e => e.checkVisibility()).length`)
		expect(t, b, "0 1 2 3 4 5", visible)
		expect(t, b, text(3), massShow)
		b.wrong = nil // that the script was blocked
	})

	t.Run("dark", func(t *testing.T) {
		open(t)
		background := `getComputedStyle(document.body).backgroundColor`
		light := ask[string](t, b, background)
		call(t, b, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: "dark"}}})
		if dark := ask[string](t, b, background); dark == light {
			t.Errorf("the page is %s in the dark too", dark)
		}
		call(t, b, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{})
		b.quiet(t)
	})

	t.Run("print and narrow screens", func(t *testing.T) {
		for _, s := range printSamples(t) {
			b.open(t, s.name, s.html, 390, 844)
			expect(t, b, 390, `document.documentElement.scrollWidth`)
			expect(t, b, "", cutTexts)
			expect(t, b, 0, brokenUnits)
			dir := os.Getenv("STAVEWRIGHT_PRINTS") // a folder for prints to look at
			if dir == "" {
				// Patterns take most of a print's time, and none of its room.
				ask[bool](t, b, `document.querySelectorAll('.strip').forEach(e => e.removeAttribute('fill')), true`)
			}
			for _, paper := range []struct {
				name          string
				width, height float64 // in
			}{{"US Letter", 8.5, 11}, {"A4", 8.27, 11.69}}[:s.papers] {
				pages, out := b.print(t, paper.width, paper.height)
				if dir != "" {
					if err := os.WriteFile(filepath.Join(dir, s.name+" "+paper.name+".pdf"), out, 0o644); err != nil {
						t.Fatal(err)
					}
				}
				if pages > 2 || pages < s.least {
					t.Errorf("%s prints on %d pages of %s, want %d to 2", s.name, pages, paper.name, s.least)
				}
			}
		}
		b.quiet(t)
	})
}

const (
	// cutTexts are the texts of drawings that do not end within them.
	cutTexts = `[...document.querySelectorAll('svg:not(.defs) text')].filter(e => e.checkVisibility()).filter(e => {
		const text = e.getBoundingClientRect(), drawing = e.closest('svg').getBoundingClientRect()
		return text.left < drawing.left - 2 || text.right > drawing.right + 2
	}).map(e => e.lastChild.data).join(', ')`
	// brokenUnits are units that a line's end tears apart, as N·m from its ².
	brokenUnits = `[...document.querySelectorAll('th > .unit, .compared .grid td:nth-child(2) bdi')].filter(e => {
		const range = document.createRange()
		range.selectNodeContents(e)
		return new Set([...range.getClientRects()].map(r => r.top)).size > 1
	}).length`
)

// print is a page's PDF and how many sheets it takes.
func (b *browser) print(t *testing.T, width, height float64) (pages int, out []byte) {
	t.Helper()
	out, err := chromedp.Run(b.ctx, chromedp.PrintToPDF(chromedp.PDFPaper(chromedp.PaperSize{Width: width, Height: height}), chromedp.PDFPrintBackground()))
	if err != nil {
		t.Fatal(err)
	}
	return len(regexp.MustCompile(`/Type\s*/Page\b[^s]`).FindAll(out, -1)), out
}

type printSample struct {
	name   string
	html   []byte
	least  int // sheets
	papers int // 1: Letter alone, which is the shorter
}

// printSamples are the pages that people print, small and large, and with the longest names.
func printSamples(t *testing.T) []printSample {
	t.Helper()
	long := strings.Repeat("Langer Name eines Brettes ", 8)[:200]
	unbroken := strings.Repeat("Donaudampfschiff", 13)[:200]
	check := sampleCheck(t)
	check.Broken = append(check.Broken, long, unbroken)
	nameAll(check.Program, unbroken)
	named := sampleMatch(t)
	nameAll(named.Program, long)
	write := func(f func(io.Writer) error) []byte { return render(t, f) }
	return []printSample{
		{"front", frontPage(t, sampleFront(t)), 2, 2},
		{"front of 300 points", frontPage(t, manyPoints(t, 300)), 2, 1},
		{"front, long names", frontPage(t, named200(t, long)), 2, 1},
		{"front, names without a break", frontPage(t, named200(t, unbroken)), 2, 1},
		{"check, names without a break", write(func(w io.Writer) error { return CheckPage(w, check) }), 1, 2},
		{"match", matchHTML(t, sampleMatch(t)), 2, 1},
		{"match, long names", matchHTML(t, named), 2, 2},
		{"mixes", mixesHTMLOf(t, sampleMixes(t)), 1, 2},
		{"order", write(func(w io.Writer) error { return OrderPage(w, sampleSeason(t), 0) }), 1, 2},
		{"shop", shopPage(t, sampleShop(t)), 2, 2},
		{"shop, long names", shopPage(t, shopNamed(t, long)), 2, 1},
	}
}

func named200(t *testing.T, name string) *optimize.FrontResult {
	r := sampleFront(t)
	nameAll(r.Program, name)
	return r
}

// nameAll gives everything that has a name in a program the same one.
func nameAll(p *optimize.Program, name string) {
	p.Model, p.Board.Name = name, name
	for i := range p.Board.Positions {
		p.Board.Positions[i].Name = name
	}
	for i := range p.Board.Layers {
		p.Board.Layers[i].Name = name
	}
	for i := range p.Board.Woods {
		p.Board.Woods[i].CommonName, p.Board.Woods[i].LatinName = name, name
	}
	for _, c := range p.Candidates {
		for _, u := range c.At {
			if u.Price != nil {
				o := u.Price.Offer
				o.Supplier, o.File, o.Sheet, o.Name, o.Grade = name, name, name, name, name
			}
		}
	}
}

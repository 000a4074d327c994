package report

import (
	"bytes"
	"crypto/sha256"
	"encoding/base64"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/shopspring/decimal"
	"golang.org/x/net/html"

	"stavewright/optimize"
	"stavewright/optimize/core"
	"stavewright/sourcing"
)

func render(t testing.TB, write func(io.Writer) error) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := write(&b); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func frontPage(t testing.TB, r *optimize.FrontResult) []byte {
	t.Helper()
	return render(t, func(w io.Writer) error { return FrontPage(w, r) })
}

// pageSamples are the pages that every test of form goes over.
func pageSamples(t testing.TB) map[string][]byte {
	t.Helper()
	stopped := sampleFront(t)
	stopped.Complete, stopped.Why, stopped.Unsearched = false, "interrupted", "EI above 251.30 N·m² was not searched"
	costly := sampleFront(t)
	costly.Objectives = append(costly.Objectives, optimize.Cost)
	bare := sampleFront(t)
	bareOf(t, bare)
	padded := sampleFront(t)
	b := padded.Program.Board
	b.Pads = []core.Pad{{Position: 2, FromMM: 700, ToMM: 850, Wood: 2}}
	b.Layers[4].FromMM, b.Layers[4].ToMM = 150, 1400
	for i := range padded.Points {
		f, err := b.Evaluate(padded.Points[i].Layout)
		if err != nil {
			t.Fatal(err)
		}
		padded.Points[i].Figures = f
	}
	return map[string][]byte{
		"page-front":      frontPage(t, sampleFront(t)),
		"page-stopped":    frontPage(t, stopped),
		"page-cost":       frontPage(t, costly),
		"page-bare":       frontPage(t, bare),
		"page-padded":     frontPage(t, padded),
		"page-infeasible": frontPage(t, sampleInfeasible(t)),
		"page-check":      render(t, func(w io.Writer) error { return CheckPage(w, sampleCheck(t)) }),
		"page-match":      matchHTML(t, sampleMatch(t)),
		"page-no-match":   matchHTML(t, sampleMatches(t)["infeasible"]),
		"page-shop":       shopPage(t, sampleShop(t)),
	}
}

// bareOf makes of a front one without layers, prices, windows, span or reference: all that a book may leave out.
func bareOf(t testing.TB, r *optimize.FrontResult) {
	t.Helper()
	p := r.Program
	p.Board.Section, p.Board.Layers, p.Board.SpanMM = core.Bare, nil, 0
	p.Currency, p.Reference, p.LeftOut, p.Limits = "", nil, nil, optimize.Limits{}
	for i := range p.Candidates {
		for k := range p.Candidates[i].At {
			p.Candidates[i].At[k] = optimize.Use{Allowed: true}
		}
	}
	for i := range r.Points {
		pt := &r.Points[i]
		f, err := p.Board.Evaluate(pt.Layout)
		if err != nil {
			t.Fatal(err)
		}
		pt.Figures, pt.HasCost, pt.Cheapest, pt.EINM2 = f, false, false, f.Measure.CoreEINM2
	}
}

func TestPageGolden(t *testing.T) {
	for name, got := range pageSamples(t) {
		if name != "page-front" && name != "page-check" && name != "page-infeasible" {
			continue
		}
		path := filepath.Join("..", "..", "..", "testdata", "golden", name+".html")
		if *update {
			if err := os.WriteFile(path, got, 0o644); err != nil {
				t.Fatal(err)
			}
		}
		want, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(got, want) {
			t.Errorf("%s differs from %s: run with -update and read the difference", name, path)
		}
	}
}

func TestPageIsTheSameTwice(t *testing.T) {
	first, second := pageSamples(t), pageSamples(t)
	for name := range first {
		if !bytes.Equal(first[name], second[name]) {
			t.Errorf("%s: two pages of one result differ", name)
		}
	}
}

func TestCellWords(t *testing.T) {
	for want, o := range map[string]*sourcing.Offer{"cell F14": {Row: 14, Col: 6}, "row 7": {Row: 7}, "": {}} {
		if got := cellWords(o); got != want {
			t.Errorf("row %d, column %d read %q, want %q", o.Row, o.Col, got, want)
		}
	}
}

// A page is what a browser makes of it: what follows reads pages as a browser does.

func parse(t testing.TB, page []byte) *html.Node {
	t.Helper()
	root, err := html.Parse(bytes.NewReader(page))
	if err != nil {
		t.Fatal(err)
	}
	return root
}

func attribute(n *html.Node, key string) string {
	for _, a := range n.Attr {
		if a.Key == key {
			return a.Val
		}
	}
	return ""
}

func has(n *html.Node, key string) bool {
	return slices.ContainsFunc(n.Attr, func(a html.Attribute) bool { return a.Key == key })
}

func elements(root *html.Node, keep func(*html.Node) bool) []*html.Node {
	var out []*html.Node
	for n := range root.Descendants() {
		if n.Type == html.ElementNode && keep(n) {
			out = append(out, n)
		}
	}
	return out
}

func named(tag string) func(*html.Node) bool { return func(n *html.Node) bool { return n.Data == tag } }

func textOf(n *html.Node) string {
	var b strings.Builder
	for d := range n.Descendants() {
		if d.Type == html.TextNode {
			b.WriteString(d.Data)
		}
	}
	return b.String()
}

// Every tag that is opened is closed in its order (HTML's void tags aside), no id stands twice, every reference inside
// the page has its target, and nothing is loaded from anywhere.
func TestPageIsWellFormed(t *testing.T) {
	void := []string{"meta", "br", "hr", "img", "input", "link", "col", "wbr"}
	for name, page := range pageSamples(t) {
		t.Run(name, func(t *testing.T) {
			var open, opened []string
			z := html.NewTokenizer(bytes.NewReader(page))
			for kind := z.Next(); kind != html.ErrorToken; kind = z.Next() {
				tag, _ := z.TagName()
				if kind == html.StartTagToken || kind == html.SelfClosingTagToken {
					opened = append(opened, string(tag))
				}
				switch {
				case kind == html.StartTagToken && !slices.Contains(void, string(tag)):
					open = append(open, string(tag))
				case kind == html.EndTagToken:
					if len(open) == 0 || open[len(open)-1] != string(tag) {
						t.Fatalf("</%s> closes %v", tag, open)
					}
					open = open[:len(open)-1]
				}
			}
			if z.Err() != io.EOF || len(open) > 0 {
				t.Fatalf("ends with %v, still open: %v", z.Err(), open)
			}

			root := parse(t, page)
			var tree []string
			for _, n := range elements(root, func(*html.Node) bool { return true }) {
				tree = append(tree, strings.ToLower(n.Data))
			}
			if i := firstDifference(opened, tree); i >= 0 {
				t.Errorf("a browser moves or makes elements: written %v, read %v", opened[max(0, i-3):min(len(opened), i+3)], tree[max(0, i-3):min(len(tree), i+3)])
			}
			ids := map[string]bool{}
			for _, n := range elements(root, func(n *html.Node) bool { return has(n, "id") }) {
				id := attribute(n, "id")
				if ids[id] {
					t.Errorf("id %q stands twice", id)
				}
				ids[id] = true
			}
			for _, n := range elements(root, func(*html.Node) bool { return true }) {
				for _, a := range n.Attr {
					target, inside := strings.CutPrefix(a.Val, "#")
					if url, ok := strings.CutPrefix(a.Val, "url(#"); ok {
						target, inside = strings.TrimSuffix(url, ")"), true
					}
					switch {
					case a.Key == "fill" && !strings.HasPrefix(a.Val, "url("): // a colour
					case inside && !ids[target]:
						t.Errorf("<%s %s=%q> leads nowhere", n.Data, a.Key, a.Val)
					case slices.Contains([]string{"aria-labelledby", "aria-describedby", "aria-controls", "for"}, a.Key):
						for _, id := range strings.Fields(a.Val) {
							if !ids[id] {
								t.Errorf("<%s> names %q, which is not there", n.Data, id)
							}
						}
					case a.Key == "src", a.Key == "srcset", a.Key == "style", strings.HasPrefix(a.Key, "on"):
						t.Errorf("<%s> has %s, which the page's policy forbids", n.Data, a.Key)
					case a.Key == "href" && !inside:
						t.Errorf("a link leaves the page: %q", a.Val)
					}
				}
			}
			for _, tag := range []string{"link", "img", "iframe", "object", "base"} {
				if len(elements(root, named(tag))) > 0 {
					t.Errorf("a <%s> fetches something", tag)
				}
			}
			said := bytes.ReplaceAll(page, []byte(pageJS), nil) // whose own words are not the result's
			for _, gone := range []string{"ZgotmplZ", "NaN", "+Inf", "%!", "<no value>", "-0.00"} {
				if bytes.Contains(said, []byte(gone)) {
					t.Errorf("the page says %q", gone)
				}
			}
		})
	}
}

func firstDifference(a, b []string) int {
	for i := range max(len(a), len(b)) {
		if i >= len(a) || i >= len(b) || a[i] != b[i] {
			return i
		}
	}
	return -1
}

// Whatever can be worked is named for those who cannot see it.
func TestPageControlsAreNamed(t *testing.T) {
	for name, page := range pageSamples(t) {
		root := parse(t, page)
		labels := map[string]bool{}
		for _, n := range elements(root, named("label")) {
			labels[attribute(n, "for")] = true
		}
		for _, n := range elements(root, func(n *html.Node) bool {
			return slices.Contains([]string{"a", "button", "input", "select", "section", "svg"}, n.Data) || has(n, "tabindex") || has(n, "role")
		}) {
			wrapped := n.Parent.Data == "label"
			text := strings.TrimSpace(textOf(n)) != "" && slices.Contains([]string{"a", "button", "output"}, n.Data)
			if !(has(n, "aria-label") || has(n, "aria-labelledby") || attribute(n, "aria-hidden") == "true" || wrapped || text ||
				has(n, "id") && labels[attribute(n, "id")] || attribute(n, "role") == "status") {
				t.Errorf("%s: <%s> %v has no name", name, n.Data, n.Attr)
			}
		}
	}
}

// The policy names the hash of just the style and the script that the page holds: a browser runs nothing else.
func TestPagePolicy(t *testing.T) {
	root := parse(t, frontPage(t, sampleFront(t)))
	var policy string
	for _, n := range elements(root, named("meta")) {
		if attribute(n, "http-equiv") == "Content-Security-Policy" {
			policy = attribute(n, "content")
		}
	}
	if !strings.HasPrefix(policy, "default-src 'none';") {
		t.Fatalf("policy is %q", policy)
	}
	count := 0
	for _, n := range elements(root, func(n *html.Node) bool { return n.Data == "style" || n.Data == "script" && !has(n, "type") }) {
		sum := sha256.Sum256([]byte(textOf(n)))
		want := fmt.Sprintf("%s-src 'sha256-%s'", n.Data, base64.StdEncoding.EncodeToString(sum[:]))
		if !strings.Contains(policy, want) {
			t.Errorf("policy lacks %s", want)
		}
		count++
	}
	if count != 2 {
		t.Errorf("%d styles and scripts, want 2", count)
	}
}

func within(n, ancestor *html.Node) bool {
	for ; n != nil; n = n.Parent {
		if n == ancestor {
			return true
		}
	}
	return false
}

// differenceOf is what a reader takes the difference of two figures for, from their texts alone.
func differenceOf(a, b string) string {
	x, errX := decimal.NewFromString(strings.Replace(a, "−", "-", 1))
	y, errY := decimal.NewFromString(strings.Replace(b, "−", "-", 1))
	if errX != nil || errY != nil {
		return "–"
	}
	_, places, _ := strings.Cut(a, ".")
	switch d := x.Sub(y); {
	case d.IsPositive():
		return "+" + d.StringFixed(int32(len(places)))
	default:
		return strings.Replace(d.StringFixed(int32(len(places))), "-", "−", 1)
	}
}

// What the template writes for the point drawn first is what the script would put there, and the script finds a place
// for all that it has.
func TestPageDataAgreesWithMarkup(t *testing.T) {
	for name, page := range pageSamples(t) {
		t.Run(name, func(t *testing.T) {
			root := parse(t, page)
			blocks := elements(root, func(n *html.Node) bool { return attribute(n, "id") == "data" })
			still := []string{"page-check", "page-infeasible", "page-match", "page-no-match", "page-shop"} // no point to pick
			if slices.Contains(still, name) != (len(blocks) == 0) {
				t.Fatalf("%d blocks of data", len(blocks))
			}
			if len(blocks) == 0 {
				return
			}
			var data pageData
			if err := json.Unmarshal([]byte(textOf(blocks[0])), &data); err != nil {
				t.Fatal(err)
			}
			start := data.Points[data.Start]
			other := elements(root, func(n *html.Node) bool { return attribute(n, "id") == "other" })[0]
			with := func(key, value string) []*html.Node {
				return elements(root, func(n *html.Node) bool { return has(n, key) && attribute(n, key) == value && !within(n, other) })
			}
			for i, key := range data.Keys {
				places := with("data-k", key)
				if len(places) == 0 {
					t.Errorf("no place for text %q", key)
				}
				for _, n := range places {
					if textOf(n) != start.Texts[i] {
						t.Errorf("%s reads %q, the data %q", key, textOf(n), start.Texts[i])
					}
				}
			}
			if (data.Reference == nil) != (name == "page-bare") || has(other, "hidden") != (data.Reference == nil) {
				t.Errorf("reference in the data: %v, drawing to compare with hidden: %v", data.Reference != nil, has(other, "hidden"))
			}
			for _, n := range elements(root, func(n *html.Node) bool { return has(n, "data-vs") }) {
				if has(n, "hidden") != (data.Reference == nil) {
					t.Errorf("<%s> %q hidden: %v", n.Data, textOf(n), has(n, "hidden"))
				}
			}
			if q := data.Reference; q != nil {
				for i, key := range data.Keys {
					for _, n := range with("data-c", key) {
						if textOf(n) != q.Texts[i] {
							t.Errorf("%s is compared with %q, the data %q", key, textOf(n), q.Texts[i])
						}
					}
					for _, n := range with("data-d", key) {
						if want := differenceOf(start.Texts[i], q.Texts[i]); slices.Contains(data.Figures, i) && textOf(n) != want {
							t.Errorf("%s differs by %q, want %q", key, textOf(n), want)
						}
					}
				}
				for _, n := range elements(other, func(n *html.Node) bool { return has(n, "data-strip") }) {
					i, err := strconv.Atoi(attribute(n, "data-strip"))
					if want := fmt.Sprintf("url(#wood%d)", q.Strips[i]); err != nil || attribute(n, "fill") != want {
						t.Errorf("strip %d of the reference is filled with %s, want %s", i, attribute(n, "fill"), want)
					}
				}
			}
			for i, key := range data.Marks {
				places := with("data-m", key)
				shown := start.Shown[i] == '1' || data.Reference != nil && data.Reference.Shown[i] == '1'
				if len(places) != 1 || has(places[0], "hidden") == shown {
					t.Errorf("mark %q: %d places", key, len(places))
				}
			}
			for i, wood := range start.Strips {
				drawn := with("data-strip", strconv.Itoa(i))
				if len(drawn) == 0 {
					t.Errorf("strip %d is not drawn", i)
				}
				for _, n := range drawn {
					if got := attribute(n, "fill"); got != fmt.Sprintf("url(#wood%d)", wood) {
						t.Errorf("strip %d is filled with %s, want wood %d", i, got, wood)
					}
				}
				for _, n := range with("data-letter", strconv.Itoa(i)) {
					if textOf(n) != data.Letters[wood] {
						t.Errorf("strip %d is lettered %q", i, textOf(n))
					}
				}
			}
			for i, p := range data.Points {
				if len(p.Texts) != len(data.Keys) || len(p.Shown) != len(data.Marks) || len(p.EI) != len(data.Along) || len(p.Strips) != len(start.Strips) {
					t.Errorf("point %d lacks data", i)
				}
				if len(with("data-row", strconv.Itoa(i))) != 1 || len(with("data-point", strconv.Itoa(i))) < 2 {
					t.Errorf("point %d lacks its row or its dot", i)
				}
			}
			if got := attribute(elements(root, func(n *html.Node) bool { return has(n, "data-ei") })[0], "points"); got != polyline(data.Along, start.EI) {
				t.Errorf("curve is %s", got)
			}
			if n := len(elements(root, func(n *html.Node) bool { return n.Data == "a" && has(n, "aria-current") })); n != strings.Count(name, "cost")+1 {
				t.Errorf("%d dots are picked", n)
			}
		})
	}
}

// Whatever a job book or a price sheet says is shown as written and never becomes markup.
func TestPageShowsHostileTextAsWritten(t *testing.T) {
	for _, text := range []string{
		`<script>alert(1)</script>`, `</script><script>alert(1)</script>`, `"><img src=x onerror=alert(1)>`, `' onclick='alert(1)`,
		`</title></style><!-- --> <![CDATA[ ]]>`, `javascript:alert(1)`, `{{.Title}} ${1} %d`, "لوح خشب \u202Eabc", "🪵🛹 \U0001F469\u200d\U0001F52C",
		strings.Repeat("Langholzbrett ", 20), "a\u2028b\u2029c", "&lt;b&gt; &amp;",
	} {
		r := sampleFront(t)
		r.Why, r.Unsearched, r.Complete = text, text, false
		p := r.Program
		p.Model, p.Board.Name, p.Currency = text, text, text
		for i := range p.Board.Positions {
			p.Board.Positions[i].Name = text
		}
		for i := range p.Board.Layers {
			p.Board.Layers[i].Name = text
		}
		for i := range p.Board.Woods {
			w := &p.Board.Woods[i]
			w.ID, w.CommonName, w.LatinName = text+fmt.Sprint(i), text, text
		}
		p.LeftOut = append(p.LeftOut, optimize.LeftOut{Wood: text, Position: text, Why: text})
		for _, c := range p.Candidates {
			for _, u := range c.At {
				if u.Price != nil {
					o := u.Price.Offer
					o.Supplier, o.File, o.Sheet, o.Name, o.Grade, o.Currency = text, text, text, text, text, text
					u.Price.Steps = []string{text}
				}
			}
		}
		c := sampleCheck(t)
		c.Broken, c.Program.Model = []string{text}, text
		none := sampleInfeasible(t)
		none.Infeasible.Clash, none.Infeasible.Relaxations[0].Sentence, none.Infeasible.Relaxations[0].Where = []string{text}, text, text

		checkHostile(t, text, frontPage(t, r), frontPage(t, sampleFront(t)), 20)
		checkHostile(t, text, render(t, func(w io.Writer) error { return CheckPage(w, c) }),
			render(t, func(w io.Writer) error { return CheckPage(w, sampleCheck(t)) }), 2)
		checkHostile(t, text, frontPage(t, none), frontPage(t, sampleInfeasible(t)), 2)
	}
}

// checkHostile holds that text is read in the page at least so many times, and that nothing but known elements is there.
func checkHostile(t *testing.T, text string, page, tame []byte, times int) {
	t.Helper()
	root := parse(t, page)
	known := func(page *html.Node) []string {
		var out []string
		for _, n := range elements(page, func(*html.Node) bool { return true }) {
			out = append(out, n.Data)
			for _, a := range n.Attr {
				out = append(out, n.Data+" "+a.Key)
			}
		}
		slices.Sort(out)
		return slices.Compact(out)
	}
	allowed := append(known(parse(t, tame)), "h2 id", "text text-anchor", "tr hidden", "p hidden")
	for _, e := range known(root) {
		if !slices.Contains(allowed, e) {
			t.Errorf("with the text %q the page has a new <%s>", text, e)
		}
	}
	read := 0
	for _, n := range elements(root, func(n *html.Node) bool { return n.Data != "script" && n.Data != "style" }) {
		for c := n.FirstChild; c != nil; c = c.NextSibling {
			if c.Type == html.TextNode && strings.Contains(c.Data, text) {
				read++
			}
		}
	}
	if read < times {
		t.Errorf("the text %q is read %d times, want %d", text, read, times)
	}
}

// Every text that a book or a price sheet gives comes back from the pages as it was written, and makes no element and no
// attribute: the pages have those of pages with a tame text in the same places.
func FuzzPageEscaping(f *testing.F) {
	for _, s := range append([]string{"x", "<script>alert(1)</script>", "</script>", `"'`, `" onclick="alert(1)`, "' x='", "\u202e", "\x00", "<!--", "-->", "]]>", "\xff",
		"&#x3c;", "&amp", "a\r\nb", "{{.}}", "</bdi></title></svg></table>", "javascript:alert(1)", "\u2028", "🪵👩\u200d🔬"}, hostileTexts...) {
		f.Add(s)
	}
	const tame = "Qzx"
	match := sampleMatch(f) // its search is slow; the names in it are changed again and again
	pages := func(t testing.TB, text string) [][]byte {
		front := sampleHostile(t, text)
		front.Why, front.Unsearched, front.Complete = text, text, false
		none := sampleInfeasible(t)
		none.Program.Model, none.Infeasible.Clash = text, []string{text}
		none.Infeasible.Relaxations[0].Sentence, none.Infeasible.Relaxations[0].Where = text, text
		check := sampleCheck(t)
		nameAll(check.Program, text)
		check.Broken = []string{text}
		nameAll(match.Program, text)
		match.Broken = []string{text}
		return [][]byte{frontPage(t, front), frontPage(t, none), render(t, func(w io.Writer) error { return CheckPage(w, check) }),
			matchHTML(t, match), shopPage(t, shopNamed(t, text))}
	}
	var wanted [][]*html.Node
	everything := func(page []byte, t testing.TB) []*html.Node {
		return elements(parse(t, page), func(*html.Node) bool { return true })
	}
	for _, page := range pages(f, tame) {
		wanted = append(wanted, everything(page, f))
	}
	f.Fuzz(func(t *testing.T, text string) {
		if strings.TrimSpace(clean(text)) == "" || len(text) > 2000 {
			t.Skip("a name without anything to see is left out of sentences")
		}
		// What HTML itself makes of a text: no NUL, and one kind of line end.
		written := strings.NewReplacer("\x00", "\ufffd", "\r\n", "\n", "\r", "\n").Replace(text)
		for i, page := range pages(t, text) {
			got := everything(page, t)
			if len(got) != len(wanted[i]) {
				t.Fatalf("page %d has %d elements with %q, else %d", i, len(got), text, len(wanted[i]))
			}
			for k, n := range got {
				w := wanted[i][k]
				if n.Data != w.Data || !slices.Equal(attributeKeys(n), attributeKeys(w)) {
					t.Fatalf("page %d has <%s> %v with %q, else <%s> %v", i, n.Data, attributeKeys(n), text, w.Data, attributeKeys(w))
				}
				if n.Data == "script" {
					continue
				}
				is, should := ownText(n), ownText(w)
				if !strings.Contains(should, tame) {
					continue
				}
				whole := is == strings.ReplaceAll(should, tame, written) || is == strings.ReplaceAll(should, tame, clean(text))
				clipped := n.Namespace == "svg" && strings.Contains(is, "…") || strings.Contains(is, "…") && n.Data == "bdi"
				if !whole && !clipped {
					t.Errorf("page %d reads %q in <%s>, want %q with %q", i, is, n.Data, should, text)
				}
			}
		}
	})
}

// attributeKeys are an element's attributes without their values, but for those that depend on how wide a text is or on whether it is empty.
func attributeKeys(n *html.Node) []string {
	var out []string
	for _, a := range n.Attr {
		if a.Key != "text-anchor" {
			out = append(out, a.Key)
		}
	}
	return out
}

// ownText is the text in an element that is in none of its children.
func ownText(n *html.Node) string {
	var b strings.Builder
	for c := n.FirstChild; c != nil; c = c.NextSibling {
		if c.Type == html.TextNode {
			b.WriteString(c.Data)
		}
	}
	return b.String()
}

// manyPoints is a front of n points on a board as large as boards get: 21 stations, 30 strips a side.
func manyPoints(t testing.TB, n int) *optimize.FrontResult {
	t.Helper()
	r := sampleFront(t)
	b := r.Program.Board
	b.Positions = []core.Position{
		{Name: "Middle", Strips: 5, StripWidthMM: 4, OnCentreLine: true}, {Name: "Inner", Strips: 7, StripWidthMM: 5},
		{Name: "Binding", Strips: 10, StripWidthMM: 5}, {Name: "Edge", Strips: 10, StripWidthMM: 5},
	}
	old := *b
	b.Stations = nil
	for x := 0.0; x <= 1560; x += 78 {
		b.Stations = append(b.Stations, core.Station{FromTipMM: x, WidthMM: 2 * old.HalfWidthMM(x), ThicknessMM: old.ThicknessMM(x)})
	}
	strips := b.Strips()
	reference := make(core.Layout, len(strips))
	r.Program.Reference = reference
	r.Points = nil
	for i := range n {
		l := make(core.Layout, len(strips))
		for k := range l {
			l[k] = (i*7 + k*k) % 3
		}
		f, err := b.Evaluate(l)
		if err != nil {
			t.Fatal(err)
		}
		r.Points = append(r.Points, optimize.Point{ID: i + 1, Layout: l, Figures: f, CoreMassG: 700 + float64(i)*1.01, EINM2: 200 + 20*math.Sqrt(float64(i)),
			Cost: money("12.34"), HasCost: true, ProfileFactor: 1, FastGrownPct: 33.3, CertifiedPct: 66.7, Knee: i == n/3})
	}
	return r
}

func TestPageOf300PointsIsUnder1MB(t *testing.T) {
	page := frontPage(t, manyPoints(t, 300))
	t.Logf("%d bytes", len(page))
	if len(page) >= 1_000_000 {
		t.Errorf("a page of 300 points has %d bytes", len(page))
	}
}

func BenchmarkPage(b *testing.B) {
	r := manyPoints(b, 300)
	for b.Loop() {
		if err := FrontPage(io.Discard, r); err != nil {
			b.Fatal(err)
		}
	}
}

// Without its script a page shows the knee and names every point.
func TestPageWithoutScript(t *testing.T) {
	r := sampleFront(t)
	root := parse(t, frontPage(t, r))
	body := textOf(elements(root, func(n *html.Node) bool { return attribute(n, "id") == "picked" })[0])
	knee := r.Points[slices.IndexFunc(r.Points, func(p optimize.Point) bool { return p.Knee })]
	for _, want := range []string{"Point 4 of 6", "knee", Fixed(knee.CoreMassG, 2), Fixed(knee.EINM2, 2), knee.Cost.StringFixed(2),
		"Holzhof Sonnmatt", "Bretter", "F14", "European beech"} {
		if !strings.Contains(body, want) {
			t.Errorf("the point drawn first lacks %q", want)
		}
	}
	rows := elements(root, func(n *html.Node) bool { return has(n, "data-row") })
	if len(rows) != len(r.Points) {
		t.Fatalf("%d rows", len(rows))
	}
	for i, row := range rows {
		for _, want := range []string{Fixed(r.Points[i].CoreMassG, 2), Fixed(r.Points[i].EINM2, 2), r.Points[i].Cost.StringFixed(2)} {
			if !strings.Contains(textOf(row), want) {
				t.Errorf("row %d lacks %s", i+1, want)
			}
		}
	}
	all := textOf(root)
	for _, want := range append([]string{"Complete and proven", "steps of 0.01 g and 0.01 N·m²", "7 integer programs", "the core with its layers", "balsa",
		"hardness 1330 N is below"}, Cautions...) {
		if !strings.Contains(all, want) {
			t.Errorf("the page lacks %q", want)
		}
	}
}

func TestPageRefusesWhatItCannotDraw(t *testing.T) {
	for _, tt := range []struct {
		name  string
		spoil func(*optimize.Point)
		want  string
	}{
		{"short layout", func(p *optimize.Point) { p.Layout = p.Layout[1:] }, "strips"},
		{"no such wood", func(p *optimize.Point) { p.Layout = slices.Clone(p.Layout); p.Layout[0] = 9 }, "not on its board"},
		{"no figures", func(p *optimize.Point) { p.Figures.Stations = nil }, "complete figures"},
		{"another profile", func(p *optimize.Point) { p.ProfileFactor = 1.05 }, "profile factor"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			r := sampleFront(t)
			tt.spoil(&r.Points[1])
			var b bytes.Buffer
			if err := FrontPage(&b, r); err == nil || !strings.Contains(err.Error(), tt.want) || b.Len() > 0 {
				t.Errorf("err = %v after %d bytes, want one with %q and none", err, b.Len(), tt.want)
			}
		})
	}
}

func TestProof(t *testing.T) {
	r := sampleFront(t)
	for _, tt := range []struct {
		name   string
		change func()
		want   string
		done   bool
	}{
		{"complete", func() {}, "Complete and proven", true},
		{"stopped", func() {
			r.Complete, r.Why, r.Unsearched = false, "time limit", "EI above 251.30 N·m² was not searched"
		}, "stopped early: time limit", false},
		{"stopped with nothing", func() { r.Points = nil }, "nothing found yet: time limit", false},
		{"infeasible", func() { r.Complete, r.Infeasible = true, &optimize.Infeasible{} }, "No layout keeps every limit", false},
	} {
		tt.change()
		if got := proofOf(r); !strings.Contains(got.Head, tt.want) || got.Done != tt.done {
			t.Errorf("%s: %+v, want %q", tt.name, got, tt.want)
		}
	}
}

package report

import (
	"bytes"
	"crypto/sha256"
	_ "embed"
	"encoding/base64"
	"html/template"
	"io"
	"strings"

	"stavewright/optimize"
)

var (
	//go:embed page.html
	pageHTML string
	//go:embed page.css
	pageCSS string
	//go:embed page.js
	pageJS string
)

// pageTemplate escapes every value by where it stands. The content policy lets run only what is embedded here, known
// by its hash, and lets nothing be fetched.
var pageTemplate = template.Must(template.New("page").Funcs(template.FuncMap{"relaxation": relaxationSentence}).Parse(strings.NewReplacer(
	"HASH-OF-STYLE", contentHash(pageCSS),
	"HASH-OF-SCRIPT", contentHash(pageJS),
).Replace(pageHTML)))

func contentHash(s string) string {
	sum := sha256.Sum256([]byte(s))
	return "'sha256-" + base64.StdEncoding.EncodeToString(sum[:]) + "'"
}

// FrontPage writes a front as one HTML page that needs nothing else: the points as a chart, one of them drawn and
// described, all of them in a table. A script picks another point; without it the page shows the knee. A result without
// points gives a page that says why there is none.
//
// The error is w's, or that of a program whose layouts do not fit its board.
func FrontPage(w io.Writer, r *optimize.FrontResult) error {
	p, err := frontView(r)
	if err != nil {
		return err
	}
	return p.write(w)
}

// CheckPage writes one layout as one HTML page, drawn and described as FrontPage does a point, with the limits it breaks.
func CheckPage(w io.Writer, c *optimize.CheckResult) error {
	p, err := checkView(c)
	if err != nil {
		return err
	}
	return p.write(w)
}

// write renders before it writes, so that a fault leaves no half a page behind.
func (p *page) write(w io.Writer) error {
	p.Style, p.Script = template.CSS(pageCSS), template.JS(pageJS)
	var out bytes.Buffer
	if err := pageTemplate.Execute(&out, p); err != nil {
		return err
	}
	_, err := w.Write(out.Bytes())
	return err
}

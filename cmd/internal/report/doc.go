// Package report shows results: terminal tables, JSON, the results workbook and the HTML page.
//
// A result in, text or a file's bytes out, the same for the same result. It computes nothing that decides anything.
package report

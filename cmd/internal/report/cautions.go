package report

// Cautions stand wherever a layout is shown.
var Cautions = []string{
	"A calculation is no proof of strength: press a board and test it to destruction before anyone rides one.",
	"Binding inserts are safety parts: test their holding in the pressed board.",
	"Hardwood dust harms: extract it, wear protection, and mind the workplace rules that apply to you.",
	"Local law and licensed practice come first.",
}

// Package sourcing turns suppliers' price sheets into comparable offers, planks into strips, and says what a
// strip costs.
//
// Lengths are mm, volumes m³, money is decimal and carries its currency. A sheet is read from an [io.Reader]; every
// line of it becomes an offer or a finding that names file, sheet and cell.
//
// It opens no files, knows no layouts and never searches.
package sourcing

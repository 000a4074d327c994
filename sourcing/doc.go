// Package sourcing turns suppliers' price sheets into comparable offers, planks into strips, and says what a
// strip costs.
//
// Lengths are mm, volumes m³, money is decimal and carries its currency. A sheet is read from an [io.Reader]: a workbook (.xlsx,
// .xlsm) or a text file of fields (.csv). Every line of it becomes an offer or a finding that names file, sheet and cell.
//
// # How a sheet is read
//
// A head is one to three lines that name columns: wood, sizes, price and what else there is. Tables can stand below one another, side by
// side, or with their headers down the side. A price column's header can fix more than its unit: a thickness, wood, grade or length (a matrix), or the
// quantity that its price holds from (a step). What stands around the lines counts for them, the nearest first: a title within the table, the
// titles above its head, notes below it, the sheet's name.
//
// Doubt is never settled by a guess. It becomes a finding, and where the job book can settle it, the finding holds the row to add to its Columns
// sheet. These are the rules that a reader of offers needs to know:
//
//   - A blank cell stands for the one above it only where it leads a line, in a column that nowhere repeats itself, without a blank row
//     between; merged cells say it outright. A title that names no wood of the table ends the wood above it.
//   - A thickness is one figure. A width or length can be a range: its lower end counts, a width's mean where the sheet gives one. Random
//     sizes rest on the least board of an NHLA grade, or are a finding. [Offer.Notes] says which.
//   - "1.350" is read by the decimal mark that other texts of the column or table prove, or not at all.
//   - Price steps hold for all units once reached, unless the sheet says that they hold for the part above. Where steps leave a gap or
//     overlap, that is said.
//   - Stored values of formulas count. One without is reckoned if it is plain arithmetic within the file; no clock, no other file, no macro.
//   - Surcharges, totals and notes are findings and change no price. Prices with tax are not read.
//
// # Strangers' files
//
// A sheet comes from a stranger: sizes, cells, texts, titles, names and formulas are all bounded, and what goes beyond is refused or left
// unread with a finding.
//
// The package opens no files, knows no layouts of boards and never searches.
package sourcing

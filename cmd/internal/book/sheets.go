package book

import "strings"

// A kind is what a column's cells hold.
type kind int

const (
	text      kind = iota
	number         // a number within the column's bounds
	whole          // a whole number within them
	money          // a decimal amount in the job's (or the supplier's) currency
	yes            // yes or nothing
	choice         // one of Choices
	date           // a date cell, or text like 2027-03-15
	modelName      // a model of the Models sheet
	position       // a position of the Positions sheet
	wood           // one wood
	woods          // woods separated by commas or semicolons
	modulus        // a number, or the name of a fabric
	anything       // Shop values: what they hold depends on the setting
)

// A column is one column of a sheet: what is read, and what the starter writes about it.
type column struct {
	Name, Unit string // the header is both, one space between
	Kind       kind
	Required   bool // the header and a cell in every row
	Low, High  float64
	Above      bool // the value must be above Low, not just at least Low
	Choices    []string
	Note       string  // what a person should know who fills the column
	Width      float64 // of the column in the starter, in characters
}

// Header is the text of row 1.
func (c column) Header() string { return strings.TrimSpace(c.Name + " " + c.Unit) }

// A sheet is one sheet of the job book.
type sheet struct {
	Name     string
	Required bool
	Intro    string // one line for the first sheet of the starter
	Columns  []column
}

// Sheets that carry no data: the starter's explanation and its drop-down lists.
const (
	startSheet = "Start"
	listsSheet = "Lists"
)

// The largest figures a cell may hold. They are far outside any board: a value beyond them is a slip, and it is better
// caught in its cell than met again as a strange result.
const (
	maxLengthMM = 10_000
	maxCount    = 1_000_000
	maxFigure   = 1e9
)

// The least and the greatest profile factor.
const (
	leastFactor    = 0.2
	greatestFactor = 5.0
)

func mm(name, note string, low float64, above bool) column {
	return column{Name: name, Unit: "mm", Kind: number, Low: low, High: maxLengthMM, Above: above, Note: note, Width: 13}
}

func num(name, unit, note string, low, high float64, above bool) column {
	return column{Name: name, Unit: unit, Kind: number, Low: low, High: high, Above: above, Note: note, Width: 13}
}

func required(c column) column {
	c.Required = true
	return c
}

func wide(c column, width float64) column {
	c.Width = width
	return c
}

func model(note string) column {
	return column{Name: "Model", Kind: modelName, Note: note + " Leave it empty to mean every model.", Width: 20}
}

// sheets is the job book: every sheet and column there is, in the order in which the starter writes them.
var sheets = []sheet{
	{Name: "Models", Required: true, Intro: "One row for each board you build.", Columns: []column{
		{Name: "Model", Kind: text, Required: true, Width: 20, Note: "The name of the board, with its length if it comes in several. Every other sheet refers to it."},
		{Name: "Section", Kind: choice, Choices: []string{"core", "pressed"}, Width: 11, Note: "What EI and the Targets mean: core is the bare core, pressed is the board with its layers. Empty: pressed if the model has layers, else core."},
		wide(mm("Blank length", "Length of the glued panel before the outline is cut. Empty: the core's length and 20 mm (common practice).", 0, true), 12),
		wide(mm("Blank thickness", "Thickness of the glued panel before the profile is milled: the width of the sawn strips' faces. Empty: the thickest point of the core and 1 mm (common practice).", 0, true), 12),
		wide(mm("Support span", "Distance of the two supports of the flex test, centred on the middle of the core. Empty: no flex.", 0, true), 12),
		wide(mm("Measure at", "The station whose EI is compared, from the tip. Empty: the middle of the core.", 0, false), 12),
		{Name: "Boards", Kind: whole, Low: 0, High: maxCount, Width: 9, Note: "How many you build this season. Used when orders are planned."},
		{Name: "Needed by", Kind: date, Width: 12, Note: "When the lumber must be there, dry enough to use: a date, or text such as 2027-03-15."},
		{Name: "Recipe", Kind: text, Width: 14, Note: "In a season, models with the same recipe get the same layout, as the sizes of one board do. They need the same positions: names and order, strips per side, centre line. Empty: a layout of its own."},
	}},
	{Name: "Stations", Required: true, Intro: "The core's outline and thickness along the board, tip to tail.", Columns: []column{
		model("Which board."),
		required(mm("From tip", "Distance from the tip of the core. Rows run from tip to tail; between two rows width and thickness are straight lines.", 0, false)),
		required(mm("Core width", "Full width of the core here, both sides, without side walls.", 0, true)),
		required(mm("Core thickness", "Thickness of the core here, after milling.", 0, true)),
	}},
	{Name: "Layers", Intro: "Everything pressed with the core: skins, base, top layer, side walls, edges.", Columns: []column{
		model("Which board."),
		{Name: "Place", Kind: choice, Choices: []string{"above", "below", "beside"}, Required: true, Width: 10, Note: "above or below the core, or beside it."},
		required(column{Name: "Order", Kind: whole, Low: 1, High: 100, Width: 8, Note: "1 is next to the core. Layers of one order lie side by side."}),
		{Name: "Layer", Kind: text, Required: true, Width: 24, Note: "Its name."},
		required(column{Name: "Modulus", Unit: "GPa", Kind: modulus, Low: 0, High: 2000, Above: true, Width: 16, Note: "Along the board; or the name of a fabric from the Fabrics sheet, which then gives the modulus free to contract sideways."}),
		mm("Thickness", "Empty beside: as thick as the core. Empty with a fabric: the sum of its plies.", 0, true),
		wide(mm("Width", "Above and below: both sides together, empty is the full width. Beside: one side.", 0, true), 11),
		mm("Let in", "How far it is let into what lies under it, towards the core: a steel edge whose flange lies in the base. Empty: 0.", 0, false),
		num("Density", "kg/m3", "Empty: unknown, and the pressed mass leaves the layer out.", 0, 25000, true),
		wide(mm("From", "Where it begins, from the tip. Empty: at the tip.", 0, false), 10),
		wide(mm("To", "Where it ends, from the tip. Empty: at the tail.", 0, true), 10),
	}},
	{Name: "Fabrics", Intro: "Skins made of plies, where a modulus is to be computed.", Columns: []column{
		{Name: "Fabric", Kind: text, Required: true, Width: 24, Note: "Its name; one row for each ply. Layers refer to it in their Modulus column."},
		required(num("Ply angle", "deg", "Of the fibres to the board's length.", -180, 180, false)),
		required(mm("Ply thickness", "Pressed.", 0, true)),
		required(num("E1", "GPa", "Along the fibres.", 0, 2000, true)),
		required(num("E2", "GPa", "Across the fibres.", 0, 2000, true)),
		required(num("G12", "GPa", "In-plane shear.", 0, 2000, true)),
		required(num("nu12", "", "Poisson's ratio, contraction across when pulled along.", -1, 1, false)),
		num("Density", "kg/m3", "Of the pressed ply. Empty: unknown.", 0, 25000, true),
	}},
	{Name: "Positions", Required: true, Intro: "Where strips can go, from the centre line outward, and what each place demands.", Columns: []column{
		model("Which board."),
		{Name: "Position", Kind: text, Required: true, Width: 16, Note: "Its name. Rows run from the centre line outward and must reach the widest half width of the core."},
		required(column{Name: "Strips per side", Kind: whole, Low: 1, High: 500, Width: 11, Note: "Strips of one side. On the centre line: the strips of the block that straddles it."}),
		required(wide(mm("Strip width", "Of one strip, glued.", 0, true), 11)),
		{Name: "On centre line", Kind: yes, Width: 11, Note: "yes for a block that straddles the centre line; only the first position of a board can."},
		{Name: "Woods allowed", Kind: woods, Width: 60, Note: "Woods separated by commas or semicolons. Empty: every wood that can be bought or is in stock. A wood may be given by id, common name, Latin name or a trade name."},
		num("Min hardness", "N", "Of every strip here. A wood of unknown hardness does not pass.", 0, 100000, false),
		num("Min screw holding", "%", "From the mean specific gravity of the strips here; the holding reference of the Shop sheet is 100 %.", 0, 10000, false),
		num("Pre-strain", "per mille (tension +)", "Strain a strip is glued in with, tension above 0. It leaves EI as it is, takes part of the strip's strength in advance and moves the camber.", -20, 20, false),
	}},
	{Name: "Counts", Intro: "How many strips of a wood at least or at most.", Columns: []column{
		model("Which board."),
		{Name: "Position", Kind: position, Width: 16, Note: "Empty: the whole core."},
		{Name: "Wood", Kind: wood, Required: true, Width: 22, Note: "Which wood."},
		{Name: "Low", Unit: "strips per side", Kind: number, Low: 0, High: 500, Width: 14, Note: "At least. Empty: no limit."},
		{Name: "High", Unit: "strips per side", Kind: number, Low: 0, High: 500, Width: 14, Note: "At most. Empty: no limit."},
	}},
	{Name: "Shares", Intro: "How much of the core's volume a wood makes up.", Columns: []column{
		model("Which board."),
		{Name: "Wood", Kind: wood, Required: true, Width: 22, Note: "Which wood."},
		num("Low", "%", "At least, of the wood's volume in the core. Empty: no limit.", 0, 100, false),
		num("High", "%", "At most. Empty: no limit.", 0, 100, false),
	}},
	{Name: "Reference", Intro: "The core that rides right today: what stands at each position.", Columns: []column{
		model("Which board."),
		{Name: "Position", Kind: position, Required: true, Width: 16, Note: "Which position. Several rows for one position: from the centre line outward."},
		{Name: "Wood", Kind: wood, Required: true, Width: 22, Note: "Which wood."},
		required(column{Name: "Strips per side", Kind: whole, Low: 1, High: 500, Width: 11, Note: "How many, one side. The rows of a position add up to its strips. On the centre line, count the strips that straddle it."}),
	}},
	{Name: "Targets", Intro: "How stiff the board must be along its length. Without targets a season holds a board to its reference.", Columns: []column{
		model("Which board."),
		required(mm("From tip", "Where; need not be a station.", 0, false)),
		num("EI low", "N·m2", "At least, of the section that the model means. Empty: no limit.", 0, maxFigure, false),
		num("EI high", "N·m2", "At most. Empty: no limit.", 0, maxFigure, true),
	}},
	{Name: "Limits", Intro: "What a core may weigh, cost and consist of.", Columns: []column{
		model("Which board. A board's own row goes before the row for every model, cell by cell."),
		num("Equal flex", "%", "How far EI may be from the reference's. Match uses the places of the Targets sheet; without targets, match and season use every station between the supports. Empty: 2.", 0, 100, true),
		{Name: "Max cost", Kind: money, Low: 0, High: maxFigure, Width: 10, Note: "Of the strips of one core, in the job's money."},
		num("Max core mass", "g", "Wood and glue.", 0, maxFigure, true),
		{Name: "Max woods", Kind: whole, Low: 1, High: 100, Width: 10, Note: "Different woods in one core."},
		{Name: "Min strips when used", Kind: whole, Low: 1, High: 500, Width: 12, Note: "Strips per side of a wood that is used at all."},
		num("Min fast-grown", "%", "Share of the core's volume; what counts as fast-grown is a Shop setting.", 0, 100, false),
		num("Min certified", "%", "Share of the core's volume bought with a chain-of-custody certificate. When it is set, certified offers are preferred.", 0, 100, false),
		num("Max scatter", "%", "Coefficient of variation of EI at the measuring station.", 0, 1000, true),
		num("Flex low", "N/mm", "Force per deflection on the support span, of the section that the model means, at least.", 0, maxFigure, false),
		num("Flex high", "N/mm", "At most.", 0, maxFigure, true),
		num("Max utilisation", "%", "Of the woods' bending and shear strength under the design load, times the safety factor. A wood of unknown strength does not pass.", 0, 10000, true),
		num("Design load", "N", "On the middle of the support span. Strength is reckoned under it. Empty: strength is not shown.", 0, maxFigure, true),
		num("Safety factor", "", "On strength. Empty: 2.", 1, 100, false),
		num("Profile factor low", "", "For match: thickness of the profile, at least this times today's. Empty, and the next one too: today's profile only.", leastFactor, greatestFactor, false),
		num("Profile factor high", "", "At most this times today's. Of the two, an empty one is 1.", leastFactor, greatestFactor, false),
		num("Profile factor step", "", "In steps of. Empty: 0.01.", 0, 5, true),
	}},
	{Name: "Pads", Intro: "Stretches where wood is turned across the board.", Columns: []column{
		model("Which board."),
		{Name: "Position", Kind: position, Required: true, Width: 16, Note: "Whose strips are replaced."},
		required(mm("From", "From the tip.", 0, false)),
		required(mm("To", "From the tip.", 0, true)),
		{Name: "Wood", Kind: wood, Required: true, Width: 22, Note: "The wood turned across; its modulus across the grain counts."},
	}},
	{Name: "Woods", Intro: "Your own figures: they go before the built-in table, figure by figure.", Columns: []column{
		{Name: "Wood", Kind: text, Required: true, Width: 24, Note: "A wood of the built-in table (see: stavewright woods), whose figures are then replaced where given, or a new name."},
		{Name: "Latin name", Kind: text, Width: 24, Note: "For a new wood."},
		num("Density", "kg/m3", "As used, at the shop's moisture.", 0, 2000, true),
		num("Modulus", "GPa", "Along the grain. Yours is taken as it is: neither raised nor moved to another moisture.", 0, 100, true),
		num("Bending strength", "MPa", "", 0, 1000, true),
		num("Hardness", "N", "Side hardness.", 0, 100000, true),
		num("Shear", "MPa", "Shear strength along the grain.", 0, 1000, true),
		num("CV of modulus", "%", "Coefficient of variation of the modulus between pieces.", 0, 200, false),
		num("Rotation", "years", "From planting to harvest, longest usual.", 0, 1000, true),
		{Name: "Source", Kind: text, Width: 40, Note: "Where the figures are from."},
	}},
	{Name: "Tests", Intro: "Bending tests of small clear pieces; their modulus stands in for the table's.", Columns: []column{
		{Name: "Wood", Kind: text, Required: true, Width: 24, Note: "Which wood. Several tests of one wood: their mean."},
		required(mm("Span", "Between the supports, load in the middle.", 0, true)),
		required(mm("Width", "Of the piece.", 0, true)),
		required(mm("Depth", "Of the piece, in the direction of the load.", 0, true)),
		required(num("Slope", "N/mm", "Load per deflection, in the straight part.", 0, maxFigure, true)),
		num("Max load", "N", "At failure. Empty: no strength from this test.", 0, maxFigure, true),
		num("Density", "kg/m3", "Of the piece. Empty: unknown.", 0, 2000, true),
	}},
	{Name: "Suppliers", Intro: "Who sells to you, and the file with their prices.", Columns: []column{
		{Name: "Supplier", Kind: text, Required: true, Width: 34, Note: "Their name."},
		{Name: "Price file", Kind: text, Required: true, Width: 24, Note: "An XLSX or CSV file, beside this book or in a folder below it."},
		{Name: "Currency", Kind: text, Width: 11, Note: "Of the prices, three letters, where the sheet does not say. Empty: the job's money."},
		{Name: "Chain of custody", Kind: yes, Width: 12, Note: "yes: what they sell is certified unless the sheet says otherwise."},
		{Name: "Lead time", Unit: "days", Kind: whole, Low: 0, High: 3650, Width: 11, Note: "From order to delivery."},
		{Name: "Freight per order", Kind: money, Low: 0, High: maxFigure, Width: 12, Note: "In the supplier's currency."},
		{Name: "Freight per m3", Kind: money, Low: 0, High: maxFigure, Width: 12, Note: "In the supplier's currency."},
		{Name: "Min order value", Kind: money, Low: 0, High: maxFigure, Width: 12, Note: "In the supplier's currency."},
		{Name: "Valid until", Kind: date, Width: 12, Note: "Of the prices: a date, or text such as 2027-03-15."},
	}},
	{Name: "Columns", Intro: "Only where a price sheet is not understood: which column means what.", Columns: []column{
		{Name: "Supplier", Kind: text, Required: true, Width: 34, Note: "A supplier of the Suppliers sheet."},
		{Name: "Sheet", Kind: text, Width: 20, Note: "Of their price file. Empty: every sheet."},
		{Name: "Header", Kind: text, Required: true, Width: 26, Note: "The column's header as it stands in their sheet; * speaks of the whole sheet."},
		{Name: "Meaning", Kind: text, Required: true, Width: 20, Note: "What it holds, such as wood, thickness mm, price per m3 or available from. With the header *: what holds for every line, such as moisture KD 8 %."},
	}},
	{Name: "Stock", Intro: "Lumber in the yard.", Columns: []column{
		{Name: "Wood", Kind: wood, Required: true, Width: 22, Note: "Which wood."},
		required(mm("Thickness", "Of one plank.", 0, true)),
		required(mm("Width", "Of one plank.", 0, true)),
		required(mm("Length", "Of one plank.", 0, true)),
		required(column{Name: "Planks", Kind: whole, Low: 0, High: maxCount, Width: 9, Note: "How many there are."}),
		{Name: "Value each", Kind: money, Low: 0, High: maxFigure, Required: true, Width: 11, Note: "What a plank is worth to you, in the job's money. 0 if it is there anyway."},
	}},
	{Name: "Shop", Intro: "How your shop saws, glues and counts.", Columns: []column{
		{Name: "Setting", Kind: text, Required: true, Width: 24, Note: "One of the settings listed in the drop-down, or rate and a currency, such as rate USD. The Lists sheet says what each is and what counts without it."},
		{Name: "Value", Kind: anything, Required: true, Width: 18, Note: "Its value."},
		{Name: "Unit", Kind: text, Width: 34, Note: "For people; if it is filled, it must be the unit the setting is read in."},
	}},
}

// dataSheet finds a sheet of the job book by the name a person gave it.
func dataSheet(name string) (int, bool) {
	for i, s := range sheets {
		if fold(s.Name) == fold(name) {
			return i, true
		}
	}
	return 0, false
}

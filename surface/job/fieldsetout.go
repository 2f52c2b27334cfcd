package job

// setOutFields describe what is marked and laid before the pour.
var setOutFields = []Field{
	{Key: "pins.spacing", Metric: "1.5m", US: "5ft", Help: "of the grid"},
	{Key: "pins.wall-spacing", Metric: "1.5m", US: "5ft", Help: "along walls, max"},
	{Key: "pins.from-wall", Metric: "150mm", US: "6in", Help: "of wall pins from the wall"},
	{Key: "pins.rule-step", Metric: "2mm", US: "1/16in", Help: "smallest division of the crew's rule: heights are rounded down to it"},

	{Key: "bars.size", Metric: "10", US: "#3", Help: "#3, 10 or 10mm (default: no bars)"},
	{Key: "bars.spacing", Metric: "300mm", US: "12in", Help: "between the middles of bars"},
	{Key: "bars.spacing-across", Metric: "300mm", US: "12in", Help: "default: the same both ways"},
	{Key: "bars.edge-cover", Metric: "50mm", US: "2in", Help: "from walls to the ends and middle lines of bars"},
	{Key: "bars.bottom-cover", Metric: "20mm", US: "3/4in", Help: "below the lower bars, min"},
	{Key: "bars.top-cover", Metric: "20mm", US: "3/4in", Help: "above the upper bars"},
	{Key: "bars.stock-length", Metric: "6m", US: "20ft", Help: "that bars come in"},
	{Key: "bars.lap", Metric: "400mm", US: "15in", Help: "of two bars (default 40 diameters)"},
	{Key: "bars.chair-spacing", Metric: "900mm", US: "3ft", Help: "along and across"},
	{Key: "bars.price-per-bar", Metric: "12.0", Help: "of stock length"},
	{Key: "bars.price-per-chair", Metric: "0.5"},

	{Key: "mesh.name", Metric: "A142"},
	{Key: "mesh.sheet-length", Metric: "4.8m", US: "15ft", Help: "default: no mesh"},
	{Key: "mesh.sheet-width", Metric: "2.4m", US: "8ft", Help: "of a sheet"},
	{Key: "mesh.lap", Metric: "300mm", US: "12in", Help: "of two sheets"},
	{Key: "mesh.cover", Metric: "20mm", US: "3/4in", Help: "above and below"},
	{Key: "mesh.mass-kgm2", Metric: "2.22", Or: "mesh.mass-lbft2", Help: "of mesh"},
	{Key: "mesh.mass-lbft2", Metric: "0.21"},
	{Key: "mesh.price-per-sheet", Metric: "45.0"},

	{Key: "bays.dams", Metric: `["5m,0m", "5m,8m"]`, US: `["16ft,0ft", "16ft,26ft"]`},
	{Key: "bays.width", Metric: "4m", US: "13ft", Help: "strips, across the longest wall"},
	{Key: "bays.most", Metric: "2m3", US: "2.5yd3", Help: "volume of a bay"},

	{Key: "edge.film", Metric: "true"},
	{Key: "edge.above", Metric: "50mm", US: "2in", Help: "of film standing above the fill"},
	{Key: "edge.foot", Metric: "100mm", US: "4in", Help: "of film on the old floor; never under a bonded fill"},
	{Key: "edge.lap", Metric: "100mm", US: "6in", Help: "of film"},
	{Key: "edge.roll", Metric: "25m", US: "100ft", Help: "length of a roll"},
	{Key: "edge.roll-width", Metric: "1m", US: "3ft", Help: "slit into as many strips as it holds"},
	{Key: "edge.foam", Metric: "5mm", US: "1/4in", Help: "thickness of a foam strip (default: none)"},
	{Key: "edge.foam-piece", Metric: "25m", US: "50ft", Help: "its length"},
	{Key: "edge.foam-height", Metric: "100mm", US: "4in", Help: "of a piece; deeper fill takes courses"},
	{Key: "edge.allowance-percent", Metric: "5"},
	{Key: "edge.price-per-roll", Metric: "30.0", Help: "of film"},
	{Key: "edge.price-per-piece", Metric: "15.0", Help: "of foam"},

	{Key: "joints.kind", Metric: "movement", Words: []string{"movement", "contraction"}, Help: "movement joints of the old floor, full depth (default), or contraction joints sawn in the fill"},
	{Key: "joints.length", Metric: "12m", US: "40ft", Help: "of joint in all"},
	{Key: "joints.width", Metric: "6mm", US: "1/4in", Help: "of the joint: measure it on site"},
	{Key: "joints.elastic", Metric: "true", Help: "contraction joints: sealant over a rod (default: a stiff filler)"},
	{Key: "joints.pack-litres", Metric: "0.6", Or: "joints.pack-gallons", Help: "of sealant or filler"},
	{Key: "joints.pack-gallons", Metric: "0.15"},
	{Key: "joints.price-per-pack", Metric: "10.0"},
	{Key: "joints.rod-price-per-m", Metric: "0.5", Or: "joints.rod-price-per-ft"},
	{Key: "joints.rod-price-per-ft", Metric: "0.15"},
	{Key: "joints.strip-price-per-m", Metric: "1.5", Or: "joints.strip-price-per-ft", Help: "of compressible strip in movement joints"},
	{Key: "joints.strip-price-per-ft", Metric: "0.45"},
	{Key: "joints.allowance-percent", Metric: "5"},
}

// flatnessFields describe how the floor is judged after the pour.
var flatnessFields = []Field{
	{Key: "flatness.tolerance", Flag: "tolerance", On: onFlatness, Metric: "3mm", US: "1/8in", Length: &Length{Of: Thickness, NotZero: true, Most: 0.1}, Help: "`L` list highs and lows farther than this from the plane (default 1/8in or 3mm)"},
	{Key: "flatness.straightedges", Flag: "straightedge", On: onFlatness, Metric: "2m", US: "10ft", Length: &Length{Of: Place, NotZero: true}, Help: "`L` length of a straightedge to lay (repeatable; default 10ft or 2m, and what the rules ask)", Comment: "lengths of straightedges to lay (default 10ft or 2m, and what the rules ask)"},
	{Key: "flatness.rules", Flag: "rule", On: onFlatness, Metric: "tile-large", Help: "`NAME` check this rule only, such as tile-large or din18202-3 (repeatable; default all); \"list\" lists them", Comment: "pourplane flatness --rule list lists them (default all)"},
	{Key: "flatness.house-rules", Metric: `{ name = "ours", straightedge = "2m", limit = "3mm", share-percent = 90 }, { name = "slab", ff = 25, fl = 20 }`, US: `{ name = "ours", straightedge = "10ft", limit = "1/8in", share-percent = 90 }, { name = "slab", ff = 25, fl = 20 }`},
	{Key: "flatness.ordered", Flag: "ordered", On: onFlatness, Metric: "7.75m3", US: "7.75yd3", Help: "`VOLUME` what was ordered, to compare with what was placed"},
	{Key: "flatness.grind-pass", Flag: "grind-pass", On: onFlatness, Metric: "1mm", US: "1/32in", Length: &Length{Of: Thickness, NotZero: true, Most: 0.02}, Help: "`L` depth that one pass of the grinder takes (default 1/32in or 1mm, common practice)"},
	{Key: "flatness.bag-yield", Flag: "bag-yield", On: onFlatness, Metric: "12l", US: "0.5ft3", Help: "`VOLUME` what a bag of the patch makes, such as 0.5ft3 or 12l, for the lows"},
}

// outputFields select the outputs.
var outputFields = []Field{
	{Key: "outputs.paper", Metric: "A4", US: "Letter", Help: "A4 or Letter"},
	{Key: "outputs.omit", Metric: "plan.dxf", Help: "files that are not wanted"},
	{Key: "outputs.ways", Metric: "true", Help: "compare ways to fill in the record: concrete, foam, framing"},
	{Key: "outputs.load-map", Metric: "true", Help: "a map of the added load in the record"},
	{Key: "outputs.water", Flag: "water", On: "fill flatness", Metric: "true", Help: "where water stays on the floor and on the finished target, and what drains to each drain and door", Comment: "where water stays and what drains where, with a map"},
	{Key: "outputs.next-shots", Flag: "next", On: "fill new", Metric: "5", Parse: func(text string) error { _, err := parseNext(text); return err }, Help: "`K` list that many places where one more shot narrows the interval of the fill most, 0 to 50 (default none)", Comment: "how many places worth another shot are listed, 0 to 50 (default 3)"},
}

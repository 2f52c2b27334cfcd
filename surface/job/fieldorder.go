package job

// siteFields are conditions of the floor that need care.
var siteFields = []Field{
	{Key: "site.bearing", Metric: "ground", Help: "ground or suspended (default: warnings for both)"},
	{Key: "site.heated", Metric: "true", Help: "pipes or cables run in it"},
	{Key: "site.old-covering", Metric: "true", Help: "tile, sheet, adhesive or paint is or was on it"},
	{Key: "site.bonded", Metric: "true", Help: "the fill is bonded to the old floor"},
	{Key: "site.post-tensioned", Metric: "true"},
	{Key: "site.drains", Metric: "true", Help: "or weep holes, a damp course, a gas barrier"},
	{Key: "site.engines", Metric: "true", Help: "run indoors"},
	{Key: "site.in-use", Metric: "true", Help: "people pass through while it is done"},
	{Key: "site.exit", Metric: "0m,0m", US: "0ft,0ft", Help: "where the crew leaves the floor"},
}

// orderFields describe the material of the fill and its delivery.
var orderFields = []Field{
	{Key: "mix.allowance-percent", Flag: "allowance", On: onOrders, Metric: "5", Help: "`PERCENT` added to the net volume for spill, absorption and survey error (default 5)"},
	{Key: "mix.order-step", Flag: "order-step", On: onOrders, Metric: "0.25m3", US: "0.25yd3", Help: "`VOLUME` step that the plant sells in, such as 0.25yd3 or 0.1m3 (default 0.25yd3 or 0.25m3)"},
	{Key: "mix.risk-percent", Flag: "risk", On: "fill new", Metric: "5", Parse: func(text string) error { _, err := parseRisk(text); return err }, Help: "`PERCENT` risk of running short that you accept, 0.1 to 50: the order is raised to it, never lowered (default: the order is the fill with its additions)", Comment: "risk of running short that the order is raised to, 0.1 to 50"},
	{Key: "mix.unit-weight-kgm3", Flag: "unit-weight", On: onOrders, Metric: "2400", Or: "mix.unit-weight-lbft3", Help: "`WEIGHT` weight of the fill in place, such as 2400kg/m3 or 150lb/ft3; a bare number above 250 is kg/m³", Comment: "of the mix in place"},
	{Key: "mix.unit-weight-lbft3", Metric: "150"},
	{Key: "mix.price-per-m3", Metric: "160.0", Or: "mix.price-per-yd3", Help: "yours"},
	{Key: "mix.price-per-yd3", Metric: "160.0"},
	{Key: "mix.price-per-bag", Metric: "9.0", Help: "of usual bags, where too little for a truck is wanted"},
	{Key: "mix.short-load-price", Metric: "250.0", Help: "of a second delivery where the first runs short, to weigh the risk of it"},
	{Key: "mix.currency", Metric: "dollars", Help: "a word for all prices"},
	{Key: "mix.accept-unserved", Metric: "true", Help: "go on though no material serves some depths"},

	{Key: "plant.roughness", Flag: "roughness", On: onOrders, Metric: "1mm", US: "1/32in", Length: &Length{Of: Thickness, Most: 0.02}, Help: "`L` depth of mix that the rough old floor takes up: nothing when primed, 1 to 2 mm (1/16 in) when blasted"},
	{Key: "plant.finish-high", Flag: "finish-high", On: onOrders, Metric: "2mm", US: "1/16in", Length: &Length{Of: Thickness, Most: 0.02}, Help: "`L` depth that the finish may come out high"},
	{Key: "plant.line-bore", Flag: "line-bore", On: onOrders, Metric: "65mm", US: "2.5in", Length: &Length{Of: Thickness, Most: 0.3}, Help: "`L` inside diameter of the pump line, with its length"},
	{Key: "plant.line-length", Flag: "line-length", On: onOrders, Metric: "30m", US: "100ft", Length: &Length{Of: Place, Most: 2000}, Help: "`L` length of the pump line: what stays in it is ordered too"},
	{Key: "plant.hopper", Flag: "hopper", On: onOrders, Metric: "0.2m3", US: "0.25yd3", Help: "`VOLUME` mix that stays in the pump's hopper (default 1/4 yd³ or 0.2 m³ where there is a line)"},
	{Key: "plant.priming", Flag: "priming", On: onOrders, Metric: "0.1m3", US: "0.1yd3", Help: "`VOLUME` mix run through the line and thrown away"},
	{Key: "plant.truck", Flag: "truck", On: onOrders, Metric: "7.5m3", US: "10yd3", Help: "`VOLUME` load of a truck (default 10 yd³ or 6 m³)"},
	{Key: "plant.short-load", Flag: "short-load", On: onOrders, Metric: "4m3", US: "6yd3", Help: "`VOLUME` load below which a truck is charged extra (default 0.6 of a truck)"},

	{Key: "pace.placing-m3-per-hour", Metric: "6", Or: "pace.placing-yd3-per-hour", Help: "placed and struck off"},
	{Key: "pace.placing-yd3-per-hour", Metric: "8"},
	{Key: "pace.discharge", Metric: "90min", Help: "from batching until a truck must be empty"},
	{Key: "pace.travel", Metric: "30min", Help: "from batching to arrival"},
	{Key: "pace.truck-spacing", Metric: "45min", Help: "default: each comes when the one before it is empty"},
	{Key: "pace.working-time", Metric: "60min", Help: "from leaving the truck, or from mixing on site, until the mix can no longer be finished; bays follow from it"},
	{Key: "pace.level-time", Metric: "5min", Help: "part of it that a flowing mix needs to find its level"},
	{Key: "pace.mixed-on-site", Metric: "true", Help: "no trucks"},
}

// listFields are the fields of tables that may occur several times, one table for each
// item.
var listFields = []Field{
	{Key: "materials.name", Metric: "Topping concrete"},
	{Key: "materials.bag-yield", Metric: "14L", Help: "of a bag in place (default: sold by volume)"},
	{Key: "materials.bag-mass-kg", Metric: "25", Or: "materials.bag-mass-lb", Help: "dry"},
	{Key: "materials.bag-mass-lb", Metric: "50"},
	{Key: "materials.least", Metric: "20mm", US: "3/4in", Help: "thickness"},
	{Key: "materials.greatest", Metric: "100mm", US: "4in", Help: "of one lift"},
	{Key: "materials.lifts", Metric: "1", Help: "that may be laid one on another"},
	{Key: "materials.working-time", Metric: "15min", Help: "as on its bag"},
	{Key: "materials.unit-weight-kgm3", Metric: "2300", Or: "materials.unit-weight-lbft3", Help: "in place"},
	{Key: "materials.unit-weight-lbft3", Metric: "144"},
	{Key: "materials.price-per-bag", Metric: "20.0", Help: "or, of what is sold by volume:"},
	{Key: "materials.price-per-m3", Metric: "150.0", Or: "materials.price-per-yd3"},
	{Key: "materials.price-per-yd3", Metric: "115.0"},
	{Key: "materials.price-per-m2", Metric: "60.0", Or: "materials.price-per-ft2", Help: `of a way to fill that is priced by area, such as "framing over"`},
	{Key: "materials.price-per-ft2", Metric: "6.0"},
	{Key: "materials.compare-only", Metric: "true", Help: "priced for the ways compared, not for this fill"},

	{Key: "coats.name", Metric: "Primer"},
	{Key: "coats.cover-m2-per-litre", Metric: "6", Or: "coats.cover-ft2-per-gallon", Help: "of mixed liquid, once"},
	{Key: "coats.cover-ft2-per-gallon", Metric: "250"},
	{Key: "coats.first-cover-m2-per-litre", Metric: "4", Or: "coats.first-cover-ft2-per-gallon", Help: "where the first coat takes more"},
	{Key: "coats.first-cover-ft2-per-gallon", Metric: "150"},
	{Key: "coats.coats", Metric: "2"},
	{Key: "coats.water-parts", Metric: "1.0", Help: "to one part of product"},
	{Key: "coats.overlap-percent", Metric: "20", Help: "of a spray pass that the next one covers again"},
	{Key: "coats.allowance-percent", Metric: "5"},
	{Key: "coats.pack-litres", Metric: "5", Or: "coats.pack-gallons", Help: "of product"},
	{Key: "coats.pack-gallons", Metric: "1"},
	{Key: "coats.price-per-pack", Metric: "40.0"},
}

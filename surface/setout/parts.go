package setout

import "cmp"

// Parts of what a caller enters: a refusal that is about one of them carries it in
// [survey.Error.Part], for callers with names of their own.
const (
	PartPinSpacing       = "pin-spacing"
	PartPinsFromWall     = "pins-from-wall"
	PartWallPinSpacing   = "wall-pin-spacing"
	PartRuleStep         = "rule-step"
	PartBarSpacing       = "bar-spacing"
	PartBarSpacingAcross = "bar-spacing-across"
	PartBarsFromWall     = "bars-from-wall"
	PartStockLength      = "stock-length"
	PartBarLap           = "lap"
	PartTopCover         = "top-cover"
	PartBottomCover      = "bottom-cover"
	PartChairSpacing     = "chair-spacing"
	PartSheetLength      = "sheet-length"
	PartSheetWidth       = "sheet-width"
	PartMeshMass         = "mesh-mass"
	PartSheetLap         = "sheet-lap"
)

// names are the parts in words.
var names = map[string]string{
	PartPinSpacing:       "spacing of pins",
	PartPinsFromWall:     "distance of pins from walls",
	PartWallPinSpacing:   "spacing of wall pins",
	PartRuleStep:         "step of the rule",
	PartBarSpacing:       "spacing of bars along",
	PartBarSpacingAcross: "spacing of bars across",
	PartBarsFromWall:     "distance of bars from walls",
	PartStockLength:      "stock length",
	PartBarLap:           "lap",
	PartTopCover:         "cover above the bars",
	PartBottomCover:      "cover below the bars",
	PartChairSpacing:     "spacing of chairs",
	PartSheetLength:      "length of a sheet",
	PartSheetWidth:       "width of a sheet",
	PartMeshMass:         "mass of mesh",
	PartSheetLap:         "lap of sheets",
}

// named returns a part in words. Another text is unchanged.
func named(part string) string { return cmp.Or(names[part], part) }

package order

import "cmp"

// Parts of what a caller enters: a refusal that is about one of them carries it in
// [survey.Error.Part], for callers with names of their own.
const (
	PartRoughness    = "roughness"
	PartFinishHigh   = "finish-high"
	PartBore         = "line-bore"
	PartLineLength   = "line-length"
	PartPumpLine     = "pump-line"
	PartHopper       = "hopper"
	PartPriming      = "priming"
	PartStep         = "order-step"
	PartTruckSize    = "truck"
	PartShortLoad    = "short-load"
	PartBagYield     = "bag-yield"
	PartMinThickness = "least"
	PartMaxThickness = "greatest"
	PartFilmAbove    = "above"
	PartFilmFoot     = "foot"
	PartFilmLap      = "lap"
	PartFilmRoll     = "roll"
	PartRollWidth    = "roll-width"
	PartFoam         = "foam"
	PartFoamPiece    = "foam-piece"
	PartFoamHeight   = "foam-height"
	PartAllowance    = "allowance"
)

// names are the parts in words.
var names = map[string]string{
	PartRoughness:    "roughness",
	PartFinishHigh:   "finish high by",
	PartBore:         "bore of the line",
	PartLineLength:   "length of the line",
	PartPumpLine:     "pump line",
	PartHopper:       "hopper",
	PartPriming:      "priming",
	PartStep:         "order step",
	PartTruckSize:    "truck",
	PartShortLoad:    "short load",
	PartBagYield:     "yield of a bag",
	PartMinThickness: "min thickness",
	PartMaxThickness: "max thickness",
	PartFilmAbove:    "film above the fill",
	PartFilmFoot:     "foot of the film",
	PartFilmLap:      "lap",
	PartFilmRoll:     "roll of film",
	PartRollWidth:    "width of a roll",
	PartFoam:         "foam",
	PartFoamPiece:    "piece of foam",
	PartFoamHeight:   "height of foam",
	PartAllowance:    "allowance",
}

// named returns a part in words. Another text is unchanged.
func named(part string) string { return cmp.Or(names[part], part) }

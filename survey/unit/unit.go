// Package unit reads and writes lengths as crews write them. It is the only
// place that knows a foot; everything above it holds metres.
package unit

// Length is a unit of length.
type Length uint8

const (
	None Length = iota
	Metre
	Centimetre
	Millimetre
	Foot       // international, 0.3048 m exactly
	SurveyFoot // US survey foot, 1200/3937 m
	Inch       // 25.4 mm exactly
)

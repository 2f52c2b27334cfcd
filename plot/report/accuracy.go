package report

import (
	"pourplane/surface/job"
	"pourplane/survey/unit"
)

// accuracyJSON is how exact the readings of a survey are: standard deviations.
type accuracyJSON struct {
	Reading      float64 `json:"reading_sd_m"`
	ReadingGiven bool    `json:"reading_sd_given"` // else as usual for what was measured
	Setup        float64 `json:"setup_sd_m"`
	SetupGiven   bool    `json:"setup_sd_given"`
	Way          string  `json:"measured_by"`
	Step         float64 `json:"readings_rounded_to_m"` // 0: no step found
}

func accuracyOf(a job.Accuracy) accuracyJSON {
	return accuracyJSON{a.Reading, a.ReadingGiven, a.Setup, a.SetupGiven, a.Way.String(), a.Step}
}

// accuracyText writes how exact the readings are, and what of it was assumed.
func accuracyText(a job.Accuracy, style unit.Style) string {
	setup := "set-up error " + job.SD(a.Setup).In(style)
	if !a.SetupGiven {
		setup += " (assumed)"
	}
	return readingText(a, style) + ", " + setup
}

// readingText is the part of one reading, without the set-up.
func readingText(a job.Accuracy, style unit.Style) string {
	reading := "reading error " + job.SD(a.Reading).In(style)
	if !a.ReadingGiven {
		reading += " (assumed, usual for " + a.Way.String()
		if a.Step > 0 {
			reading += " written to " + job.SD(a.Step).In(style)
		}
		reading += ")"
	}
	return reading
}

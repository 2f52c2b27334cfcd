package uncertainty

import "math"

// Way is a way of measuring a floor. It decides the usual error of a reading.
type Way uint8

const (
	ByElevation Way = iota // elevations of a total station, or of a surface file
	ByRod                  // rod readings of a level or a laser
	ByScan                 // points of a laser scan
)

func (w Way) String() string {
	return [...]string{"elevations", "rod readings", "a scan"}[w]
}

// UsualSetup is the standard deviation of the error that all shots of one set-up share, m:
// of the height of instrument above its benchmark. Own choice, typical of the reading of one
// backsight.
const UsualSetup = 0.001

// Usual returns the usual standard deviation of one reading, m. Own choice, typical of the 1
// to 3 mm that the trade states for each way of measuring.
func Usual(w Way) float64 {
	return [...]float64{0.0015, 0.001, 0.001}[w]
}

// Rounded returns the standard deviation of a reading that is then rounded to a step, m. An
// error of rounding is uniform over the step, of variance step²/12.
func Rounded(sd, step float64) float64 { return math.Hypot(sd, step/math.Sqrt(12)) }

// steps are those that readings are written in, m, in metric and in US units, from the
// coarsest.
var steps = [2][]float64{
	{0.010, 0.005, 0.002, 0.001, 0.0005, 0.0002, 0.0001},
	{0.0254 / 2, 0.0254 / 4, 0.0254 / 8, 0.01 * 0.3048, 0.0254 / 16, 0.005 * 0.3048, 0.0254 / 32, 0.002 * 0.3048, 0.0254 / 64, 0.001 * 0.3048},
}

// fewestForStep is the min number of readings that show a step coarser than one that is usual.
// Own choice: readings in whole millimetres, half of which are even, are all even or all odd by
// chance in 1 case of 128 for 8 of them, but in 1 of 4 for 3.
const fewestForStep = 8

// usualSteps are the coarsest, m, in metric and in US units, that a few readings are taken to be
// written in.
var usualSteps = [2]float64{0.001, 0.0254 / 16}

// Step returns the coarsest step that all readings are whole numbers of, m: by it they were
// rounded. It is 0 if there is none, or if all are equal. One above the usual is believed only of
// enough readings.
func Step(readings []float64, us bool) float64 {
	of, usual := steps[0], usualSteps[0]
	if us {
		of, usual = steps[1], usualSteps[1]
	}
	const same = 2e-6 // m: but for the two feet, and for the decimals of a file
	enough := unlike(readings, same) >= fewestForStep
	for _, step := range of {
		if !enough && step > usual+same {
			continue
		}
		whole, differ := true, false
		for _, z := range readings {
			n := math.Round((z - readings[0]) / step)
			differ = differ || n != 0
			if whole = math.Abs(z-readings[0]-n*step) <= same; !whole {
				break
			}
		}
		if whole && differ {
			return step
		}
	}
	return 0
}

// unlike returns the number of readings, of those that are equal to the commonest only one: a
// level floor gives the same reading again and again, which shows no step.
func unlike(readings []float64, same float64) int {
	of, most := map[float64]int{}, 1
	for _, z := range readings {
		k := math.Round(z / same)
		of[k]++
		most = max(most, of[k])
	}
	return len(readings) - most + 1
}

package report

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"pourplane/surface/job"
	"pourplane/surface/order"
	"pourplane/survey/unit"
)

// The lines of a take-off as shown add up to the need and to the order, in hundredths of a
// m³ or yd³. Each is within a digit of its value, the largest within two; the net volume is
// the figure shown everywhere.
func TestShownLinesAddUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		u := unit.Style{Imperial: rapid.Bool().Draw(t, "imperial")}
		per := 0.01
		if u.Imperial {
			per *= order.CubicYard
		}
		w := &job.Filled{}
		for i := range rapid.IntRange(1, 7).Draw(t, "lines") {
			most := 3.0
			if i == 0 {
				most = 40
			}
			v := rapid.Float64Range(0.0001, most).Draw(t, "volume")
			w.Takeoff.Items = append(w.Takeoff.Items, order.Item{Name: string(rune('A' + i)), Volume: v})
			w.Takeoff.Need += v
		}
		w.Delivery.Volume = math.Ceil(w.Takeoff.Need/(25*per)) * 25 * per
		w.Delivery.Rounding = order.Item{Name: "Rounded up", Volume: w.Delivery.Volume - w.Takeoff.Need}
		lines, need, up := shownLines(w, u)
		whole := func(v float64) float64 {
			if d := v / per; math.Abs(d-math.Round(d)) > 1e-6 {
				t.Fatalf("%g is no whole digit", v)
			}
			return math.Round(v / per)
		}
		sum := 0.0
		for i, l := range lines {
			sum += whole(l.Volume)
			if math.Abs(l.Volume-w.Takeoff.Items[i].Volume) > 2*per {
				t.Fatalf("%s: %g shown for %g", l.Name, l.Volume, w.Takeoff.Items[i].Volume)
			}
		}
		if sum != whole(need.Volume) || sum+whole(up.Volume) != math.Round(w.Delivery.Volume/per) || up.Volume < -1e-9 {
			t.Fatalf("%v add up to %g, not %g; with %g not to %g", lines, sum, need.Volume/per, up.Volume/per, w.Delivery.Volume/per)
		}
		if math.Abs(need.Volume-w.Takeoff.Need) > 0.5000001*per {
			t.Fatalf("needed: %g shown for %g", need.Volume, w.Takeoff.Need)
		}
	})
}

// By hand: a net of 7.3163 is 7.32 wherever it is shown, though the whole, 8.4837, is 8.48
// of 8.50. Of the rest, 116 digits, each line has its share, within one digit.
func TestNetIsShownAlikeEverywhere(t *testing.T) {
	w := &job.Filled{}
	for _, v := range []float64{7.3163, 0.1123, 0.1733, 0.3801, 0.0763, 0.25, 0.1754} {
		w.Takeoff.Items = append(w.Takeoff.Items, order.Item{Name: "line", Volume: v})
		w.Takeoff.Need += v
	}
	w.Delivery.Volume, w.Delivery.Rounding = 8.5, order.Item{Name: "Rounded up", Volume: 8.5 - w.Takeoff.Need}
	lines, need, up := shownLines(w, unit.Style{})
	if got := (unit.Style{}).Volume(lines[0].Volume); got != "7.32 m³" || math.Abs(need.Volume-8.48) > 1e-9 || math.Abs(up.Volume-0.02) > 1e-9 {
		t.Errorf("net %s, needed %g, rounded up %g", got, need.Volume, up.Volume)
	}
	sum := 0.0
	for i, l := range lines {
		sum += l.Volume
		if math.Abs(l.Volume-w.Takeoff.Items[i].Volume) > 0.0101 {
			t.Errorf("line %d: %g shown for %g", i+1, l.Volume, w.Takeoff.Items[i].Volume)
		}
	}
	if math.Abs(sum-8.48) > 1e-9 {
		t.Errorf("lines add up to %g", sum)
	}
}

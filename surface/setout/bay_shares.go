package setout

import (
	"fmt"
	"math"
	"slices"

	"pourplane/surface/internal/sum"
)

// Apportion rounds parts to a number of decimals, 0 to 9, so that they add up to the rounded
// total to the last digit. Each is rounded down and the remainder goes to those that lost
// most, of equal ones to the larger, then to the earlier. (The method of largest remainders,
// known from Hamilton's apportionment of seats.) No part changes by a whole last digit or
// more.
//
// Errors are [*survey.Error]: a part or total that is negative or not finite, parts that do
// not sum to the total within a hundredth of the last digit.
func Apportion(total float64, parts []float64, decimals int) ([]float64, error) {
	if decimals < 0 || decimals > 9 {
		return nil, refuse("decimals", fmt.Sprint(decimals), "0 to 9")
	}
	if !finite(total) || total < 0 {
		return nil, refuse("total", fmt.Sprintf("%g", total), "an amount, 0 or more")
	}
	per := math.Pow10(decimals)
	if total*per > 1<<50 {
		return nil, refuse("total", fmt.Sprintf("%g", total), "an amount that can be written with so many decimals")
	}
	var s sum.Sum
	for i, p := range parts {
		if !finite(p) || p < 0 {
			return nil, refuse(fmt.Sprintf("part %d", i+1), fmt.Sprintf("%g", p), "an amount, 0 or more")
		}
		s.Add(p)
	}
	if d := math.Abs(s.Value() - total); d*per > 0.01 || len(parts) == 0 && total > 0 {
		return nil, refuse("parts", fmt.Sprintf("%g in all", s.Value()), fmt.Sprintf("%g", total))
	}
	out := make([]float64, len(parts))
	lost := make([]float64, len(parts))
	order := make([]int, len(parts))
	left := math.Round(total * per)
	for i, p := range parts {
		order[i] = i
		out[i] = math.Floor(p*per + slack)
		// To a millionth of a digit, so that the last bits do not separate equal parts.
		lost[i] = math.Round(1e6 * max(0, p*per-out[i]))
		left -= out[i]
	}
	slices.SortStableFunc(order, func(i, j int) int {
		switch {
		case lost[i] != lost[j]:
			return int(math.Copysign(1, lost[j]-lost[i]))
		case out[i] != out[j]:
			return int(math.Copysign(1, out[j]-out[i]))
		}
		return i - j
	})
	for _, i := range order {
		if left <= 0 {
			break
		}
		out[i]++
		left--
	}
	for i := range out {
		out[i] /= per
	}
	return out, nil
}

// WholeBags returns the bags for each volume, m³, rounded up to whole ones, and their sum. A
// bag opened for one bay has set before the next. yield is the volume of one bag in place,
// m³.
//
// Errors are [*survey.Error]: a volume that is negative or not finite, a yield that is not
// positive and finite, more bags than fit a whole number.
func WholeBags(volumes []float64, yield float64) (bags []int, total int, err error) {
	if !finite(yield) || yield <= 0 {
		return nil, 0, refuse("yield of a bag", fmt.Sprintf("%g", yield), "a volume in m³, more than 0")
	}
	for i, v := range volumes {
		n := math.Ceil(v/yield - slack)
		if !finite(v, n) || v < 0 || n > 1e9 {
			return nil, 0, refuse(fmt.Sprintf("volume %d", i+1), fmt.Sprintf("%g", v), "a volume in m³, 0 or more, that somebody could carry in bags")
		}
		bags = append(bags, int(math.Max(0, n)))
		total += bags[i]
	}
	return bags, total, nil
}

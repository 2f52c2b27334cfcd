package report

import (
	"math"
	"strings"
	"testing"

	"pourplane/surface/job"
	"pourplane/surface/order"
)

// The record of the demo says what each sequence of its two materials needs, what the plant asks and
// what comes before and after the pour. By hand: a third of the 1 1/2 in where concrete begins is 1/2 in;
// 2 coats × 869.8 ft² ÷ 244.5 ft²/gal (6 m²/L) ÷ 0.8 are 8.9 gal.
func TestRecordSaysWhatTheJobLeavesOpen(t *testing.T) {
	h := hall(t)
	saidIn(t, strings.Join(h.materialSection().Text, " "), `Repair mortar first: it needs a form along the border, 22 ft long and 1 1/2" high.`, "Topping concrete first: it needs a block-out there")
	saidIn(t, strings.Join(h.orderSection().Text, " "), "The plant also asks for strength, slump and largest stone", `Stone: max 1/2", a third of the 1 1/2" where the mix is thinnest.`)
	saidIn(t, strings.Join(h.supplyPage().Text, " "), "Bonded or not: the designer decides", "Old floor: clean, sound", "Curing: ")
	if got := h.coatHow(h.Coats[0].Coat); got != "2 × 869.8 ft² ÷ 244.5 ft²/gal; ÷ (1 − 20 % overlap)" {
		t.Errorf("the primer is worked out as %q", got)
	}
	c := order.Coat{Cover: 6, First: 4, Coats: 2, Allowance: 0.1}
	if got := h.coatHow(c); got != "869.8 ft² ÷ 163 ft²/gal first, then 1 × the same ÷ 244.5 ft²/gal; + 10 % allowance" {
		t.Errorf("a thirsty floor is worked out as %q", got)
	}
}

// By hand: 20 mm deep at x 0 and 100 mm at x 6 m over 4 m: 40 mm are at 1.5 m, all across.
func TestBorderLengthByHand(t *testing.T) {
	if got := runText(t, ramp).h.borderLength(0.04); math.Abs(got-4) > 1e-6 {
		t.Errorf("the border is %g m long, by hand 4", got)
	}
}

// An order without any loss but the allowance is a first one; with a rough floor it is not.
func TestFirstOrderSaysWhatIsNotInIt(t *testing.T) {
	w := &job.Filled{Mix: order.Mix{Order: 6}}
	if text := FirstOrder(w); text != "; a first order: a job file adds pump, line and rough floor" {
		t.Errorf("%q", text)
	}
	w.Losses.Roughness = 0.001
	if text := FirstOrder(w); text != "" {
		t.Errorf("with a rough floor: %q", text)
	}
}

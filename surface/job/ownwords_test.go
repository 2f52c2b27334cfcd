package job

import (
	"strings"
	"testing"
)

// A refusal has the text of the job and limits in the unit of the job, each at its own
// key, and names a thing once.
func TestRefusalsAreInTheWordsOfTheJob(t *testing.T) {
	t.Parallel()
	feet := strings.Replace(rampJob, "[survey]", "show = \"feet\"\n[survey]", 1)
	const mix = "[[materials]]\nname = \"topping\"\n"
	for _, c := range []struct{ text, want string }{
		{feet + mix + "least = \"90ft\"\n", `materials[1].least: found "90ft", want a thickness from 0 to 78 in`},
		{rampJob + mix + "least = \"3m\"\n", `materials[1].least: found "3m", want a thickness from 0 to 2 m`},
		{feet + mix + "greatest = \"40ft\"\n", `materials[1].greatest: found "40ft", want 0 for no limit, or a thickness from the min one to 32 ft`},
		{feet + "[pins]\nspacing = \"2in\"\n", `pins.spacing: found "2in", want a length from 4 in to 3280 ft`},
		{rampJob + "[pins]\nspacing = \"50mm\"\n", `pins.spacing: found "50mm", want a length from 100 mm to 1000 m`},
		{rampJob + "[pins]\nrule-step = \"200mm\"\n", `pins.rule-step: found "200mm", want a length from 0.01 mm to 100 mm`},
		{feet + "[bars]\nsize = \"#3\"\nspacing = \"12in\"\nlap = \"4000ft\"\n", `bars.lap: found "4000ft", want a length from 1/16 in to 3280 ft`},
		{rampJob + "[bays]\nmost = \"1L\"\n", "bays: found 1440 bays, want max 500"},
		{rampJob + "[mix]\norder-step = \"0.5yd\"\n", `mix.order-step: found "0.5yd", a length, want a volume such as 0.5yd3`},
		{rampJob + "[plant]\ntruck = \"6m\"\n", `plant.truck: found "6m", a length, want a volume such as 6m3`},
	} {
		if err := refused(t, c.text, ramp); !strings.Contains(err.Error(), c.want) {
			t.Errorf("%v\nwant %s", err, c.want)
		}
	}
	// Half a cubic yard is 0.38228 m³: 1.512 m³ need four steps of it.
	r := solved(t, rampJob+"[mix]\norder-step = \"1/2 yd3\"\n", ramp)
	near(t, "step", r.Mix.Step, 0.382277428992)
	near(t, "order", r.Delivery.Volume, 4*0.382277428992)
}

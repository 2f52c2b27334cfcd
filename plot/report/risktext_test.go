package report

import (
	"bytes"
	"slices"
	"strings"
	"testing"

	"pourplane/surface/job"
)

// Every count that a probability is written with, each with a probability that it is written for.
func TestTimesIn(t *testing.T) {
	for _, c := range []struct {
		p    float64
		want string
	}{
		{1, "nearly always"}, {0.95, "nearly always"}, {0.949, "9 times in 10"}, {0.8, "8 times in 10"}, {0.66, "7 times in 10"}, {0.56, "6 times in 10"},
		{0.549, "half the time"}, {0.5, "half the time"}, {0.451, "half the time"}, {0.44, "4 times in 10"}, {0.37, "4 times in 10"},
		{0.36, "1 time in 3"}, {0.3, "1 time in 3"}, {0.25, "1 time in 4"}, {0.2, "1 time in 5"}, {0.17, "1 time in 6"}, {0.14, "1 time in 7"}, {0.125, "1 time in 8"}, {0.11, "1 time in 9"}, {0.1, "1 time in 10"},
		{0.08, "1 time in 12"}, {0.07, "1 time in 15"}, {0.051, "1 time in 20"}, {0.04, "1 time in 25"}, {0.033, "1 time in 30"}, {0.025, "1 time in 40"}, {0.02, "1 time in 50"}, {0.016, "1 time in 60"}, {0.0125, "1 time in 80"}, {0.01, "1 time in 100"},
		{0.0065, "1 time in 150"}, {0.005, "1 time in 200"}, {0.0033, "1 time in 300"}, {0.002, "1 time in 500"}, {0.0014, "1 time in 700"}, {0.001, "1 time in 1,000"}, {0.0009, "1 time in 1,000"}, {0.0008, "less than 1 time in 1,000"}, {0, "less than 1 time in 1,000"},
	} {
		if got := timesIn(c.p); got != c.want {
			t.Errorf("%g: %q, want %q", c.p, got, c.want)
		}
	}
}

// An order for several risks is one row, with all of them; the order as it is and the cheapest one are
// named. The smallest is first.
func TestEqualOrdersAreOneRow(t *testing.T) {
	r := func(asked, order float64) job.Risk { return job.Risk{Asked: asked, Order: order} }
	all := []job.Risk{r(0.5, 4.5), r(0.2, 4.5), r(0.1, 4.75), r(0.05, 4.75), r(0.01, 5)}
	names := func(now float64, best float64) (out []string) {
		o := job.MaterialRisk{Now: r(0, now), All: all}
		if best > 0 {
			o.Cheapest = &job.Risk{Order: best}
		}
		for _, row := range riskRows(o) {
			out = append(out, row.name)
		}
		return out
	}
	if got, want := names(4.75, 0), []string{"20 % or 50 %", "5 % or 10 %, as ordered", "1 %"}; !slices.Equal(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
	if got, want := names(4.25, 5.25), []string{"as ordered", "20 % or 50 %", "5 % or 10 %", "1 %", "cheapest"}; !slices.Equal(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
	all = []job.Risk{r(0.5, 2), r(0.2, 2), r(0.1, 2), r(0.05, 2), r(0.01, 2)}
	if got, want := names(2, 0), []string{"1 % to 50 %, as ordered"}; !slices.Equal(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
	all = []job.Risk{r(0.5, 4.5), r(0.2, 4.5), r(0.1, 4.75), r(0.05, 4.75), r(0.01, 5)}
	if got, want := names(5, 5), []string{"20 % or 50 %", "5 % or 10 %", "1 %, as ordered, cheapest"}; !slices.Equal(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
}

// What being wrong costs and the cheapest order are on the terminal, in the JSON and in the record, at
// the prices of the job.
func TestCostOfBeingWrong(t *testing.T) {
	t.Parallel()
	// The ramp takes 1.51 m³ with its allowance, ordered 1.75; a cheap second delivery makes 1.50 cheapest.
	for _, c := range []struct{ second, terminal, record string }{
		{"400", ", no order costs less", ", as ordered, cheapest"},
		{"0.01", ", least with 1.50 m³: ", "cheapest"},
	} {
		r := runText(t, ramp+"[mix]\nprice-per-m3 = 200\nshort-load-price = "+c.second+"\n")
		said := strings.Join(strings.Fields(r.terminal), " ")
		if !strings.Contains(said, "Being wrong") || !strings.Contains(said, c.terminal) {
			t.Errorf("%s: terminal:\n%s", c.second, r.terminal)
		}
		o := r.result.Order
		if o.Wrong == nil || o.Cheapest == nil || o.Cheapest.Wrong == nil || *o.Cheapest.Wrong > *o.Wrong {
			t.Errorf("%s: %+v, cheapest %+v", c.second, o.Wrong, o.Cheapest)
		}
		page := r.page(t)
		for _, want := range []string{"Being wrong costs", c.record} {
			if !strings.Contains(page, want) {
				t.Errorf("%s: no %q in the record", c.second, want)
			}
		}
	}
	// On paper the orders for two small risks are beside it.
	r := runText(t, ramp+"[mix]\nprice-per-m3 = 200\nshort-load-price = 400\n")
	if said := strings.Join(r.h.sureLine(), " "); !strings.Contains(said, " For a risk of 5 %: 1.75 m³; 1 %: 1.75 m³. Being wrong costs ") || !strings.Contains(said, ", no order costs less.") {
		t.Errorf("paper: %s", said)
	}
	// Without the price of a second delivery nothing is cheapest.
	r = runText(t, ramp+"[mix]\nprice-per-m3 = 200\n")
	if o := r.result.Order; o.Wrong != nil || o.Cheapest != nil || strings.Contains(r.terminal, "Being wrong") || !strings.Contains(r.page(t), "Price of a second delivery not given") {
		t.Errorf("one price:\n%s", r.terminal)
	}
}

// The errors that are assumed are named in one row, whatever else is on the screen; what the ± is made
// of is for --verbose.
func TestAssumedErrorsAreNamed(t *testing.T) {
	t.Parallel()
	short := func(text string) string { return runText(t, text).short(t) }
	for _, text := range []string{ramp, ramp + "[mix]\nprice-per-m3 = 200\nshort-load-price = 400\n[outputs]\nnext-shots = 9\n"} {
		said := short(text)
		words := strings.Join(strings.Fields(said), " ")
		if !strings.Contains(words, "± assumes reading error of 1.5 mm for elevations, set-up error of 1.0 mm: none given (survey.reading-sd, survey.setup-sd) ") || strings.Contains(said, "± by cause") || !strings.Contains(said, "how sure that is") {
			t.Errorf("short:\n%s", said)
		}
	}
	given := strings.Replace(ramp, "[survey]\n", "[survey]\nreading-sd = \"1mm\"\nsetup-sd = \"1mm\"\n", 1)
	if given == ramp {
		t.Fatal("no [survey]")
	}
	if said := short(given); strings.Contains(said, "± assumes") {
		t.Errorf("given:\n%s", said)
	}
	if said := runText(t, ramp).terminal; !strings.Contains(said, "± assumes") || !strings.Contains(said, "± by cause") {
		t.Errorf("verbose:\n%s", said)
	}
}

// short is what the terminal shows without --verbose.
func (r ran) short(t *testing.T) string {
	t.Helper()
	var b bytes.Buffer
	if err := (&Summary{Filled: r.h.Filled, Style: r.h.Style, InJob: true, Extra: r.h.Rows()}).Print(&b); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

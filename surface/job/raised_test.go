package job

import (
	"fmt"
	"io/fs"
	"math"
	"reflect"
	"strings"
	"testing"

	"pourplane/surface"
	"pourplane/survey"
)

// A raised target gives what a job with that target gives, and leaves the first result as it was.
func TestRaisedIsSolved(t *testing.T) {
	t.Parallel()
	hall := demoHall(t)
	fill, order := hall.Fill.Fill, hall.Mix.Order
	for _, h := range []float64{-0.002, -0.0015875, 0, 0.0015875, 0.02} {
		got, err := hall.Raised(h)
		if err != nil {
			t.Fatal(err)
		}
		text, err := Edited(demoJob(t), "target.elevation", fmt.Sprintf("%.17gm", hall.Fill.Target.(surface.Plane).Z+h))
		if err != nil {
			t.Fatal(err)
		}
		want := solved(t, string(text), demo)
		if math.Abs(got.Fill.Fill-want.Fill.Fill) > 1e-12*want.Fill.Fill || math.Abs(got.Fill.Cut-want.Fill.Cut) > 1e-12 ||
			got.Mix.Order != want.Mix.Order || len(got.Takeoff.Items) != len(want.Takeoff.Items) || got.Delivery.Trucks != want.Delivery.Trucks {
			t.Errorf("raised by %v: %v and %v, solved %v and %v", h, got.Fill.Fill, got.Mix.Order, want.Fill.Fill, want.Mix.Order)
		}
		if !reflect.DeepEqual(got.Bought, want.Bought) {
			t.Errorf("raised by %v: buys %+v, solved %+v", h, got.Bought, want.Bought)
		}
		// One truck of 10 yd³ would be late: the same loads are ordered, in the same words. Prices
		// are added up for the solved job only.
		ordered, _, _ := strings.Cut(aboutTopic(want, survey.AboutOrder), "\ntotal price: ")
		if said := aboutTopic(got, survey.AboutOrder); !reflect.DeepEqual(got.Delivery, want.Delivery) || said != ordered || !strings.HasPrefix(said, "order ") {
			t.Errorf("raised by %v: %+v and\n%s\nsolved %+v and\n%s", h, got.Delivery, said, want.Delivery, ordered)
		}
		if len(got.Thresholds) != len(want.Thresholds) {
			t.Errorf("raised by %v: %d thresholds, solved %d", h, len(got.Thresholds), len(want.Thresholds))
		}
	}
	if hall.Fill.Fill != fill || hall.Mix.Order != order {
		t.Errorf("the first result is now %v and %v", hall.Fill.Fill, hall.Mix.Order)
	}
	if _, err := hall.Raised(1000); err == nil {
		t.Error("a target 1 km up was taken")
	}
}

func demoJob(t *testing.T) []byte {
	t.Helper()
	text, err := fs.ReadFile(demo, "job.toml")
	if err != nil {
		t.Fatal(err)
	}
	return text
}

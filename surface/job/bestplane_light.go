//go:build light

package job

import (
	"errors"

	"pourplane/surface"
	"pourplane/surface/best"
)

// The engine that comes first leaves the search out: a job that asks for it is for the whole engine.
var errNoSearch = errors.New("the plane of least cost is not searched here")

func groundFor(*surface.Floor) *best.Ground { return nil }

func bestPlane(*best.Ground, best.Spec) (*best.Best, error) { return nil, errNoSearch }

func bestCurve(*best.Ground, best.Spec, []float64) ([]best.Point, error) { return nil, errNoSearch }

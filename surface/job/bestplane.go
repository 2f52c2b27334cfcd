//go:build !light

package job

import (
	"pourplane/surface"
	"pourplane/surface/best"
)

func groundFor(floor *surface.Floor) *best.Ground { return best.NewGround(floor) }

func bestPlane(g *best.Ground, s best.Spec) (*best.Best, error) { return g.Solve(s) }

func bestCurve(g *best.Ground, s best.Spec, ratios []float64) ([]best.Point, error) {
	return g.Curve(s, ratios)
}

package surface

// Plane is z = Z + SlopeX·(x − At.X) + SlopeY·(y − At.Y): a target, or a fit.
type Plane struct {
	At     Vec
	Z      float64
	SlopeX float64 // rise per metre to the east
	SlopeY float64 // rise per metre to the north
}

// Elevation returns the elevation of the plane at p.
func (p Plane) Elevation(at Vec) float64 {
	return p.Z + float64(p.SlopeX*(at.X-p.At.X)) + float64(p.SlopeY*(at.Y-p.At.Y))
}

package web

import (
	"bytes"
	"image"
	"image/color"
	"image/draw"
	"image/png"
	"math"

	"golang.org/x/image/vector"
)

// icon draws the mark of the page: an uneven floor, and the fill on it up to one plane. All of
// it is in the middle four fifths, which no device cuts off.
func icon(size int) []byte {
	deep, floor, fill := color.NRGBA{0x17, 0x51, 0x4a, 255}, color.NRGBA{0x9a, 0xd7, 0xc9, 255}, color.NRGBA{0xfb, 0xfa, 0xf7, 255}
	m := image.NewNRGBA(image.Rect(0, 0, size, size))
	draw.Draw(m, m.Bounds(), image.NewUniform(deep), image.Point{}, draw.Src)
	const left, right, plane, bottom = 0.16, 0.84, 0.40, 0.76
	ground := func(x float64) float64 { return 0.56 + 0.10*math.Sin(9*x) }
	under := func(top func(x float64) float64, low func(x float64) float64, c color.Color) {
		z := vector.NewRasterizer(size, size)
		at := func(x, y float64) (float32, float32) { return float32(x * float64(size)), float32(y * float64(size)) }
		const steps = 64
		z.MoveTo(at(left, top(left)))
		for i := 1; i <= steps; i++ {
			x := left + (right-left)*float64(i)/steps
			z.LineTo(at(x, top(x)))
		}
		for i := steps; i >= 0; i-- {
			x := left + (right-left)*float64(i)/steps
			z.LineTo(at(x, low(x)))
		}
		z.ClosePath()
		z.Draw(m, m.Bounds(), image.NewUniform(c), image.Point{})
	}
	level := func(y float64) func(float64) float64 { return func(float64) float64 { return y } }
	under(level(plane), ground, fill)
	under(func(x float64) float64 { return ground(x) + 0.025 }, level(bottom), floor)
	under(level(plane-0.075), level(plane-0.045), floor) // the straightedge
	var b bytes.Buffer
	if err := png.Encode(&b, m); err != nil {
		panic(err) // to memory
	}
	return b.Bytes()
}

package render

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// lens maps the scene onto the pixels of one picture, in parallel projection.
type lens struct {
	right, up, eye r3.Vec // unit vectors; eye points from the part to the viewer
	center         r3.Vec // seen in the middle, but for the pan
	pxPerMM        float64
	cx, cy         float64 // where center falls, pixels
	reachMM        float64 // all depths lie within this of center
}

// spot is a point of the scene in a picture: pixels, and depth from -1 (near)
// to 1 (far), as the rasteriser wants it.
type spot struct{ x, y, z float64 }

// axes gives the view axes of the camera.
func (c Camera) axes() (right, up, eye r3.Vec) {
	sy, cy := math.Sincos(c.YawDeg * math.Pi / 180)
	sp, cp := math.Sincos(c.PitchDeg * math.Pi / 180)
	right = r3.Vec{X: cy, Y: sy}
	eye = r3.Vec{X: sy * cp, Y: -cy * cp, Z: sp}
	return right, r3.Cross(eye, right), eye
}

// at gives the spot of p.
func (l *lens) at(p r3.Vec) spot {
	d := r3.Sub(p, l.center)
	return spot{
		x: l.cx + l.pxPerMM*r3.Dot(d, l.right),
		y: l.cy - l.pxPerMM*r3.Dot(d, l.up),
		z: -r3.Dot(d, l.eye) / l.reachMM,
	}
}

// depthOf gives a length along the view as a difference of depth.
func (l *lens) depthOf(mm float64) float64 { return mm / l.reachMM }

// onGround gives the affine map from pixels to the plane z = 0: x and y there
// of pixel (0, 0), and their change per pixel right and down. It is false when
// the view runs along the plane.
func (l *lens) onGround() (g ground, ok bool) {
	const grazing = 0.02 // sine of about 1 degree: the plane is a line
	if math.Abs(l.eye.Z) < grazing {
		return ground{}, false
	}
	hit := func(px, py float64) (x, y float64) {
		p := r3.Add(l.center, r3.Add(
			r3.Scale((px-l.cx)/l.pxPerMM, l.right), r3.Scale((l.cy-py)/l.pxPerMM, l.up)))
		q := r3.Sub(p, r3.Scale(p.Z/l.eye.Z, l.eye))
		return q.X, q.Y
	}
	g.x0, g.y0 = hit(0, 0)
	ax, ay := hit(1, 0)
	bx, by := hit(0, 1)
	g.xRight, g.yRight = ax-g.x0, ay-g.y0
	g.xDown, g.yDown = bx-g.x0, by-g.y0
	return g, true
}

// ground is the affine map from pixels to the plane z = 0, see lens.onGround.
type ground struct{ x0, y0, xRight, yRight, xDown, yDown float64 }

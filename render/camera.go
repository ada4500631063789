package render

import "math"

// Camera is a direction of view onto the middle of the part. The view is
// parallel (orthographic). A Camera is a plain value; its methods give changed
// copies.
type Camera struct {
	// YawDeg turns about Z: 0 looks along +Y (the front), 90 along -X (the
	// right side). PitchDeg is the height of the eye over the plate: 90 looks
	// straight down, 0 along the plate, negative from below.
	YawDeg, PitchDeg float64
	// Zoom multiplies the size in the picture; 0 means 1.
	Zoom float64
	// PanXMM and PanYMM move the picture right and up, in millimetres.
	PanXMM, PanYMM float64
}

// limits of zoom and pitch; beyond them nothing useful is seen (judgement).
const (
	leastZoom, mostZoom = 0.05, 200
	mostPitchDeg        = 90
)

// DefaultCamera looks from the front right, somewhat from above.
func DefaultCamera() Camera { return Camera{YawDeg: 32, PitchDeg: 22, Zoom: 1} }

// The standing views.
func FrontCamera() Camera { return Camera{Zoom: 1} }

// RightCamera looks at the side that faces +X.
func RightCamera() Camera { return Camera{YawDeg: 90, Zoom: 1} }

// TopCamera looks straight down, X to the right.
func TopCamera() Camera { return Camera{PitchDeg: 90, Zoom: 1} }

// BelowCamera looks from the front right through the plate, where overhangs
// show.
func BelowCamera() Camera { return Camera{YawDeg: 32, PitchDeg: -28, Zoom: 1} }

// Orbit turns the camera about the part; the pitch stops at straight down and
// straight up.
func (c Camera) Orbit(yawDeg, pitchDeg float64) Camera {
	c.YawDeg = math.Mod(c.YawDeg+yawDeg, 360)
	c.PitchDeg = min(max(c.PitchDeg+pitchDeg, -mostPitchDeg), mostPitchDeg)
	return c
}

// Pan moves the picture by millimetres right and up.
func (c Camera) Pan(rightMM, upMM float64) Camera {
	c.PanXMM += rightMM
	c.PanYMM += upMM
	return c
}

// ZoomBy multiplies the zoom, within sensible limits, about the point that lies
// rightMM and upMM from the middle of the picture: what is seen there stays.
func (c Camera) ZoomBy(factor, rightMM, upMM float64) Camera {
	old := c.zoom()
	c.Zoom = min(max(old*factor, leastZoom), mostZoom)
	k := old / c.Zoom // millimetres per pixel shrink by this
	c.PanXMM -= rightMM * (1 - k)
	c.PanYMM -= upMM * (1 - k)
	return c
}

func (c Camera) zoom() float64 {
	if c.Zoom > 0 {
		return c.Zoom
	}
	return 1
}

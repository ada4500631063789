package render

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"
)

func TestStandingViews(t *testing.T) {
	x, y, z := r3.Vec{X: 1}, r3.Vec{Y: 1}, r3.Vec{Z: 1}
	for _, c := range []struct {
		name           string
		camera         Camera
		right, up, eye r3.Vec
	}{
		{"front", FrontCamera(), x, z, r3.Scale(-1, y)},
		{"right", RightCamera(), y, z, x},
		{"top", TopCamera(), x, y, z},
	} {
		right, up, eye := c.camera.axes()
		for _, v := range [][2]r3.Vec{{right, c.right}, {up, c.up}, {eye, c.eye}} {
			if r3.Norm(r3.Sub(v[0], v[1])) > 1e-12 {
				t.Errorf("%s: axis %v, want %v", c.name, v[0], v[1])
			}
		}
	}
}

func TestOrbitStopsAtThePoles(t *testing.T) {
	if c := DefaultCamera().Orbit(0, 500); c.PitchDeg != 90 {
		t.Errorf("pitch = %g, want 90", c.PitchDeg)
	}
	if c := DefaultCamera().Orbit(0, -500); c.PitchDeg != -90 {
		t.Errorf("pitch = %g, want -90", c.PitchDeg)
	}
	if c := DefaultCamera().Orbit(720, 0); math.Abs(c.YawDeg-DefaultCamera().YawDeg) > 1e-9 {
		t.Errorf("two turns give yaw %g", c.YawDeg)
	}
}

// What lies under the pointer stays there while zooming.
func TestZoomKeepsThePointUnderThePointer(t *testing.T) {
	s := NewScene(detailOf(box(30, 20, 10)), plateStage())
	rapid.Check(t, func(t *rapid.T) {
		shot := Shot{Width: 400, Height: 300, Camera: Camera{
			YawDeg: rapid.Float64Range(-180, 180).Draw(t, "yaw"), PitchDeg: rapid.Float64Range(-90, 90).Draw(t, "pitch"),
			Zoom: rapid.Float64Range(0.2, 10).Draw(t, "zoom"), PanXMM: rapid.Float64Range(-20, 20).Draw(t, "pan"),
		}}
		p := r3.Vec{X: rapid.Float64Range(-15, 15).Draw(t, "x"), Y: 3, Z: 4}
		l := s.lens(shot, 1)
		before := l.at(p)
		mm := s.MMPerPixel(shot)
		shot.Camera = shot.Camera.ZoomBy(rapid.Float64Range(0.3, 3).Draw(t, "factor"), (before.x-200)*mm, (150-before.y)*mm)
		l = s.lens(shot, 1)
		after := l.at(p)
		if math.Hypot(after.x-before.x, after.y-before.y) > 1e-6 {
			t.Fatalf("the point moved from %v to %v", before, after)
		}
	})
}

func TestPanMovesThePicture(t *testing.T) {
	s := NewScene(detailOf(box(30, 20, 10)), plateStage())
	shot := Shot{Width: 400, Height: 300, MMPerPixel: 0.25}
	l := s.lens(shot, 1)
	before := l.at(r3.Vec{})
	shot.Camera = shot.Camera.Pan(5, 2)
	l = s.lens(shot, 1)
	after := l.at(r3.Vec{})
	if dx, dy := after.x-before.x, after.y-before.y; math.Abs(dx-20) > 1e-9 || math.Abs(dy+8) > 1e-9 {
		t.Errorf("5 mm right and 2 up at 0.25 mm a pixel moved by %g, %g pixels, want 20, -8", dx, dy)
	}
}

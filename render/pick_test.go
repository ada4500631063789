package render

import (
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"
)

func TestPickNamesTheFaceSeen(t *testing.T) {
	s := NewScene(detailOf(box(20, 20, 20)), plateStage())
	for _, c := range []struct {
		name   string
		camera Camera
		want   r3.Vec
	}{
		{"top", TopCamera(), r3.Vec{Z: 1}},
		{"front", FrontCamera(), r3.Vec{Y: -1}},
		{"right", RightCamera(), r3.Vec{X: 1}},
		{"below", Camera{PitchDeg: -90}, r3.Vec{Z: -1}},
	} {
		shot := Shot{Camera: c.camera, Width: 200, Height: 200}
		facet, ok := s.Pick(shot, 100, 90)
		if !ok || r3.Norm(r3.Sub(s.flat[facet], c.want)) > 1e-9 {
			t.Errorf("%s: picked a facet facing %v (%v), want %v", c.name, s.flat[facet], ok, c.want)
		}
		if _, ok := s.Pick(shot, 2, 2); ok {
			t.Errorf("%s: picked a facet in the corner, where none is", c.name)
		}
	}
}

// The nearest facet counts, not the first: the near leg of the table, seen
// through from the front.
func TestPickTakesTheNearest(t *testing.T) {
	s := NewScene(detailOf(table()), plateStage())
	shot := Shot{Camera: FrontCamera(), Width: 400, Height: 300, MMPerPixel: 0.15}
	l := s.lens(shot, 1)
	p := l.at(r3.Vec{X: -17 / 0.84, Y: -15 / 0.84, Z: 8})
	facet, ok := s.Pick(shot, int(p.x), int(p.y))
	if !ok {
		t.Fatal("nothing picked on the leg")
	}
	a, b, c := s.mesh.Corners(facet)
	for _, v := range []r3.Vec{a, b, c} {
		if v.Y > -15/0.84+1e-9 {
			t.Errorf("picked a facet at y = %g, want the front of the leg at %g", v.Y, -15/0.84)
		}
	}
}

// Pick and Frame must agree on where the part is.
func TestPickAgreesWithTheRaster(t *testing.T) {
	d := detailOf(tube(24))
	s := NewScene(d, plateStage())
	rapid.Check(t, func(t *rapid.T) {
		shot := Shot{Width: 60, Height: 50, Camera: Camera{
			YawDeg: rapid.Float64Range(-180, 180).Draw(t, "yaw"), PitchDeg: rapid.Float64Range(-90, 90).Draw(t, "pitch"),
			Zoom: rapid.Float64Range(0.3, 6).Draw(t, "zoom"),
		}}.complete()
		b := rasterised(s, shot)
		differ := 0
		for y := 0; y < shot.Height; y += 3 {
			for x := range shot.Width {
				_, ok := s.Pick(shot, x, y)
				if drawn := b.part.colorRow(y)[4*x+3] != bareAlpha; drawn != ok {
					differ++
				}
			}
		}
		if differ > 2 { // middles on a border may fall either way
			t.Fatalf("%d of %d pixels differ", differ, shot.Width*shot.Height)
		}
	})
}

// Where the scene divides the facets of the part to show the sag, Pick still
// names those of the part.
func TestPickOnDividedFacets(t *testing.T) {
	d := detailOf(table())
	d.Sag = nil
	plain := NewScene(d, setterStage())
	d.Sintered, d.SinteredFrom = d.Sintered.Refine(3, 10_000)
	fine := NewScene(d, setterStage())
	if fine.mesh == plain.mesh || len(fine.mesh.Facets) < 4*len(plain.mesh.Facets) {
		t.Fatal("the scene is not divided: the test tests nothing")
	}
	shot := Shot{Camera: DefaultCamera(), Width: 240, Height: 180}
	seen, differ := 0, 0
	for y := 0; y < shot.Height; y += 4 {
		for x := 0; x < shot.Width; x += 4 {
			want, hit := plain.Pick(shot, x, y)
			got, ok := fine.Pick(shot, x, y)
			if ok {
				seen++
			}
			if hit != ok || got != want {
				differ++
			}
		}
	}
	if seen < 100 || differ > 2 { // middles on a border may fall either way
		t.Errorf("%d of %d picks differ from those of the part", differ, seen)
	}
}

package render

import (
	"context"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// The number of a ring stands on the ring, not in its hole, and on a facet of it.
func TestNumberStandsOnItsRegion(t *testing.T) {
	d := detailOf(tube(48))
	regionOf := make([]int32, len(d.Green.Facets))
	for i, over := range d.Overhang {
		if over {
			regionOf[i] = 2 // and none is number 1
		}
	}
	signs := regionSigns(d.Green, regionOf)
	if len(signs) != 3 || signs[1].areaMM2 != 0 || signs[2].areaMM2 == 0 {
		t.Fatalf("signs %+v, want one for number 2 alone", signs)
	}
	at := signs[2].at
	if r := r2.Norm(r2.Vec{X: at.X, Y: at.Y}) * 0.84; r < 10 || r > 18 {
		t.Errorf("the number stands %g mm off the axis, want it on the ring from 10 to 18", r)
	}
	if signs[2].normal.Z > -0.5 {
		t.Errorf("the surface there faces %v, want downward", signs[2].normal)
	}
}

// Seen from below the numbers of the underside are in sight, from above they are
// hidden; the one that stands out comes first.
func TestNumbersSeenAndHidden(t *testing.T) {
	s := NewScene(regionedTable(), plateStage())
	for _, tt := range []struct {
		name   string
		camera Camera
		faint  bool
	}{{"from below", Camera{YawDeg: 20, PitchDeg: -70}, false}, {"from above", Camera{YawDeg: 20, PitchDeg: 60}, true}} {
		shot := Shot{Camera: tt.camera, Width: 200, Height: 150, Samples: 2, Overlays: Overlays{Regions: true, Region: 2}}.complete()
		f := &frame{
			s: s, ctx: context.Background(), shot: shot, pal: &shot.Palette, lens: s.lens(shot, 2), unit: 2, w: 400, h: 300,
		}
		f.b = s.take(f.w, f.h)
		f.b.project(s, &f.lens, 0)
		f.b.face(s, f.w, f.h)
		f.b.part.clear(nil)
		src := &partSource{s: s, b: f.b}
		f.b.part.draw(f.ctx, &f.b.lists, src, func(b *band) painter { return f.partPainter(b, src) })
		signs := f.regionSigns()
		if len(signs) != 2 || signs[0].text != "2" || !signs[0].loud {
			t.Fatalf("%s: signs %+v, want number 2 first", tt.name, signs)
		}
		for _, g := range signs {
			if g.faint != tt.faint {
				t.Errorf("%s: number %s hidden is %v, want %v", tt.name, g.text, g.faint, tt.faint)
			}
		}
	}
}

func TestRegionsOfAnotherPartArePassedOver(t *testing.T) {
	d := regionedTable()
	d.RegionOf = append(d.RegionOf, 7)
	if s := NewScene(d, plateStage()); s.regionOf != nil || len(s.regions) > 0 {
		t.Error("regions of another part are kept")
	}
	if s := NewScene(regionedTable(), setterStage()); s.regionOf != nil {
		t.Error("regions of the print are shown on the setter")
	}
	if signs := regionSigns(detailOf(box(1, 1, 1)).Green, make([]int32, 12)); len(signs) != 1 || signs[0].at != (r3.Vec{}) {
		t.Errorf("no regions give the signs %+v", signs)
	}
}

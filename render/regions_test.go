package render

import (
	"context"
	"strings"
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
		f := s.depthOf(context.Background(), Shot{
			Camera: tt.camera, Width: 200, Height: 150, Overlays: Overlays{Regions: true, Region: 2},
		}.complete())
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

// The views for the sheet show what is to be shown, the fewest that do.
func TestRegionViews(t *testing.T) {
	both := detailOf(box(20, 20, 10))
	both.RegionOf = make([]int32, len(both.Green.Facets))
	for i := range both.RegionOf {
		switch n := r3.Unit(both.Green.AreaVector(i)); {
		case n.Z > 0.9:
			both.RegionOf[i] = 1
		case n.Z < -0.9:
			both.RegionOf[i] = 2
		}
	}
	for _, tt := range []struct {
		name  string
		scene *Scene
		views int
		words []string
	}{
		{"none", NewScene(detailOf(table()), plateStage()), 0, nil},
		{"the underside", NewScene(regionedTable(), plateStage()), 1, []string{"from below"}},
		{"top and bottom", NewScene(both, plateStage()), 2, []string{"from below", "from above"}},
	} {
		got := tt.scene.regionViews(context.Background(), 3)
		if len(got) != tt.views {
			t.Errorf("%s: views %+v, want %d", tt.name, got, tt.views)
			continue
		}
		for i, c := range got {
			if words := viewWords(c); !strings.HasPrefix(words, tt.words[i]) {
				t.Errorf("%s: view %d is %q, want it %s", tt.name, i+1, words, tt.words[i])
			}
		}
	}
	if got := viewWords(Camera{YawDeg: -90, PitchDeg: 10}); got != "from above, left" {
		t.Errorf("the left side is called %q", got)
	}
}

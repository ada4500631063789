package render

import (
	"bytes"
	"context"
	"image"
	"math"
	"runtime"
	"sync"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
	"kilnpoise/orient"
)

// covered gives the box of pixels that the part covers in a frame.
func covered(s *Scene, shot Shot) image.Rectangle {
	shot = shot.complete()
	b := rasterised(s, shot)
	out := image.Rectangle{}
	for y := range shot.Height {
		for x := range shot.Width {
			if b.part.colorRow(y)[4*x+3] != bareAlpha {
				out = out.Union(image.Rect(x, y, x+1, y+1))
			}
		}
	}
	return out
}

// One scale for both machines: 20 mm of sintered box are 200 pixels at 0.1 mm a
// pixel, and the green box is larger by the oversize factors.
func TestBothMachinesAtOneScale(t *testing.T) {
	d := detailOf(box(20, 10, 8))
	shot := Shot{Camera: FrontCamera(), Width: 320, Height: 160, MMPerPixel: 0.1}
	for _, c := range []struct {
		m          Machine
		wide, high float64
	}{{OnSetter, 200, 80}, {OnPlate, 200 / 0.84, 80 / 0.80}} {
		got := covered(NewScene(d, Stage{Machine: c.m}), shot)
		if math.Abs(float64(got.Dx())-c.wide) > 1 || math.Abs(float64(got.Dy())-c.high) > 1 {
			t.Errorf("%v: the box covers %v, want %.1f x %.1f pixels", c.m, got.Size(), c.wide, c.high)
		}
	}
}

func TestCommonScaleFitsBoth(t *testing.T) {
	d := detailOf(box(20, 10, 8))
	plate, setter := NewScene(d, Stage{}), NewScene(d, Stage{Machine: OnSetter})
	shot := Shot{Camera: DefaultCamera(), Width: 200, Height: 150}
	common := CommonScale(shot, setter, plate)
	if want := plate.FitMMPerPixel(shot); common != want {
		t.Errorf("CommonScale = %g, want that of the larger part, %g", common, want)
	}
	shot.MMPerPixel = common
	for _, s := range []*Scene{plate, setter} {
		if got := covered(s, shot); !got.In(image.Rect(1, 1, 199, 149)) {
			t.Errorf("the part covers %v and touches the rim", got)
		}
	}
	if got := CommonScale(shot); got != 0 {
		t.Errorf("CommonScale of nothing = %g, want 0", got)
	}
}

func TestFitStaysWhileYawing(t *testing.T) {
	s := NewScene(detailOf(box(40, 5, 8)), Stage{})
	shot := Shot{Camera: DefaultCamera(), Width: 200, Height: 150}
	want := s.FitMMPerPixel(shot)
	for yaw := range 36 {
		shot.Camera.YawDeg = float64(10 * yaw)
		if got := s.FitMMPerPixel(shot); got != want {
			t.Fatalf("scale at yaw %d = %g, want %g", 10*yaw, got, want)
		}
		if got := covered(s, shot); !got.In(image.Rect(1, 1, 199, 149)) {
			t.Errorf("at yaw %d the part covers %v and touches the rim", 10*yaw, got)
		}
	}
}

// The picture must not depend on the number of cores, nor on who else draws.
func TestFrameIsDeterministic(t *testing.T) {
	d := detailOf(ball(15, 60))
	shot := Shot{Camera: DefaultCamera(), Width: 220, Height: 170, Overlays: Overlays{Overhang: true, Supports: true, Footprint: true}}
	old := runtime.GOMAXPROCS(1)
	want := NewScene(d, plateStage()).Frame(context.Background(), shot)
	runtime.GOMAXPROCS(4)
	defer runtime.GOMAXPROCS(old)
	s := NewScene(d, plateStage())
	var wg sync.WaitGroup
	for range 4 {
		wg.Add(1)
		go func() {
			defer wg.Done()
			if got := s.Frame(context.Background(), shot); !bytes.Equal(got.Pix, want.Pix) {
				t.Error("the picture differs from the one drawn on one core")
			}
		}()
	}
	wg.Wait()
}

func TestFrameEndsWithItsContext(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	s := NewScene(detailOf(tube(24)), plateStage())
	if img := s.Frame(ctx, Shot{Width: 100, Height: 80}); img != nil {
		t.Error("a picture came out of a context that has ended")
	}
	if p := DrawSheetPictures(ctx, &orient.Brief{}, detailOf(box(1, 1, 1)), nil, nil, nil); p != nil {
		t.Error("pictures came out of a context that has ended")
	}
}

// Whatever is handed in, a picture comes out.
func TestAwkwardScenes(t *testing.T) {
	nan := box(10, 10, 10)
	nan.Vertices[0].X = math.NaN()
	flat := scaled(box(10, 10, 10), 1, 1, 0)
	open := box(10, 10, 10)
	open.Facets = open.Facets[:8]
	for _, c := range []struct {
		name string
		d    *orient.Detail
	}{
		{"nothing", &orient.Detail{}},
		{"empty mesh", &orient.Detail{Green: &mesh.Mesh{}, Sintered: &mesh.Mesh{}}},
		{"flat", &orient.Detail{Green: flat, Sintered: flat}},
		{"open", &orient.Detail{Green: open, Sintered: open}},
		{"not a number", &orient.Detail{Green: nan, Sintered: nan}},
		{"slices of other lengths", &orient.Detail{Green: box(5, 5, 5), Sintered: box(5, 5, 5), Overhang: []bool{true}, Sag: []float64{1}}},
		{"odd posts", &orient.Detail{Green: box(5, 5, 5), Sintered: box(5, 5, 5), Supports: []orient.Post{{}, {Width: 1, Top: -1}, {Width: math.NaN(), Top: 2}}}},
	} {
		for _, m := range []Machine{OnPlate, OnSetter} {
			for _, cam := range []Camera{{}, DefaultCamera(), BelowCamera(), TopCamera(), {PitchDeg: 90, Zoom: 1e9}} {
				shot := Shot{Camera: cam, Width: 64, Height: 48, Overlays: Overlays{Overhang: true, Supports: true, Footprint: true, Sag: true, SagExaggeration: 5}}
				if img := NewScene(c.d, Stage{Machine: m}).Picture(context.Background(), shot); img == nil || img.Rect.Dx() != 64 {
					t.Errorf("%s, %v: no picture", c.name, m)
				}
			}
		}
	}
}

// Without colour overhang still shows: its hatching alternates light and dark.
func TestOverhangIsHatched(t *testing.T) {
	s := NewScene(detailOf(table()), plateStage())
	shot := Shot{Camera: Camera{PitchDeg: -90, Zoom: 1}, Width: 200, Height: 160, Bare: true, Overlays: Overlays{Overhang: true}}
	img := s.Frame(context.Background(), shot)
	changes := 0
	for x := 60; x < 139; x++ {
		a, b := shade(img.RGBAAt(x, 80)), shade(img.RGBAAt(x+1, 80))
		if math.Abs(a-b) > 0.05 {
			changes++
		}
	}
	if changes < 15 {
		t.Errorf("lightness changes %d times along a line over the overhang, want the 20 or so of a hatching", changes)
	}
	shot.Overlays.Overhang = false
	img = s.Frame(context.Background(), shot)
	if a, b := img.RGBAAt(80, 80), img.RGBAAt(90, 80); a != b {
		t.Errorf("without the overlay the face is %v and %v, want one colour", a, b)
	}
}

// The sag field must show its most where the most is.
func TestSagFieldIsDarkestAtTheWorst(t *testing.T) {
	beam := blocks([]float64{-20, -15, -10, -5, 0, 5, 10, 15, 20}, []float64{-2, 2}, []float64{0, 4}, func(int, int, int) bool { return true })
	s := NewScene(detailOf(beam), Stage{Machine: OnSetter})
	shot := Shot{Camera: TopCamera(), Width: 200, Height: 60, MMPerPixel: 0.25, Bare: true, Overlays: Overlays{Sag: true}}
	img := s.Frame(context.Background(), shot)
	last := 2.0
	for _, x := range []int{104, 124, 144, 162} { // from the middle outward
		now := shade(img.RGBAAt(x, 33))
		if now >= last {
			t.Errorf("lightness %.2f at %d, no darker than %.2f further in", now, x, last)
		}
		last = now
	}
}

func TestSagMovesTheDrawnShape(t *testing.T) {
	s := NewScene(detailOf(box(40, 4, 4)), Stage{Machine: OnSetter})
	shot := Shot{Camera: FrontCamera(), Width: 240, Height: 100, MMPerPixel: 0.25, Overlays: Overlays{Sag: true}}
	straight := covered(s, shot)
	shot.Overlays.SagExaggeration = 4
	if bent := covered(s, shot); bent.Max.Y <= straight.Max.Y-1 && bent.Min.Y == straight.Min.Y {
		t.Errorf("sag drawn 4 times leaves %v as %v", straight, bent)
	}
	d := detailOf(box(40, 4, 4))
	want := 4 * s.sagMM / 0.25 // pixels
	corner := int32(0)
	for i, v := range d.Sag {
		if v > d.Sag[corner] {
			corner = int32(i)
		}
	}
	a, b := s.lens(shot, 1), &buffers{spots: make([]spot, len(s.mesh.Vertices))}
	b.project(s, &a, shot.sink())
	if got := b.spots[corner].y - a.at(d.Sintered.Vertices[corner]).y; math.Abs(got-want) > 1e-9 {
		t.Errorf("the corner that sags most is drawn %.2f pixels lower, want %.2f", got, want)
	}
}

// With the whole way known, the drawn shape takes it and not only the sag.
func TestMovementMovesTheDrawnShape(t *testing.T) {
	d := detailOf(box(40, 4, 4))
	d.Displacement = make([]r3.Vec, len(d.Sag))
	for i, v := range d.Sintered.Vertices {
		d.Displacement[i] = r3.Vec{X: 0.01 * v.X, Y: 0.02 * v.Z, Z: -d.Sag[i]}
	}
	s := NewScene(d, setterStage())
	shot := Shot{Camera: DefaultCamera(), Width: 240, Height: 100, Overlays: Overlays{Sag: true, SagExaggeration: 7}}
	l, b := s.lens(shot, 1), &buffers{spots: make([]spot, len(s.mesh.Vertices))}
	b.project(s, &l, shot.sink())
	for i, v := range d.Sintered.Vertices {
		if want := l.at(r3.Add(v, r3.Scale(7, d.Displacement[i]))); b.spots[i] != want {
			t.Errorf("vertex %v is drawn at %v, want %v", v, b.spots[i], want)
		}
		if z := b.spots[i].z; z < -1 || z > 1 {
			t.Errorf("vertex %v lies out of the depth range, at %g", v, z)
		}
	}
}

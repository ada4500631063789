package render

import (
	"context"
	"image"
	"testing"

	"kilnpoise/mesh"
	"kilnpoise/mesh/meshtest"
)

// rasterised draws the part of a scene alone and gives the buffers.
func rasterised(s *Scene, shot Shot) *buffers {
	f := &frame{s: s, ctx: context.Background(), shot: shot, pal: &shot.Palette, lens: s.lens(shot, 1), unit: 1, w: shot.Width, h: shot.Height}
	f.b = s.take(f.w, f.h)
	f.img = image.NewRGBA(image.Rect(0, 0, f.w, f.h))
	f.part()
	return f.b
}

// Small facets and slivers take a short cut past the rasteriser; the picture must be
// the one that the rasteriser makes.
func TestSmallFacetsMatchTheRasteriser(t *testing.T) {
	for _, tt := range []struct {
		name          string
		part          *mesh.Mesh
		width, height int
	}{
		{"small facets", ball(15, 50), 120, 100},
		{"slivers", meshtest.Cone(10, 30, 2000), 600, 500},
	} {
		t.Run(tt.name, func(t *testing.T) { matchesTheRasteriser(t, tt.part, tt.width, tt.height) })
	}
}

func matchesTheRasteriser(t *testing.T, part *mesh.Mesh, width, height int) {
	s := NewScene(detailOf(part), plateStage())
	shot := Shot{Camera: DefaultCamera(), Width: width, Height: height, Overlays: Overlays{Overhang: true}}.complete()
	quick := rasterised(s, shot)
	f := &frame{s: s, shot: shot, pal: &shot.Palette, lens: s.lens(shot, 1), unit: 1, w: shot.Width, h: shot.Height, b: quick}
	plain := newLayer(shot.Width, shot.Height)
	src := &partSource{s: s, b: quick, overhang: s.overhang}
	var p patch
	small, differ := 0, 0
	for i, b := range plain.bands {
		shader := f.partPainter(b, src)
		b.dc.Shader = shader
		for _, k := range quick.lists.band(i) {
			src.patch(k, &p)
			shader.begin(&p)
			b.draw(&p)
			if (&band{dc: newLayer(1, 1).bands[0].dc}).small(&p, shader) {
				small++
			}
		}
	}
	for y := range shot.Height {
		for i, v := range quick.part.colorRow(y) {
			if d := int(v) - int(plain.colorRow(y)[i]); d < -2 || d > 2 {
				differ++
			}
		}
	}
	if small < 500 {
		t.Fatalf("only %d facets were small: the test tests nothing", small)
	}
	if differ > width*height/300 { // of four times as many; borders may fall either way
		t.Errorf("%d values differ", differ)
	}
}

// The order of facets must hold across chunks and bands.
func TestBinsKeepTheOrder(t *testing.T) {
	var b bins
	b.reset(3)
	tall := [3]spot{{x: 1, y: 0}, {x: 5, y: 0}, {x: 1, y: 79}}
	for i := range 9 {
		b.put(i/3, int32(i), tall, 80, 80)
	}
	for k := range bandCount {
		want := int32(0)
		for n, i := range b.band(k) {
			if i != want || n != int(want) {
				t.Fatalf("band %d: facet %d at place %d, want %d", k, i, n, want)
			}
			want++
		}
		if want != 9 {
			t.Errorf("band %d has %d facets, want 9", k, want)
		}
	}
}

func TestBinsDropWhatCannotShow(t *testing.T) {
	for _, c := range []struct {
		name string
		c    [3]spot
		want bool
	}{
		{"over a pixel's middle", [3]spot{{x: 3.4, y: 3.4}, {x: 3.6, y: 3.4}, {x: 3.5, y: 3.7}}, true},
		{"between middles", [3]spot{{x: 3.6, y: 3.6}, {x: 4.4, y: 3.6}, {x: 4, y: 4.4}}, false},
		{"left of the picture", [3]spot{{x: -9, y: 3}, {x: -5, y: 3}, {x: -9, y: 9}}, false},
		{"below the picture", [3]spot{{x: 9, y: 30}, {x: 5, y: 30}, {x: 9, y: 39}}, false},
		{"larger than the picture", [3]spot{{x: -99, y: -99}, {x: 99, y: -99}, {x: 0, y: 99}}, true},
	} {
		var b bins
		b.reset(1)
		b.put(0, 0, c.c, 20, 20)
		got := false
		for k := range bandCount {
			got = got || len(b.lists[0][k]) > 0
		}
		if got != c.want {
			t.Errorf("%s: filed %v, want %v", c.name, got, c.want)
		}
	}
}

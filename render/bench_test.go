package render

import (
	"context"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
)

func BenchmarkFrame(b *testing.B) {
	for _, c := range []struct {
		name string
		n    int // facets are 2 n n
		o    Overlays
	}{
		{"facets=100k/bare", 224, Overlays{}},
		{"facets=100k/overhang+supports", 224, DefaultOverlays(OnPlate)},
		{"facets=1.3M/overhang+supports", 806, DefaultOverlays(OnPlate)},
	} {
		b.Run(c.name, func(b *testing.B) {
			s := NewScene(detailOf(torus(30, 11, c.n)), Stage{SizeMM: r2.Vec{X: 200, Y: 200}})
			shot := Shot{Camera: DefaultCamera(), Width: 800, Height: 600, Overlays: c.o, Palette: LightPalette()}
			b.ReportAllocs()
			for b.Loop() {
				shot.Camera = shot.Camera.Orbit(3, 0)
				if s.Frame(context.Background(), shot) == nil {
					b.Fatal("no picture")
				}
			}
		})
	}
}

package meshtest_test

import (
	"context"
	"math"
	"testing"

	"kilnpoise/mesh"
	"kilnpoise/mesh/meshtest"
)

// Every builder gives a closed surface, wound outward, of the volume that the
// formula of the shape gives for its polygons.
func TestBuildersAreClosedAndOfTheirVolume(t *testing.T) {
	polygon := func(n int) float64 { return float64(n) / 2 * math.Sin(2*math.Pi/float64(n)) } // area over radius squared
	round := meshtest.Circle(0, 0, 5, 24)
	for _, tt := range []struct {
		name string
		m    *mesh.Mesh
		want float64 // mm3
	}{
		{"box", meshtest.Boxes([]meshtest.Box{meshtest.At(0, 0, 0, 2, 3, 4)}), 24},
		{"boxes that overlap", meshtest.Boxes([]meshtest.Box{meshtest.At(0, 0, 0, 4, 4, 4), meshtest.At(2, 0, 0, 4, 4, 4)}), 96},
		{"box with a cavity", meshtest.Boxes([]meshtest.Box{meshtest.At(0, 0, 0, 4, 4, 4)}, meshtest.At(1, 1, 1, 2, 2, 2)), 56},
		{"L", meshtest.Extrude(meshtest.Loop{{0, 0}, {4, 0}, {4, 1}, {1, 1}, {1, 4}, {0, 4}}, 3), 21},
		{"L the other way round", meshtest.Extrude(meshtest.Loop{{0, 4}, {1, 4}, {1, 1}, {4, 1}, {4, 0}, {0, 0}}, 3), 21},
		{"plate with five holes", meshtest.Extrude(meshtest.Rectangle(0, 0, 20, 10), 2,
			meshtest.Circle(3, 3, 1, 12), meshtest.Circle(3, 7, 1, 12), meshtest.Circle(17, 3, 1, 12), meshtest.Circle(17, 7, 1, 12), meshtest.Circle(10, 5, 3, 24)),
			2 * (200 - 4*polygon(12) - 9*polygon(24))},
		{"frame", meshtest.Extrude(meshtest.Rectangle(0, 0, 10, 10), 1, meshtest.Rectangle(1, 1, 8, 8)), 36},
		{"half ring", meshtest.Extrude(append(meshtest.Arc(0, 0, 10, 0, 180, 12), meshtest.Arc(0, 0, 8, 180, 0, 12)...), 5), 5 * 36 * polygon(24) / 2},
		{"tube", meshtest.Ring(meshtest.Rectangle(3, 0, 2, 10), 24), 160 * polygon(24)},
		{"tapered bar", meshtest.Loft(meshtest.Level(round, 0), meshtest.Level(meshtest.Circle(0, 0, 10, 24), 6)), 2 * (25 + 50 + 100) * polygon(24)},
		{"hexagon", meshtest.Extrude(meshtest.Hexagon(10, 12), 1), 50 * math.Sqrt(3)},
		{"bent bar, straight", meshtest.Bent(meshtest.Loop{{0, 0}, {0, 3}, {0, 8}}, 5, 24), 8 * 25 * polygon(24)},
		{"bent tube, straight", meshtest.BentTube(meshtest.Loop{{0, 0}, {4, 0}, {8, 0}}, 5, 3, 24), 8 * 16 * polygon(24)},
	} {
		mended, health, err := mesh.Mend(context.Background(), tt.m)
		if err != nil {
			t.Errorf("%s: %v", tt.name, err)
			continue
		}
		if !health.Watertight || len(health.Repairs) > 0 {
			t.Errorf("%s: closed %v, repairs %q, findings %q", tt.name, health.Watertight, health.Repairs, health.Findings)
		}
		if got := mended.Volume(); math.Abs(got-tt.want) > 1e-9*tt.want {
			t.Errorf("%s: volume %.6f mm3, want %.6f", tt.name, got, tt.want)
		}
	}
}

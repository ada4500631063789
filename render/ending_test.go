package render

import (
	"context"
	"testing"

	"kilnpoise/mesh"
	"kilnpoise/mesh/meshtest"
	"kilnpoise/mesh/parallel/endtest"
)

// Drawing leaves off soon when its picture is no longer wanted, and then gives none.
func TestDrawingLeavesOffSoon(t *testing.T) {
	for _, tt := range []struct {
		name  string
		part  *mesh.Mesh
		least int64
	}{
		{"small facets", ball(15, 60), 50},
		{"slivers", meshtest.Cone(10, 30, 2000), 50},
	} {
		t.Run(tt.name, func(t *testing.T) {
			s := NewScene(detailOf(tt.part), plateStage())
			shot := Shot{Camera: DefaultCamera(), Width: 300, Height: 240, Samples: 2, Overlays: DefaultOverlays(OnPlate)}
			endtest.Soon(t, tt.least, func(ctx context.Context) error {
				if s.Picture(ctx, shot) == nil {
					return ctx.Err()
				}
				return nil
			})
		})
	}
}

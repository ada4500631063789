package mark_test

import (
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh/meshtest"
	"kilnpoise/orient/mark"
)

// A face is found again on a part that was meshed anew and changed a little, and
// is said to be lost where it changed much.
func TestFacesAreFoundAgain(t *testing.T) {
	old := mark.NewSurface(meshtest.Block(30, 20, 10))
	at := r3.Vec{X: 12, Y: 9, Z: 10}
	seed := old.SeedOf(old.Nearest(at, r3.Vec{Z: 1}), at, 10)
	if seed.AreaMM2 != 600 {
		t.Fatalf("the face has %g mm2, want 600", seed.AreaMM2)
	}
	finer := meshtest.Blocks([]float64{0, 10, 30.2}, []float64{0, 7, 20}, []float64{0, 10.1}, func(int, int, int) bool { return true })
	found, err := mark.NewSurface(finer).Find(seed)
	if err != nil {
		t.Fatal(err)
	}
	if len(found) != 8 {
		t.Errorf("the face has %d facets on the finer mesh, want 8", len(found))
	}
	for name, changed := range map[string]struct {
		x, y, z float64
		want    string
	}{"gone": {30, 20, 16, "away"}, "smaller": {18, 20, 10, "mark it again"}} {
		_, err := mark.NewSurface(meshtest.Block(changed.x, changed.y, changed.z)).Find(seed)
		if err == nil || !strings.Contains(err.Error(), changed.want) {
			t.Errorf("%s: error %v, want one that says %q", name, err, changed.want)
		}
	}
}

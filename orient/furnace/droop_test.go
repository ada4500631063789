package furnace

import (
	"context"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
)

// TestDroop: an arm on a tall column sags as an arm does, whatever the column below it
// shortens, also where the column stands on a wide foot; the top of the column does not
// droop at all, and a bridge over a small hole hardly.
func TestDroop(t *testing.T) {
	c := DefaultCreep()
	const span, thick, high = 12.0, 3.0, 80.0
	arm := BeamSagMM(Cantilever, c, span, thick) * BeamShearFactor(Cantilever, c.Poisson, span, thick)
	short := HeightLossMM(c, high)
	column := [6]float64{0, 0, 0, 20, 20, high}
	reach := [6]float64{20, 6, high - thick, 20 + span, 14, high}
	for _, tt := range []struct {
		name  string
		boxes [][6]float64
	}{
		{"column", [][6]float64{column, reach}},
		{"column on a wide foot", [][6]float64{column, {20, 0, 0, 34, 20, 3}, {-14, 0, 0, 0, 20, 3}, reach}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			s, err := Solve(context.Background(), boxes(tt.boxes...), c, Options{Elements: 20_000, NoCheck: true})
			if err != nil {
				t.Fatal(err)
			}
			tip := r3.Vec{X: 20 + span, Y: 10, Z: high - thick}
			all, droop := -s.Field.At(tip).Z, s.DroopMM(tip)
			t.Logf("comes down %.3f, droops %.3f; the arm by the handbook %.3f, the column shortens %.3f", all, droop, arm, short)
			if droop < arm || droop > 1.5*arm { // the root yields, and the column tilts a little
				t.Errorf("the tip droops %.3f mm, the arm by the handbook %.3f", droop, arm)
			}
			if all < droop+0.8*short {
				t.Errorf("the tip comes down %.3f mm and droops %.3f, the column shortens %.3f", all, droop, short)
			}
			if d := s.DroopMM(r3.Vec{X: 6, Y: 10, Z: high}); d > 0.1*short {
				t.Errorf("the top of the column droops %.3f mm", d)
			}
		})
	}
	t.Run("hole", func(t *testing.T) {
		const hole, ceiling = 6.0, 70.0
		low, high := boxes([6]float64{0, 0, 0, 20, 14, ceiling - hole}), boxes([6]float64{0, 0, ceiling, 20, 14, 84})
		low.Append(boxes([6]float64{0, 0, ceiling - hole, 7, 14, ceiling}, [6]float64{13, 0, ceiling - hole, 20, 14, ceiling}))
		low.Append(high)
		s, err := Solve(context.Background(), low, c, Options{Elements: 20_000, NoCheck: true})
		if err != nil {
			t.Fatal(err)
		}
		at := r3.Vec{X: 10, Y: 7, Z: ceiling}
		if all, droop := -s.Field.At(at).Z, s.DroopMM(at); all < 0.15 || droop > 0.2*all {
			t.Errorf("the ceiling of the hole comes down %.3f mm and droops %.3f", all, droop)
		}
	})
}

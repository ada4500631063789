package furnace

import (
	"context"
	"fmt"
	"testing"
	"time"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
)

func boxes(b ...[6]float64) *mesh.Mesh {
	m := &mesh.Mesh{}
	for _, v := range b {
		m.Append(boxMesh(r3.Vec{X: v[0], Y: v[1], Z: v[2]}, r3.Vec{X: v[3], Y: v[4], Z: v[5]}))
	}
	return m
}

func report(t *testing.T, name string, m *mesh.Mesh, o Options) {
	t0 := time.Now()
	s, err := Solve(context.Background(), m, DefaultCreep(), o)
	if err != nil {
		fmt.Println(name, "ERR", err, time.Since(t0))
		return
	}
	fmt.Printf("%-22s sag %.4f ±%.4f at %.1f span %.2f coll %v resid %.4f lift %.4f el %d pitch %.3f thr %.2f it %d %v\n", name, s.MM, s.DiscretisationMM, s.At, s.SpanMM, s.Collapses, s.ResidualMM, s.LiftMM, s.Elements, s.PitchMM, s.BricksThrough, s.Iterations, time.Since(t0))
}

func TestExpSolve(t *testing.T) {
	spin := func(m *mesh.Mesh, deg float64) *mesh.Mesh {
		return m.Transform(mesh.RotationAbout(r3.Vec{Z: 1}, deg*3.14159265358979/180), r3.Vec{})
	}
	col := boxes([6]float64{0, 0, 0, 10, 10, 50})
	report(t, "column 50", col, Options{})
	fmt.Println(HeightLossMM(DefaultCreep(), 50))
	ell := boxes([6]float64{0, 0, 0, 10, 6, 20}, [6]float64{0, 0, 18, 22, 6, 20})
	report(t, "L", ell, Options{})
	for _, d := range []float64{10, 30, 45, 77} {
		report(t, fmt.Sprint("L spun ", d), spin(ell, d), Options{})
	}
	fmt.Println(BeamSagMM(Cantilever, DefaultCreep(), 12, 2))
	table := boxes([6]float64{0, 0, 0, 3, 20, 15}, [6]float64{27, 0, 0, 30, 20, 15}, [6]float64{0, 0, 15, 30, 20, 17})
	for _, f := range []float64{0, 0.2, 0.5, Stuck} {
		report(t, fmt.Sprint("table ", f), table, Options{Friction: f})
	}
	report(t, "table propped", table, Options{Props: []Prop{BoxProp(r3.Vec{X: 14, Z: 0}, r3.Vec{X: 16, Y: 20, Z: 15}, 0)}})
	report(t, "table prop metal", table, Options{Props: []Prop{BoxProp(r3.Vec{X: 14, Z: 0}, r3.Vec{X: 16, Y: 20, Z: 15}, 0.2)}})
	report(t, "plate", boxes([6]float64{0, 0, 0, 60, 60, 3}), Options{})
	report(t, "bar on two blocks", boxes([6]float64{0, 0, 5, 40, 5, 7}), Options{Props: []Prop{BoxProp(r3.Vec{X: -1, Z: 0}, r3.Vec{X: 3, Y: 5, Z: 5}, 0), BoxProp(r3.Vec{X: 37, Z: 0}, r3.Vec{X: 41, Y: 5, Z: 5}, 0)}})
	report(t, "tips", boxes([6]float64{0, 0, 0, 4, 4, 10}, [6]float64{0, 0, 10, 30, 4, 13}), Options{})
	report(t, "loose", boxes([6]float64{0, 0, 0, 4, 4, 10}, [6]float64{10, 0, 10, 30, 4, 13}), Options{})
	report(t, "seesaw", boxes([6]float64{-5, 0, 0, 5, 6, 2}, [6]float64{-25, 0, 2, 25, 6, 4}), Options{})
}

package furnace

import (
	"context"
	"fmt"
	"runtime"
	"runtime/debug"
	"testing"
	"time"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
)

// bracket is a part of average trouble: a plate with a post, ribs, an arm that
// slants and a bore.
func bracket() *mesh.Mesh {
	m := boxes(
		[6]float64{0, 0, 0, 60, 40, 5}, [6]float64{5, 15, 4, 15, 25, 45},
		[6]float64{14, 18, 4, 40, 22, 20}, [6]float64{5, 15, 40, 45, 25, 44},
	)
	arm := boxMesh(r3.Vec{X: 0, Y: -4, Z: -2}, r3.Vec{X: 30, Y: 4, Z: 2})
	m.Append(arm.Transform(mesh.RotationAbout(r3.Vec{Y: -1}, 0.6), r3.Vec{X: 10, Y: 20, Z: 25}))
	m.Append(ring(4, 7, 12, 96).Transform(mesh.Identity(), r3.Vec{X: 50, Y: 20, Z: 4}))
	return m
}

// BenchmarkSolve solves a part on grids of several sizes, and reports how many
// bricks there were, how long each took and what was allocated for each, all
// told. "checked" is with the second grid for the error, as Solve does it by
// default.
func BenchmarkSolve(b *testing.B) {
	m := bracket()
	for _, elements := range []int{5_000, 20_000, 100_000} {
		for _, check := range []bool{false, true} {
			name := fmt.Sprintf("%d", elements)
			if check {
				name += " checked"
			}
			b.Run(name, func(b *testing.B) {
				b.ReportAllocs()
				var s *Sag
				var err error
				for b.Loop() {
					s, err = Solve(context.Background(), m, DefaultCreep(), Options{Elements: elements, NoCheck: !check})
					if err != nil {
						b.Fatal(err)
					}
				}
				b.ReportMetric(float64(s.Elements), "bricks")
				b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(s.Elements), "ns/brick")
				b.ReportMetric(float64(s.Iterations), "steps")
			})
		}
	}
}

func BenchmarkStanding(b *testing.B) {
	m := bracket()
	b.ReportAllocs()
	for b.Loop() {
		Standing(m, DefaultCreep(), mesh.Identity(), DefaultFriction)
	}
}

// BenchmarkSolveMemory tells how much of the heap one solution holds at its fullest,
// read from the runtime every few milliseconds; the aim is under 1 kB a brick. The
// collector runs often, so that garbage hardly counts.
func BenchmarkSolveMemory(b *testing.B) {
	const often = 10 // per cent
	defer debug.SetGCPercent(debug.SetGCPercent(often))
	m := bracket()
	for _, elements := range []int{20_000, 100_000} {
		b.Run(fmt.Sprintf("%d", elements), func(b *testing.B) {
			var bricks int
			var peak uint64
			for b.Loop() {
				runtime.GC()
				before := heapLive()
				most := watchHeap(func() {
					s, err := Solve(context.Background(), m, DefaultCreep(), Options{Elements: elements})
					if err != nil {
						b.Fatal(err)
					}
					bricks = s.Elements
				})
				peak = max(peak, most-min(before, most))
			}
			b.ReportMetric(float64(peak)/float64(bricks), "peak-B/brick")
		})
	}
}

// heapLive gives the bytes of the heap that hold objects.
func heapLive() uint64 {
	var s runtime.MemStats
	runtime.ReadMemStats(&s)
	return s.HeapAlloc
}

// watchHeap gives the most bytes that the heap held while do ran.
func watchHeap(do func()) (most uint64) {
	stop, done := make(chan struct{}), make(chan uint64)
	go func() {
		var most uint64
		for {
			select {
			case <-stop:
				done <- max(most, heapLive())
				return
			case <-time.After(2 * time.Millisecond):
				most = max(most, heapLive())
			}
		}
	}()
	do()
	close(stop)
	return <-done
}

// BenchmarkLean takes what the lean adds to a solution on one grid: "sag" is the
// solution without, "lean" the lean alone.
func BenchmarkLean(b *testing.B) {
	for _, part := range []struct {
		name string
		m    *mesh.Mesh
	}{{"stout bracket", bracket()}, {"fin on a base", boxes([6]float64{0, 0, 0, 24, 18, 12}, [6]float64{11.25, 0, 12, 12.75, 18, 42})}, {"slender rod", disc(3, 60, 90)}} {
		c, o := DefaultCreep(), Options{Elements: 20_000}
		w, err := o.prepare(context.Background(), part.m)
		if err != nil {
			b.Fatal(err)
		}
		md, err := o.within(context.Background(), part.m, w)
		if err != nil {
			b.Fatal(err)
		}
		var touch *contact
		var sag *Sag
		b.Run(part.name+"/sag", func(b *testing.B) {
			for b.Loop() {
				if touch, sag, err = o.solveModel(context.Background(), part.m, c, md, nil, func(float64) {}); err != nil {
					b.Fatal(err)
				}
			}
			b.ReportMetric(float64(sag.Iterations), "steps")
		})
		b.Run(part.name+"/lean", func(b *testing.B) {
			for b.Loop() {
				if err := touch.lean(context.Background(), c, sag); err != nil {
					b.Fatal(err)
				}
			}
			b.ReportMetric(float64(sag.LeanSteps), "steps")
			b.ReportMetric(float64(sag.Elements), "bricks")
			b.ReportMetric(sag.Lean.Growth, "growth")
		})
	}
}

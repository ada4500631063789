package furnace

import (
	"context"
	"runtime"
	"sync/atomic"

	"kilnpoise/mesh/parallel"
)

// crew shares work out among the cores. How the work is cut never depends on
// how many there are, so neither does any rounding: the same input gives the
// same bits everywhere.
type crew struct {
	ctx   context.Context
	cores int
}

func newCrew(ctx context.Context) crew { return crew{ctx, runtime.GOMAXPROCS(0)} }

// run calls work for every task from 0 to n-1, several at a time. Once the context
// has ended it calls it no more: what is worked out is then of no account, and whoever
// runs an iteration looks at the context before going by it.
func (c crew) run(n int, work func(task int)) {
	if c.ctx.Err() != nil {
		return
	}
	if c.cores == 1 || n == 1 {
		for i := range n {
			work(i)
		}
		return
	}
	var next atomic.Int64
	var wg parallel.Group
	toil := func() {
		for {
			i := int(next.Add(1)) - 1
			if i >= n {
				return
			}
			work(i)
		}
	}
	for range min(c.cores, n) - 1 {
		wg.Go(toil)
	}
	wg.Try(toil)
	wg.Wait()
}

// piece is the length of the stretches that long slices are cut into: a whole
// number of nodes, short enough to share out, long enough to be worth a call.
const piece = 3 * 4096

// over runs work over the stretches of 0..n.
func (c crew) over(n int, work func(lo, hi int)) {
	c.run((n+piece-1)/piece, func(i int) { work(i*piece, min((i+1)*piece, n)) })
}

// dot gives the inner product, summed stretch by stretch.
func (c crew) dot(x, y []float64) float64 {
	parts := make([]float64, (len(x)+piece-1)/piece)
	c.over(len(x), func(lo, hi int) {
		var s float64
		a, b := x[lo:hi], y[lo:hi]
		for i, v := range a {
			s += v * b[i]
		}
		parts[lo/piece] = s
	})
	var sum float64
	for _, p := range parts {
		sum += p
	}
	return sum
}

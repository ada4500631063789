package render

import (
	"runtime"

	"kilnpoise/mesh/parallel"
)

// chunks cuts 0..n into contiguous ranges, one per core, and runs f on each at
// the same time. The number of the chunk is handed along; results that are put
// together in that order do not depend on the number of cores.
func chunks(n int, f func(chunk, lo, hi int)) {
	k := chunkCount(n)
	if k == 1 {
		f(0, 0, n)
		return
	}
	var wg parallel.Group
	for c := range k {
		wg.Go(func() { f(c, c*n/k, (c+1)*n/k) })
	}
	wg.Wait()
}

// chunkCount is how many chunks chunks makes of n; small work is not split.
func chunkCount(n int) int {
	const small = 256 // below this a goroutine costs more than it saves
	return max(1, min(runtime.GOMAXPROCS(0), n/small))
}

// each runs f for 0..n, one index at a time, on all cores. Work of uneven cost
// is balanced.
func each(n int, f func(i int)) {
	k := min(runtime.GOMAXPROCS(0), n)
	if k <= 1 {
		for i := range n {
			f(i)
		}
		return
	}
	next := make(chan int, n)
	for i := range n {
		next <- i
	}
	close(next)
	var wg parallel.Group
	for range k {
		wg.Go(func() {
			for i := range next {
				f(i)
			}
		})
	}
	wg.Wait()
}

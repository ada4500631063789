package support

import (
	"context"
	"math/bits"

	"gonum.org/v1/gonum/spatial/r3"
)

// searchOpenings aims at what the first directions did not reach, and tells
// what is too narrow from what lies round a corner.
func (w *reaching) searchOpenings(ctx context.Context) error {
	o, err := w.site.newOpenings(ctx, w.reach.Cutter.DiameterMM/2)
	if err != nil {
		return err
	}
	w.work += openingWork * len(o.clear)
	w.reach.VoxelMM = o.pitch
	w.wayIn = map[int32]float64{}
	const together = 1024
	for n, i := range w.left {
		if n%together == 0 && ctx.Err() != nil {
			return ctx.Err()
		}
		if wayIn, narrow := o.narrow(w.reach.Points[i].At); narrow {
			w.wayIn[i] = wayIn
		}
	}
	if err := w.aim(ctx, o); err != nil {
		return err
	}
	for _, i := range w.left {
		if p := &w.reach.Points[i]; p.Access == Hidden {
			if _, narrow := w.wayIn[i]; narrow {
				p.Access = Narrow
			}
		}
	}
	return nil
}

// aim aims at some of the pieces that are left and wide enough to get at, and
// puts the cutter in where it sees a way.
func (w *reaching) aim(ctx context.Context, o *openings) error {
	var wide []int32
	for _, i := range w.left {
		if _, narrow := w.wayIn[i]; !narrow {
			wide = append(wide, i)
		}
	}
	some := make([]int32, min(len(wide), manyAims))
	for n := range some { // pieces far apart in the list are far apart in the part
		some[n] = wide[n*len(wide)/len(some)]
	}
	sphere := aimSphere(aims)
	seen, way := make([]bool, len(some)), make([]r3.Vec, len(some))
	inParallel(len(some), func(n int) {
		if ctx.Err() == nil {
			way[n], seen[n] = o.aim(w.reach.Points[some[n]].At, sphere)
		}
	})
	// From all over the pieces, not one after the other: a stroke gets many.
	order := scattered(len(some))
	for done, idle := 0, 0; done < aimedStrokes && idle < idleRounds && !w.spent(); {
		var directions []r3.Vec
		for len(order) > 0 && len(directions) < atOnce {
			n := order[0]
			order = order[1:]
			if seen[n] && w.short[some[n]] > 0 {
				directions = append(directions, way[n])
			}
		}
		if len(directions) == 0 {
			break
		}
		done += len(directions)
		before := len(w.left)
		if err := w.try(ctx, directions); err != nil {
			return err
		}
		idle++
		if float64(before-len(w.left)) > aimGain*float64(len(w.reach.Points)) {
			idle = 0
		}
	}
	return ctx.Err()
}

// scattered gives the numbers below n in an order in which neighbours are far
// apart (van der Corput, by the bits turned round).
func scattered(n int) []int {
	size := bits.Len(uint(n))
	var out []int
	for i := range 1 << size {
		if k := int(bits.Reverse64(uint64(i)) >> (64 - size)); k < n {
			out = append(out, k)
		}
	}
	return out
}

package support

import (
	"cmp"
	"context"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// sum adds up by region.
func (w *reaching) sum(ctx context.Context) {
	w.reach.Regions = make([]RegionReach, len(w.regions))
	of := make([][]int32, len(w.regions))
	for i, p := range w.reach.Points {
		of[p.Region] = append(of[p.Region], int32(i))
	}
	for q := range w.regions {
		if ctx.Err() != nil {
			return
		}
		w.sumRegion(&w.reach.Regions[q], of[q])
		w.reach.OutOfReachMM3 += w.reach.Regions[q].OutOfReachMM3
	}
}

func (w *reaching) sumRegion(r *RegionReach, pieces []int32) {
	var whole float64
	var middle r3.Vec
	from := make([]float64, len(w.strokes))
	for _, i := range pieces {
		p := w.reach.Points[i]
		r.ByAccess[p.Access] += p.VolumeMM3
		whole += p.VolumeMM3
		if p.Access == InReach {
			from[w.by[i]] += p.VolumeMM3
			continue
		}
		r.OutOfReachMM3 += p.VolumeMM3
		middle = r3.Add(middle, r3.Scale(p.VolumeMM3, p.At))
	}
	r.Share = 1
	if whole > 0 {
		r.Share = r.ByAccess[InReach] / whole
	}
	for k, v := range from {
		if v > r.FromShare*whole {
			r.From, r.FromShare = w.strokes[k], v/whole
		}
	}
	if r.OutOfReachMM3 == 0 {
		return
	}
	for a := TooDeep; a < accesses; a++ {
		if r.Worst == InReach || r.ByAccess[a] > r.ByAccess[r.Worst] {
			r.Worst = a
		}
	}
	w.place(r, pieces, r3.Scale(1/r.OutOfReachMM3, middle))
}

// place finds the piece out of reach nearest to their middle, among those of
// the commonest kind, and the numbers that go with that kind.
func (w *reaching) place(r *RegionReach, pieces []int32, middle r3.Vec) {
	nearest := math.Inf(1)
	var kind []int32
	for _, i := range pieces {
		p := w.reach.Points[i]
		if p.Access != r.Worst {
			continue
		}
		kind = append(kind, i)
		if d := r3.Norm2(r3.Sub(p.At, middle)); d < nearest {
			nearest, r.At = d, p.At
		}
		r.WayInMM = max(r.WayInMM, w.wayIn[i])
	}
	if r.Worst == TooDeep {
		r.NeedMM = w.need(kind)
	}
}

// needsAsked is how many pieces are asked how long a cutter they need.
const needsAsked = 4

// need gives the largest length that those pieces ask for that fall short most.
func (w *reaching) need(pieces []int32) float64 {
	slices.SortStableFunc(pieces, func(a, b int32) int { return cmp.Compare(w.short[b], w.short[a]) })
	var most float64
	for _, i := range pieces[:min(needsAsked, len(pieces))] {
		if w.spent() {
			most = max(most, w.reach.Cutter.LengthMM+float64(w.short[i]))
			continue
		}
		p := w.reach.Points[i].At
		k := w.site.newStroke(w.strokes[w.by[i]], w.reach.Cutter, []r3.Vec{p}, w.pixels[w.by[i]])
		w.work += k.work
		l := k.need(p)
		if math.IsInf(l, 1) { // the pixels fall otherwise in this window
			l = w.reach.Cutter.LengthMM + float64(w.short[i])
		}
		most = max(most, l)
	}
	return most
}

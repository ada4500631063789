package support

import (
	"context"
	"fmt"
	"runtime"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh/parallel"
)

// Reach works out which support the cutter gets at; see the type Reach for what
// that means. The regions are those of the site. It uses all cores, and the
// answer does not depend on their number.
func (s *Site) Reach(ctx context.Context, regions []Region, cutter Cutter) (*Reach, error) {
	return s.reachWithin(ctx, regions, cutter, MostReachWork)
}

// reachWithin is Reach with so much work, but for the first directions, which are
// tried in any case.
func (s *Site) reachWithin(ctx context.Context, regions []Region, cutter Cutter, most int) (*Reach, error) {
	if err := cutter.validate(); err != nil {
		return nil, err
	}
	w := &reaching{site: s, reach: &Reach{Cutter: cutter, Points: s.pieces(regions)}, regions: regions, most: most}
	w.begin()
	if err := w.try(ctx, axes()); err != nil {
		return nil, err
	}
	if err := w.tryBetween(ctx); err != nil {
		return nil, err
	}
	if w.worthSearching() && !w.spent() {
		if err := w.searchOpenings(ctx); err != nil {
			return nil, err
		}
	}
	w.sum(ctx)
	w.reach.Doubt, w.reach.Work = w.doubt(), w.work
	return w.reach, ctx.Err()
}

// reaching is one run of Reach.
type reaching struct {
	site    *Site
	reach   *Reach
	regions []Region
	// left are the pieces still out of reach and not enclosed.
	left []int32
	// short is by how much the cutter is too short for each piece, and by the
	// stroke that got it, or that falls short the least; -1 for none.
	short   []float32
	by      []int32
	strokes []r3.Vec
	pixels  []float64 // of each stroke, mm
	// wayIn is, for pieces that are too narrow to get at, how wide the way is.
	wayIn map[int32]float64
	// work is what was done so far, most what may be done.
	work, most int
}

// MostReachWork bounds the work on the reach of one plan, in steps of a hundredth of a
// microsecond or so. Parts of some ten thousand facets take three fifths of it at most
// (measured); it is counted, not timed, so that the same part always gets the same
// answer.
const MostReachWork = 200_000_000

// tryBetween puts the cutter in between the axes: from all directions at once or,
// where that would be too much work, from a few at a time for as long as it is not.
func (w *reaching) tryBetween(ctx context.Context) error {
	directions := betweenAxes()
	together := len(directions)
	if w.work/len(axes())*together > w.most {
		together = atOnce
	}
	for some := range slices.Chunk(directions, together) {
		if w.spent() {
			break
		}
		if err := w.try(ctx, some); err != nil {
			return err
		}
	}
	return nil
}

// spent reports whether no more directions are to be tried.
func (w *reaching) spent() bool { return w.work > w.most }

// doubt says how the reach was judged more coarsely than it is on most parts.
func (w *reaching) doubt() string {
	few := fewestPieces(len(w.regions)) < fewPieces
	if !few && !w.spent() {
		return ""
	}
	return fmt.Sprintf("The part is so finely divided that reach was judged on %d pieces of support in %d regions from %d directions: "+
		"some may be in reach that is counted out of it.", len(w.reach.Points), len(w.regions), w.reach.Strokes)
}

// begin sets aside what closed cavities hold.
func (w *reaching) begin() {
	enclosed := make([]bool, len(w.regions))
	for q := range w.regions {
		r := &w.regions[q]
		enclosed[q] = r.VolumeMM3 > 0 && r.InCavityMM3 > r.VolumeMM3/2
	}
	w.by, w.short = make([]int32, len(w.reach.Points)), make([]float32, len(w.reach.Points))
	for i := range w.reach.Points {
		p := &w.reach.Points[i]
		w.by[i], w.short[i] = -1, never
		if enclosed[p.Region] {
			p.Access = Enclosed
			continue
		}
		p.Access = Hidden
		w.left = append(w.left, int32(i))
	}
}

// crumbMM3 is how much support left in a region is not worth a search, mm3, nor
// is crumbShare of all of it.
const crumbMM3 = 0.5

// worthSearching reports whether any region has more than crumbs left.
func (w *reaching) worthSearching() bool {
	left := make([]float64, len(w.regions))
	for _, i := range w.left {
		p := &w.reach.Points[i]
		left[p.Region] += p.VolumeMM3
	}
	for q, v := range left {
		if v > max(crumbMM3, crumbShare*w.regions[q].VolumeMM3) {
			return true
		}
	}
	return false
}

// try puts the cutter in from each of the directions. They are looked at side by
// side and counted one after another.
func (w *reaching) try(ctx context.Context, directions []r3.Vec) error {
	if len(w.left) == 0 {
		return ctx.Err()
	}
	points := make([]r3.Vec, len(w.left))
	for n, i := range w.left {
		points[n] = w.reach.Points[i].At
	}
	type outcome struct {
		px    float64
		work  int
		short []float32
	}
	outcomes := make([]outcome, len(directions))
	inParallel(len(directions), func(d int) {
		if ctx.Err() != nil {
			return
		}
		k := w.site.newStroke(directions[d], w.reach.Cutter, points, 0)
		o := outcome{px: k.px, work: k.work + len(points), short: make([]float32, len(points))}
		for n, p := range points {
			o.short[n] = k.short(p)
		}
		outcomes[d] = o
	})
	if err := ctx.Err(); err != nil {
		return err
	}
	for d, o := range outcomes {
		number := int32(len(w.strokes))
		w.work += o.work
		w.strokes, w.pixels = append(w.strokes, directions[d]), append(w.pixels, o.px)
		w.reach.PixelMM = max(w.reach.PixelMM, o.px)
		for n, i := range w.left {
			if o.short[n] < w.short[i] && w.short[i] > 0 {
				w.short[i], w.by[i] = o.short[n], number
			}
		}
	}
	for _, i := range w.left {
		switch p := &w.reach.Points[i]; {
		case w.short[i] <= 0:
			p.Access = InReach
		case w.short[i] < never:
			p.Access = TooDeep
		}
	}
	w.reach.Strokes = len(w.strokes)
	w.left = slices.DeleteFunc(w.left, func(i int32) bool { return w.reach.Points[i].Access == InReach })
	return nil
}

// inParallel runs work(0) to work(n-1) on all cores.
func inParallel(n int, work func(i int)) {
	next := make(chan int)
	var wg parallel.Group
	for range min(runtime.GOMAXPROCS(0), n) {
		wg.Go(func() {
			for i := range next {
				wg.Try(func() { work(i) })
			}
		})
	}
	for i := range n {
		next <- i
	}
	close(next)
	wg.Wait()
}

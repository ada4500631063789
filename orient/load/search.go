package load

import (
	"cmp"
	"context"
	"math"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"

	"kilnpoise/mesh"
	"kilnpoise/mesh/parallel"
)

// workshop is what the trials of one request have in common.
type workshop struct {
	q     *Request
	pitch float64
	sides [2]*side
}

// side is the bed as it stands, or lying on its other side: filled along X or along Y.
type side struct {
	size  r2.Vec
	turns [][]*turned // by kind
	rows  []rowLayout // by kind, the best in rows; nil where there is none
}

// trial is one order in which parts are set, and by what a turn is chosen.
type trial struct {
	side  int
	order []int // kinds, a copy each
	rule  rule
	rows  bool // of a single kind, begin with rows
	// contact sets what fits together first, large how much large parts are preferred, and
	// seed varies the choice where it is not 0.
	contact bool
	large   float64
	seed    uint64
}

// rule says which of the places that a part could take at its turns is best.
type rule int

const (
	lowTop     rule = iota // its upper edge lowest, then leftmost
	lowBottom              // itself lowest, then leftmost
	nearCorner             // its far corner nearest to where filling begins
	ruleCount
)

const (
	// mostSet is how many places for parts at a turn the search looks for, over all
	// trials, fewestTrials how many trials there are at least, and contactTrials how many by
	// contact (judgement: about a second for 50 parts).
	mostSet, fewestTrials, mostTrials, contactTrials = 8_000, 8, 60, 80
	// batch is how many trials begin from the same best; it does not hang on the number of
	// cores.
	batch = 4
)

func newWorkshop(ctx context.Context, q *Request) (*workshop, error) {
	w := &workshop{q: q, pitch: max(q.Size.X, q.Size.Y) / finest}
	for i := range w.sides {
		s := &side{size: q.Size}
		if i == 1 {
			s.size = r2.Vec{X: q.Size.Y, Y: q.Size.X}
		}
		for k := range q.Kinds {
			if ctx.Err() != nil {
				return nil, ctx.Err()
			}
			s.turns = append(s.turns, w.turnsOf(&q.Kinds[k].Outline, s.size))
		}
		w.sides[i] = s
	}
	if len(q.Kinds) == 1 {
		for _, s := range w.sides {
			if ctx.Err() != nil {
				return nil, ctx.Err()
			}
			s.rows = []rowLayout{bestRows(s.turns[0], s.size, w.gap())}
		}
	}
	return w, nil
}

func (w *workshop) gap() float64 { return w.q.GapMM + safe }

// turnsOf gives the turns at which a part is tried: along the axes, with its smallest
// rectangle and its longest edges along them, and as it has the most room; those on which
// it cannot lie, or that look alike, are left out.
func (w *workshop) turnsOf(o *Outline, size r2.Vec) []*turned {
	hull := o.hull()
	var bases []float64
	base := func(rad float64) {
		deg := math.Mod(math.Mod(rad*180/math.Pi, 90)+90, 90)
		if !slices.ContainsFunc(bases, func(b float64) bool { return math.Abs(math.Remainder(b-deg, 90)) < 0.05 }) {
			bases = append(bases, deg)
		}
	}
	base(0)
	base(-mesh.SmallestRectangle(hull).Angle)
	for _, rad := range longestEdges(hull, 2) {
		base(-rad)
	}
	base(math.Pi / 4)
	if len(hull) > 2 {
		base(mesh.FitInto(hull, size.X, size.Y).Turn)
	}
	var out []*turned
	for _, b := range bases {
		for quarter := range 4 {
			t := turnOf(*o, b+90*float64(quarter), w.gap(), w.pitch)
			s := t.box.Size()
			if s.X <= size.X+1e-9 && s.Y <= size.Y+1e-9 && !slices.ContainsFunc(out, t.looksLike) {
				out = append(out, t)
			}
		}
	}
	return out
}

// looksLike reports whether a part at two turns takes the same squares.
func (t *turned) looksLike(other *turned) bool {
	return slices.EqualFunc(t.stamp.rows, other.stamp.rows, func(a, b []span) bool { return slices.Equal(a, b) })
}

// longestEdges gives the directions of the longest edges of a hull, radians.
func longestEdges(hull []r2.Vec, most int) []float64 {
	edges := make([]r2.Vec, len(hull))
	for i, p := range hull {
		edges[i] = r2.Sub(hull[(i+1)%len(hull)], p)
	}
	slices.SortStableFunc(edges, func(a, b r2.Vec) int { return cmp.Compare(r2.Norm2(b), r2.Norm2(a)) })
	var out []float64
	for _, e := range edges[:min(most, len(edges))] {
		out = append(out, math.Atan2(e.Y, e.X))
	}
	return out
}

// search tries orders and keeps the best layout.
func (w *workshop) search(ctx context.Context) (*Layout, error) {
	first := w.firstTrials()
	var best *outcome
	left := w.trials()
	if len(w.q.Kinds) == 1 { // one order is like the other
		left = len(first)
	}
	for n := 0; n < left; n += batch {
		tries := w.next(first, best, n)
		if best != nil && w.enough(best) {
			break
		}
		results := make([]*outcome, len(tries))
		var group parallel.Group
		for i := range tries {
			group.Go(func() { results[i] = w.run(ctx, &tries[i]) })
		}
		group.Wait()
		if ctx.Err() != nil {
			return nil, ctx.Err()
		}
		for _, r := range results {
			if best == nil || r.better(best) {
				best = r
			}
		}
	}
	return w.layout(best), nil
}

// trials is how many orders are tried.
func (w *workshop) trials() int {
	work := 0
	for k := range w.q.Kinds {
		work += w.q.Kinds[k].Copies * max(len(w.sides[0].turns[k]), 1)
	}
	if w.q.byContact() {
		return contactTrials
	}
	return min(max(mostSet/max(work, 1), fewestTrials), mostTrials)
}

// enough reports whether nothing better can be: all on one bed, or on as many as what
// they cover fills.
func (w *workshop) enough(o *outcome) bool {
	covers := 0.0
	for k := range w.q.Kinds {
		covers += w.q.Kinds[k].Outline.Area() * float64(w.q.Kinds[k].Copies)
	}
	return o.left == 0 && len(o.beds) <= max(int(math.Ceil(covers/(w.q.Size.X*w.q.Size.Y))), 1)
}

// firstTrials are the orders to begin with: the largest, the longest and the highest
// first, by each rule, filled either way; of one kind also in rows.
func (w *workshop) firstTrials() []trial {
	var out []trial
	q := w.q
	if len(q.Kinds) == 1 {
		order := make([]int, q.Kinds[0].Copies)
		for i := range w.sides {
			out = append(out, trial{side: i, order: order, rows: true})
		}
	}
	if q.byContact() {
		for _, large := range []float64{0.5, 0.25, 1, 0.1} {
			out = append(out, trial{contact: true, large: large})
		}
	}
	keys := []func(o *Outline) float64{
		func(o *Outline) float64 { return (&Outline{o.Hull().Edges}).Area() },
		func(o *Outline) float64 { s := o.Bounds().Size(); return max(s.X, s.Y) },
		func(o *Outline) float64 { return o.Area() },
	}
	if len(q.Kinds) == 1 {
		keys = keys[:1]
	}
	for _, key := range keys {
		kinds := make([]int, len(q.Kinds))
		worth := make([]float64, len(q.Kinds))
		for k := range kinds {
			kinds[k], worth[k] = k, key(&q.Kinds[k].Outline)
		}
		slices.SortStableFunc(kinds, func(a, b int) int { return cmp.Compare(worth[b], worth[a]) })
		var order []int
		for _, k := range kinds {
			order = append(order, slices.Repeat([]int{k}, q.Kinds[k].Copies)...)
		}
		for i := range w.sides {
			for r := range ruleCount {
				out = append(out, trial{side: i, order: order, rule: r})
			}
		}
	}
	return out
}

// next gives the trials from number n on: the first ones, then the best with a few parts
// set earlier or later.
func (w *workshop) next(first []trial, best *outcome, n int) []trial {
	out := make([]trial, 0, batch)
	for i := n; i < n+batch; i++ {
		if i < len(first) {
			out = append(out, first[i])
			continue
		}
		if len(w.q.Kinds) == 1 {
			break
		}
		r := rand.New(rand.NewPCG(uint64(i), 0x6b696c6e)) // any fixed pair
		t := *best.trial
		if t.contact {
			t.seed = uint64(i)
			t.large = []float64{0.1, 0.25, 0.5, 1}[i%4]
			out = append(out, t)
			continue
		}
		t.order = slices.Clone(t.order)
		t.rows = false
		for range 1 + r.IntN(3) {
			if len(t.order) > 1 {
				a, b := r.IntN(len(t.order)), r.IntN(len(t.order))
				moved := t.order[a]
				t.order = slices.Insert(slices.Delete(t.order, a, a+1), b, moved)
			}
		}
		if r.IntN(3) == 0 {
			t.rule = rule(r.IntN(int(ruleCount)))
		}
		if r.IntN(4) == 0 {
			t.side = 1 - t.side
		}
		out = append(out, t)
	}
	return out
}

// outcome is what a trial came to.
type outcome struct {
	trial *trial
	beds  []*bed
	left  int     // parts without a place
	area  float64 // what they cover
	top   float64 // how high the last bed is filled
}

func (o *outcome) better(than *outcome) bool {
	return cmp.Or(cmp.Compare(o.area, than.area), cmp.Compare(o.left, than.left), cmp.Compare(len(o.beds), len(than.beds)), cmp.Compare(o.top, than.top)) < 0
}

// run sets the parts of a trial in its order, each on the first bed that has room.
func (w *workshop) run(ctx context.Context, t *trial) *outcome {
	f := &filling{w: w, side: w.sides[t.side], rule: t.rule, full: map[[2]int]bool{}}
	out := &outcome{trial: t}
	order := t.order
	if t.contact {
		left := make([]int, len(w.q.Kinds))
		for k := range left {
			left[k] = w.q.Kinds[k].Copies
		}
		var r *rand.Rand
		if t.seed != 0 {
			r = rand.New(rand.NewPCG(t.seed, 0x6b696c6e))
		}
		f.inContact(left, t.large, r)
		for k, n := range left {
			out.left += n
			out.area += float64(n) * w.q.Kinds[k].Outline.Area()
		}
	}
	if t.rows {
		order = order[f.inRows(len(order)):]
	}
	for _, k := range order {
		if ctx.Err() != nil {
			return out
		}
		if !f.set(k) {
			out.left++
			out.area += w.q.Kinds[k].Outline.Area()
		}
	}
	out.beds = f.beds
	if n := len(f.beds); n > 0 {
		for _, p := range f.beds[n-1].pieces {
			out.top = max(out.top, p.box.Max.Y)
		}
	}
	return out
}

// layout gives the outcome as it is handed over: beds that were filled on their other
// side turned back.
func (w *workshop) layout(o *outcome) *Layout {
	out := &Layout{Placed: make([]int, len(w.q.Kinds)), Placements: []Placement{}}
	if o == nil {
		return out
	}
	out.Beds = len(o.beds)
	for i, b := range o.beds {
		out.Used = append(out.Used, b.area/(w.q.Size.X*w.q.Size.Y))
		for _, p := range b.pieces {
			at := p.placed
			at.Bed = i
			if o.trial.side == 1 {
				at.At = r2.Vec{X: -at.At.Y, Y: at.At.X}
				at.TurnDeg += 90
			}
			at.TurnDeg = math.Mod(math.Mod(at.TurnDeg, 360)+360, 360)
			out.Placed[at.Kind]++
			out.Placements = append(out.Placements, at)
		}
	}
	return out
}

// filling is the work on one trial.
type filling struct {
	w    *workshop
	side *side
	rule rule
	beds []*bed
	runs []float64       // mass, g
	full map[[2]int]bool // kinds that found no place on a bed
	room scratch
}

// set finds a place for a part, on a new bed where those begun have none.
func (f *filling) set(kind int) bool {
	for i := range f.beds {
		if f.carries(i, kind) && f.setOn(i, kind) {
			return true
		}
	}
	if len(f.side.turns[kind]) == 0 {
		return false
	}
	for f.open() {
		i := len(f.beds) - 1
		if f.carries(i, kind) && f.setOn(i, kind) {
			return true
		}
		if f.runs[i/f.runBeds()] == 0 { // too heavy by itself
			f.beds = f.beds[:i]
			return false
		}
	}
	return false
}

func (f *filling) runBeds() int { return max(f.w.q.RunBeds, 1) }

// open begins a bed, where there are more.
func (f *filling) open() bool {
	if most := f.w.q.Beds; most > 0 && len(f.beds) >= most {
		return false
	}
	f.beds = append(f.beds, newBed(f.side.size, f.w.gap(), f.w.pitch))
	for len(f.runs)*f.runBeds() < len(f.beds) {
		f.runs = append(f.runs, 0)
	}
	return true
}

// carries reports whether the run of a bed may still take the mass of a part.
func (f *filling) carries(bed, kind int) bool {
	most := f.w.q.RunMassG
	return most == 0 || f.runs[bed/f.runBeds()]+f.w.q.Kinds[kind].MassG <= most*(1+1e-9)
}

func (f *filling) setOn(i, kind int) bool {
	if f.full[[2]int{i, kind}] {
		return false
	}
	b := f.beds[i]
	var best *turned
	var at r2.Vec
	var least [2]float64
	for _, t := range f.side.turns[kind] {
		to, ok := b.find(t, &f.room)
		if !ok {
			continue
		}
		if worth := f.rule.worth(r2.Add(t.box.Min, to), r2.Add(t.box.Max, to)); best == nil || worth[0] < least[0]-1e-9 || worth[0] < least[0]+1e-9 && worth[1] < least[1]-1e-9 {
			best, at, least = t, to, worth
		}
	}
	if best == nil {
		f.full[[2]int{i, kind}] = true
		return false
	}
	b.put(kind, best, b.settle(best, at))
	f.runs[i/f.runBeds()] += f.w.q.Kinds[kind].MassG
	return true
}

// worth is lower for a better place of a box, the second number where the first is alike.
func (r rule) worth(lo, hi r2.Vec) [2]float64 {
	switch r {
	case lowBottom:
		return [2]float64{lo.Y, hi.X}
	case nearCorner:
		return [2]float64{hi.X + hi.Y, hi.Y}
	}
	return [2]float64{hi.Y, lo.X}
}

// inRows sets up to count copies of the only kind in rows, bed by bed, and gives how many
// have a place. What room is left is filled afterwards.
func (f *filling) inRows(count int) int {
	rows := f.side.rows[0]
	if len(rows) == 0 {
		return 0
	}
	done := 0
	for done < count && f.open() {
		i := len(f.beds) - 1
		b, set := f.beds[i], 0
		for _, p := range rows {
			if done == count || !f.carries(i, 0) {
				break
			}
			if !b.clear(p.t.edges.Placed(0, p.at)) {
				continue
			}
			b.put(0, p.t, p.at)
			f.runs[i/f.runBeds()] += f.w.q.Kinds[0].MassG
			done++
			set++
		}
		if set == 0 {
			f.beds = f.beds[:i]
			break
		}
		for done < count && f.carries(i, 0) && f.setOn(i, 0) {
			done++
		}
	}
	return done
}

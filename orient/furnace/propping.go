package furnace

import (
	"cmp"
	"context"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
)

// Where to put blocks
//
// Blocks change nothing in the stiffness of the part, only where it is carried: so the
// equations and their multigrid are set up once, and every plan that is tried is one more
// contact to settle, begun from the last. Plans are tried on a coarser grid; the one that is
// taken is solved on the grid of the part itself, and has to hold there.
//
// The search is greedy: a block under what droops most, square or a strip each way,
// whichever leaves least; again, until nothing droops more than is allowed. Then those are
// taken out again, and moved, without which it is enough, so that there are few.

// BlockLimits say what blocks have to do and where they can be put.
type BlockLimits struct {
	// AllowedMM is the local droop that is allowed, see Sag.DroopMM; LeastMM the lowest
	// block that can be cut and put in place.
	AllowedMM, LeastMM float64
	// Friction is that of the part on ceramic.
	Friction float64
	// Shrinkage is the matrix of shrinkage in the furnace frame, per green length: the part
	// shrinks over the blocks, which do not.
	Shrinkage mesh.Matrix
}

// Propping is what blocks do for a part.
type Propping struct {
	// Blocks are the fewest that were found, from the lowest X on. There are none, and Sag is
	// nil, where no plan brings the droop within the allowed.
	Blocks []Block
	Sag    *Sag
	// DroopMM is the largest local droop with them; where no plan does, the least that any
	// that was tried leaves. Tried is how many were.
	DroopMM float64
	Tried   int
}

const (
	// mostBlocks is how many blocks anybody sets under one part (judgement), mostTried how
	// many plans are tried.
	mostBlocks = 6
	mostTried  = 20
	// mostIdle is how many blocks one after the other may make nothing better: one under one
	// of two arms tips the part, so that the other droops more.
	mostIdle = 2
	// propElements is the grid that plans are tried on, where that of the part is finer.
	propElements = 6_000
	// surely is how far within the allowed a plan has to be on the coarse grid, the second
	// time that it is asked for more after it did not hold on the finer one.
	surely, surer = 0.95, 0.8
	// nearWorst is how near to the largest droop a place must droop for a block to be of
	// use there, as a share of it (judgement).
	nearWorst = 0.5
)

// PutBlocks looks for the fewest and smallest blocks that bring the local droop of m within
// the allowed. o is what m was solved with, its props among them: they stay.
func PutBlocks(ctx context.Context, m *mesh.Mesh, c Creep, o Options, limits BlockLimits) (*Propping, error) {
	if err := c.Validate(); err != nil {
		return nil, err
	}
	w, err := o.prepare(ctx, m)
	if err != nil {
		return nil, err
	}
	fine, err := o.within(ctx, m, w)
	if err != nil {
		return nil, err
	}
	p := &propper{creep: c, options: o, limits: limits, left: o.effort()}
	if p.under, err = newUnderside(ctx, m, o.Props, limits); err != nil {
		return nil, err
	}
	if p.coarse, err = p.coarser(ctx, m, w, fine); err != nil {
		return nil, err
	}
	out := &Propping{DroopMM: math.Inf(1)}
	var blocks []Block
	for _, share := range [2]float64{surely, surer} {
		t, err := p.search(ctx, blocks, share*limits.AllowedMM)
		if err != nil {
			return nil, err
		}
		out.Tried = p.tried
		if t.droop.droopMM > share*limits.AllowedMM {
			out.DroopMM = min(out.DroopMM, t.droop.droopMM)
			return out, nil
		}
		blocks = t.blocks
		sag, held, err := p.onFine(ctx, m, fine, blocks)
		if err != nil {
			return nil, err
		}
		droop, _ := sag.WorstDroop()
		out.DroopMM = min(out.DroopMM, droop)
		if droop <= limits.AllowedMM {
			out.Blocks, out.Sag, out.DroopMM = held, sag, droop
			return out, nil
		}
	}
	return out, nil
}

// propper looks for blocks.
type propper struct {
	creep   Creep
	options Options
	limits  BlockLimits
	under   *underside
	coarse  *system
	tried   int
	left    float64 // of the work
}

// trial is one plan with what it does.
type trial struct {
	blocks []Block
	sag    *Sag
	droop  drooping
	touch  *contact
	// lines is the droop by the lines of the underside, where that can be carried, and
	// score a mean of it in which the largest count by far the most: it falls where one
	// of several that droop alike is carried.
	lines []float64
	score float64
}

// area is that of all blocks.
func (t *trial) area() (sum float64) {
	for i := range t.blocks {
		sum += t.blocks[i].SizeMM.X * t.blocks[i].SizeMM.Y
	}
	return sum
}

// coarser gives the equations that plans are tried on.
func (p *propper) coarser(ctx context.Context, m *mesh.Mesh, w wish, fine *model) (*system, error) {
	md := fine
	if n := fine.bricks(); n > propElements {
		pitch := fine.pitch() * math.Cbrt(float64(n)/propElements)
		if coarse, err := newModel(ctx, m, p.options.Props, w.lattice(pitch), w.wall); err == nil {
			md = coarse
		} else if ctx.Err() != nil {
			return nil, ctx.Err()
		}
	}
	return newSystem(md, p.creep.Poisson, newCrew(ctx))
}

// try solves one plan on the coarser grid, beginning from another one; nil: from none. A
// plan that does not settle is of no use. Ceramic drags at nothing here: that matters by a
// few per cent only, and the plan that is taken is solved with it.
func (p *propper) try(ctx context.Context, from *trial, blocks []Block) (*trial, error) {
	p.tried++
	touch := newContact(p.coarse.on(p.coarse.model.restsOn(blocks, 0)), p.options.Friction)
	touch.left = &p.left
	if from != nil && from.sag != nil {
		touch.goOn(from.touch)
	}
	out := &trial{blocks: blocks, droop: drooping{droopMM: math.Inf(1)}, score: math.Inf(1)}
	if _, err := touch.settleTo(ctx, roughly, nil); err != nil {
		return out, ctx.Err()
	}
	out.touch, out.sag = touch, touch.read(&mesh.Mesh{}, p.creep)
	out.droop.droopMM, out.droop.at = out.sag.WorstDroop()
	out.lines, out.score = p.under.droops(out.sag)
	return out, ctx.Err()
}

// search adds blocks until the droop is within the allowed, and takes those out that are
// not needed. It gives the best plan that it found.
func (p *propper) search(ctx context.Context, blocks []Block, allowed float64) (*trial, error) {
	now, err := p.try(ctx, nil, blocks)
	if err != nil {
		return nil, err
	}
	best, idle := now, 0
	for now.droop.droopMM > allowed && len(now.blocks) < mostBlocks && p.tried < mostTried && idle < mostIdle {
		next, err := p.add(ctx, now, allowed)
		if err != nil {
			return nil, err
		}
		if next == nil {
			break
		}
		idle++
		if now = next; now.score < best.score || now.droop.droopMM <= allowed {
			best, idle = now, 0
		}
	}
	if best.droop.droopMM > allowed {
		return best, nil
	}
	return p.fewer(ctx, best, allowed)
}

// add gives the plan with one more block under what droops most: the smallest that is
// enough, else the one that leaves least. It is nil where none can be put there.
func (p *propper) add(ctx context.Context, from *trial, allowed float64) (best *trial, err error) {
	for _, b := range p.choices(from) {
		t, err := p.try(ctx, from, append(slices.Clone(from.blocks), b))
		if err != nil {
			return nil, err
		}
		enough := t.droop.droopMM <= allowed
		switch {
		case best == nil,
			enough && best.droop.droopMM > allowed,
			enough && t.area() < best.area(),
			best.droop.droopMM > allowed && t.score < best.score:
			best = t
		}
		if enough { // the choices begin with the smallest
			break
		}
	}
	return best, nil
}

// choices gives the blocks that come into question for what droops most.
func (p *propper) choices(t *trial) []Block {
	if t.sag == nil {
		return nil
	}
	u := p.under
	for _, least := range [3]float64{0.75, 0.4, 0.1} {
		var found Block
		most := nearWorst * t.droop.droopMM
		for j := range u.cells.NY {
			for i := range u.cells.NX {
				at := j*u.cells.NX + i
				if !u.carries(at) {
					continue
				}
				if t.lines[at] <= most {
					continue
				}
				x, y := u.cells.Center(i, j)
				wide := wideFor(u.height[at])
				if b, share, ok := u.block(x, y, r2.Vec{X: wide, Y: wide}); ok && share >= least && !p.meets(t.blocks, &b) {
					found, most = b, t.lines[at]
				}
			}
		}
		if found.SizeMM.X == 0 {
			continue
		}
		out := []Block{found}
		for _, alongX := range [2]bool{true, false} {
			if b, _, ok := u.strip(found.At.X, found.At.Y, alongX, t.lines); ok && !p.meets(t.blocks, &b) {
				out = append(out, b)
			}
		}
		slices.SortStableFunc(out, func(a, b Block) int {
			return cmp.Compare(a.SizeMM.X*a.SizeMM.Y, b.SizeMM.X*b.SizeMM.Y)
		})
		return out
	}
	return nil
}

// meets reports whether a block would stand in another.
func (p *propper) meets(blocks []Block, b *Block) bool {
	return slices.ContainsFunc(blocks, func(o Block) bool {
		return math.Abs(o.At.X-b.At.X) < (o.SizeMM.X+b.SizeMM.X)/2 && math.Abs(o.At.Y-b.At.Y) < (o.SizeMM.Y+b.SizeMM.Y)/2
	})
}

// fewer takes out blocks that are not needed: as they are, or with those that are left
// moved towards what then droops most.
func (p *propper) fewer(ctx context.Context, best *trial, allowed float64) (*trial, error) {
	for again := true; again && len(best.blocks) > 1; {
		again = false
		for i := range best.blocks {
			if p.tried >= mostTried {
				return best, nil
			}
			t, err := p.try(ctx, best, slices.Delete(slices.Clone(best.blocks), i, i+1))
			if err != nil {
				return nil, err
			}
			if t.droop.droopMM > allowed {
				if t, err = p.moved(ctx, t); err != nil {
					return nil, err
				}
			}
			if t != nil && t.droop.droopMM <= allowed {
				best, again = t, true
				break
			}
		}
	}
	return best, nil
}

// moved gives the plan with every block a third of the way to what droops most; nil where
// one cannot stand there.
func (p *propper) moved(ctx context.Context, t *trial) (*trial, error) {
	if p.tried >= mostTried || t.sag == nil {
		return nil, nil
	}
	blocks := make([]Block, 0, len(t.blocks))
	for i := range t.blocks {
		b := &t.blocks[i]
		at := r3.Add(b.At, r3.Scale(1.0/3, r3.Sub(t.droop.at, b.At)))
		next, _, ok := p.under.block(at.X, at.Y, b.SizeMM)
		if !ok || p.meets(blocks, &next) {
			return nil, nil
		}
		blocks = append(blocks, next)
	}
	return p.try(ctx, t, blocks)
}

// onFine solves a plan on the grid of the part itself.
func (p *propper) onFine(ctx context.Context, m *mesh.Mesh, fine *model, blocks []Block) (*Sag, []Block, error) {
	md := *fine
	md.rests = fine.restsOn(blocks, p.limits.Friction)
	touch, sag, err := p.options.solveModel(ctx, m, p.creep, &md, &p.left, func(float64) {})
	if err != nil {
		return nil, nil, err
	}
	held := slices.Clone(blocks)
	for i := range held {
		held[i].PressN = 0
	}
	newton := p.creep.DensityKGM3 * gravity * 1e-9 // of a mm3
	for i, foot := range touch.feet {
		at := touch.position(foot.node)
		for k := range held {
			if !touch.lifted[i] && touch.restOf(i).onProp && held[k].holds(at.X, at.Y, rim*max(md.lattice.Pitch.X, md.lattice.Pitch.Y)) {
				held[k].PressN += touch.pressure[i] * newton
				break
			}
		}
	}
	slices.SortFunc(held, func(a, b Block) int { return cmp.Or(cmp.Compare(a.At.X, b.At.X), cmp.Compare(a.At.Y, b.At.Y)) })
	return sag, held, nil
}

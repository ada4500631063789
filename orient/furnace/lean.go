package furnace

import (
	"context"
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Lean is by what factor a small lean grows in the furnace by creep buckling: likely,
// and at the low and high end of the compliance. WeightFactor is lambda, how many times
// its weight the part could carry before it buckled at once, were it elastic with
// Young's modulus 1/J; a lean grows by exp(1/lambda). All are estimates.
//
// Derivation: a linear viscous body under load moves as the elastic one would with a
// modulus that falls as the compliance spent so far, j, rises (correspondence
// principle). The rate form of K v + lambda K_G v = 0 for a deviation v from the
// straight shape is J dv/dj = v / lambda, so that v grows by exp(1/lambda) while j goes
// from 0 to J. (D; the part keeps its shape and size meanwhile.)
type Lean struct{ Growth, Low, High, WeightFactor float64 }

// newLean gives the lean of a part that buckles under so many times its weight.
func newLean(factor float64, c Creep) Lean {
	at := func(compliance float64) float64 { return math.Exp(compliance / c.CompliancePerPa / factor) }
	return Lean{at(c.CompliancePerPa), at(c.LowPerPa), at(c.HighPerPa), factor}
}

// softer gives the lean of a part that carries less by a factor of 1 to most: the
// likely one in the middle between the two.
func (l Lean) softer(most float64) Lean {
	likely := math.Sqrt(most)
	return Lean{math.Pow(l.Growth, likely), l.Low, math.Pow(l.High, most), l.WeightFactor / likely}
}

const (
	// sureWithin is how far off 1/lambda may be, by the bound of the residual, which
	// the error itself falls with the square of; or 1/lambda at the high end of the
	// compliance, where that is small.
	sureWithin, sureHigh = 0.05, 0.01
	// hardlyGrows is the growth at the high end of the compliance from which on down
	// the exact one does not matter, and surelyFalls the growth at the low end from
	// which on up it does not.
	hardlyGrows = 0.002
	surelyFalls = 1000
)

// knownEnough reports whether 1/lambda, and so the lean, is known well enough: theta
// times the weight per stiffness is 1/lambda.
func (c Creep) knownEnough(theta, off float64) bool {
	low, high := c.sink()*c.LowPerPa/c.CompliancePerPa, c.sink()*c.HighPerPa/c.CompliancePerPa
	return off <= max(sureWithin*theta, sureHigh/high) || (theta+off)*high < hardlyGrows || theta*low > math.Log(surelyFalls)
}

// lean finds how a small lean of the settled part grows. An iteration that does not
// settle leaves the answer out.
func (c *contact) lean(ctx context.Context, creep Creep, into *Sag) error {
	stiff := c.system
	if soft := c.model.softAcross(); soft != c.model {
		var err error
		if stiff, err = newSystem(soft, creep.Poisson, c.mg.levels[0].crew); err != nil {
			return ctx.Err() // no answer
		}
	}
	b, steps, err := c.buckle(ctx, stiff, creep.Poisson, creep.knownEnough)
	if into.LeanSteps = steps; err != nil || ctx.Err() != nil {
		return ctx.Err()
	}
	l := newLean(1/max(b.theta[0]*creep.sink(), 0), creep)
	if stiff != c.system {
		l = l.softer(c.model.tooStiff())
	}
	into.Lean = &l
	if l.High > 1+hardlyGrows {
		var most float64
		for n := range int32(len(b.x[0]) / 3) {
			most = max(most, r3.Norm(c.vector(b.x[0], n)))
		}
		into.LeanMode = c.field(b.x[0], 1/most)
	}
	return nil
}

// buckle finds how the part buckles under its own weight, with the stress of the
// settled contact and its carried feet held: friction holds them against a lean that
// begins small. stiff has the same bricks, as stiff as they are against bending.
func (c *contact) buckle(ctx context.Context, stiff *system, poisson float64, enough func(theta, off float64) bool) (*buckling, int, error) {
	held := make([]bool, len(c.held))
	for i, foot := range c.feet {
		if !c.lifted[i] {
			at := 3 * int(foot.node)
			held[at], held[at+1], held[at+2] = true, true, true
		}
	}
	geo, err := newGeometric(c.mg.levels[0], c.edges(), poisson, c.x, held)
	if err != nil {
		return nil, 0, err
	}
	if err := stiff.mg.hold(held, nil); err != nil {
		return nil, 0, err
	}
	b := newBuckling(stiff.mg, geo, func(i int) []float64 { return c.push(held, uint64(i)) })
	most := mostSteps
	if c.left != nil {
		most = int(min(mostSteps, max(*c.left, 0)/(shapes*stiff.mg.effort())))
	}
	steps, err := b.climb(ctx, most, enough)
	return b, steps, err
}

// edges gives the edges of the bricks along the system's axes.
func (s *system) edges() (edge [3]float64) {
	p := s.model.lattice.Pitch
	for a, o := range s.order {
		edge[a] = [3]float64{p.X, p.Y, p.Z}[o]
	}
	return edge
}

// push gives forces on the nodes that have something of every symmetry in them, and of
// short waves as of long ones: products of the coordinates with odd coefficients, and
// noise that is the same every time; the last one noise alone.
func (s *system) push(held []bool, seed uint64) []float64 {
	l := s.mg.levels[0]
	var coefficient [3][8]float64
	if seed < shapes-1 {
		for i := range 24 {
			coefficient[i/8][i%8] = noise(seed<<8 + uint64(i))
		}
	}
	out := make([]float64, 3*len(l.place))
	for n, p := range l.place {
		var at [3]float64
		for a := range at {
			at[a] = 2*float64(p[a])/float64(l.n[a]) - 1
		}
		for a := range 3 {
			i := 3*n + a
			if held[i] {
				continue
			}
			v := noise(seed<<40 + uint64(i))
			for m, k := range coefficient[a] {
				for b := range 3 {
					if m>>b&1 == 1 {
						k *= at[b]
					}
				}
				v += k
			}
			out[i] = v * float64(l.weight[n])
		}
	}
	return out
}

// noise gives a number between -1 and 1 for every key (the finaliser of SplitMix64,
// Steele, Lea and Flood 2014).
func noise(key uint64) float64 {
	z := key + 0x9e3779b97f4a7c15
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	z ^= z >> 31
	return float64(int64(z)) / (1 << 63)
}

package mesh

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

const (
	// thinFacing is facing for walls sought closely, less strict for pins of few
	// sides; what tapers is told by the change of its thickness.
	thinFacing = 0.9
	// leastWidth is how wide and how high a wall is at least, mm; tallness the same
	// in thicknesses, up to mostTall mm (judgement: less is an edge, a rounding, relief
	// or lettering).
	leastWidth = 1
	tallness   = 1.5
	mostTall   = 3
	// mostTaper is the change of thickness along a wall, mm per mm, beyond which it
	// is a wedge: about 11 degrees between the faces. mostChange is how much of its
	// thickness it may change by over its width, or it is the edge of a blade.
	mostTaper  = 0.2
	mostChange = 0.5
	// thickened is where a wall ends: at so many times its thickness.
	thickened = 2
	// strides is how many steps are taken over the width asked for.
	strides = 6
)

// section is the solid measured across at one place.
type section struct {
	middle, across r3.Vec // across is a unit vector
	thick          float64
	face           surfacePlace // where across comes out
}

// section measures along n both ways from p. It is false where p is not inside:
// counted from there, a ray never comes out.
func (c caliper) section(p, n r3.Vec) (section, bool) {
	ahead, out := c.exit(p, n, math.Inf(1), -1, c.outward, nil)
	if !out {
		return section{}, false
	}
	back, out := c.exit(p, r3.Scale(-1, n), math.Inf(1), -1, c.outward, nil)
	if !out {
		return section{}, false
	}
	s := section{
		middle: r3.Add(p, r3.Scale((ahead.t-back.t)/2, n)), across: n, thick: ahead.t + back.t,
		face: surfacePlace{r3.Add(p, r3.Scale(ahead.t, n)), ahead.facet},
	}
	// The next one is taken at right angles to the middle of the wall, where its
	// faces are about parallel.
	a, b := c.mesh.AreaVector(int(ahead.facet)), c.mesh.AreaVector(int(back.facet))
	if a, b = r3.Unit(a), r3.Unit(b); -r3.Dot(a, b) > thinFacing {
		s.across = r3.Scale(c.outward, r3.Unit(r3.Sub(a, b)))
	}
	return s, true
}

// thinWall gives the wall that the chord is across, moved to where it is thinnest
// nearby, or none.
func (c caliper) thinWall(from chord) Wall {
	const moves = 4
	var w Wall
	for range moves {
		s, ok := c.section(from.middle, from.along)
		if !ok {
			return w
		}
		thinner, ok := c.patch(s)
		if !ok {
			return w
		}
		w = c.wallOf(s)
		if thinner.length == 0 {
			return w
		}
		from = thinner
	}
	return w
}

// wallOf tells what bounds the wall at s. The chord across a pin of few sides may
// pass beside its axis, from where it touches more of them.
func (c caliper) wallOf(s section) Wall {
	const (
		beside = 0.3  // how far off the axis it may be, in thicknesses
		as     = 0.02 // what the ball there may differ by
	)
	w := Wall{MM: s.thick, At: s.middle, Normals: []r3.Vec{s.across}}
	if s.thick > thinReach { // not looked at closely
		return w
	}
	ball := c.ascend(deepPlace{s.middle, s.thick / 2}, beside*s.thick)
	if math.Abs(2*ball.depth-s.thick) <= as*s.thick {
		w.At = ball.at
	}
	w.bound(c.faceContacts(w.At, s.thick/2))
	across := Wall{Normals: []r3.Vec{s.across}}
	if w.Shares != nil || !across.alike([]Wall{w}) {
		w.Normals, w.Shares = across.Normals, nil
	}
	return w
}

// patch reports whether the solid is a wall or a pin about s: along each line across
// the middle of s it goes on far enough as thick as it is there, or ends in the open
// both ways, but not along all of them. It gives a thinner place of the patch where
// there is one.
func (c caliper) patch(s section) (thinner chord, ok bool) {
	width := max(leastWidth, min(tallness*s.thick, mostTall))
	u := Across(s.across)
	v := r3.Cross(s.across, u)
	least := 0.999 * s.thick
	const lines = 8
	wide := false
	for k := range lines {
		sin, cos := math.Sincos(math.Pi * float64(k) / lines)
		t := c.trail(s, r3.Add(r3.Scale(cos, u), r3.Scale(sin, v)), width)
		if !t.wall() {
			return chord{}, false
		}
		wide = wide || t.wide()
		for _, p := range t.passed {
			if p.thick >= least {
				continue
			}
			if n := c.chord(p.face, least, nil); n.length > noWall && n.facing >= thinFacing {
				thinner, least = n, n.length
			}
		}
	}
	return thinner, wide
}

// trail is a way along the middle of a wall, to both sides of where it began.
type trail struct {
	thick  float64 // where it began
	width  float64 // asked for
	gone   [2]float64
	end    [2]ending
	passed []section
	tapers []float64 // change of thickness over each step, mm per mm, along the trail
}

// ending is how one side of a trail ends.
type ending uint8

const (
	goesOn ending = iota
	inOpen
	inThick
)

// wide reports whether the trail goes as far as asked for.
func (t *trail) wide() bool {
	const rounding = 1e-6
	return t.gone[0]+t.gone[1] >= t.width*(1-rounding)
}

// wall reports whether what the trail leads along is a wall, or across a pin.
func (t *trail) wall() bool {
	if !t.wide() {
		return t.end[0] == inOpen && t.end[1] == inOpen
	}
	slices.Sort(t.tapers)
	n := len(t.tapers)
	taper := math.Abs(t.tapers[(n-1)/2]+t.tapers[n/2]) / 2
	return taper <= mostTaper && taper*t.width <= mostChange*t.thick
}

// trail follows the wall about s along d and against it, at right angles to the wall
// all the way, half the width each and further where the other side ends early.
func (c caliper) trail(s section, d r3.Vec, width float64) *trail {
	t := &trail{thick: s.thick, width: width}
	sides := [2]stride{{s, d, 1}, {s, r3.Scale(-1, d), -1}}
	for side := range sides {
		c.follow(t, &sides[side], side, width/2)
	}
	for side := range sides {
		if t.end[1-side] != goesOn {
			c.follow(t, &sides[side], side, width-t.gone[1-side])
		}
	}
	return t
}

// stride is how far one side of a trail has come.
type stride struct {
	at   section
	way  r3.Vec
	sign float64
}

// follow goes on until so far from the start of the trail.
func (c caliper) follow(t *trail, p *stride, side int, until float64) {
	step := t.width / strides
	for t.end[side] == goesOn && t.gone[side] < until-step/2 {
		way := r3.Sub(p.way, r3.Scale(r3.Dot(p.way, p.at.across), p.at.across))
		if way == (r3.Vec{}) {
			t.end[side] = inThick
			return
		}
		p.way = r3.Unit(way)
		next, ok := c.section(r3.Add(p.at.middle, r3.Scale(step, p.way)), p.at.across)
		switch {
		case !ok:
			t.end[side] = inOpen
			return
		case next.thick > thickened*t.thick:
			t.end[side] = inThick
			return
		}
		if r3.Dot(next.across, p.at.across) < 0 {
			next.across = r3.Scale(-1, next.across)
		}
		t.tapers = append(t.tapers, p.sign*(next.thick-p.at.thick)/step)
		t.passed = append(t.passed, next)
		p.at = next
		t.gone[side] += step
	}
}

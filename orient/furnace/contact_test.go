package furnace

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
)

// TestContactConditions: the setter only pushes, and only where the part lies
// on it; its pushes carry the weight, about its centre. With friction the drag
// stays within its limit. These conditions have one solution, so whatever way it
// was found it is the right one.
func TestContactConditions(t *testing.T) {
	seesaw := boxes([6]float64{-5, 0, 0, 5, 6, 2}, [6]float64{-15, 0, 2, 18, 6, 4})
	for _, tt := range []struct {
		name     string
		mesh     *mesh.Mesh
		friction float64
	}{
		{"arm", armPart(), 0}, {"table", tablePart(), 0}, {"table with friction", tablePart(), 0.1},
		{"table stuck", tablePart(), Stuck}, {"seesaw", seesaw, 0}, {"spun arm", spun(armPart(), 33, r3.Vec{}), 0},
		{"two bodies", boxes([6]float64{0, 0, 0, 10, 10, 10}, [6]float64{12, 0, 0, 20, 8, 16}), 0},
	} {
		t.Run(tt.name, func(t *testing.T) {
			c := checked{mesh: func() *mesh.Mesh { return tt.mesh }, pitch: 0.75, friction: tt.friction}.solved(t)
			checkContact(t, c)
		})
	}
}

func checkContact(t *testing.T, c *contact) {
	t.Helper()
	var weight, carried, deepest float64
	for i, f := range c.force {
		if i%3 == c.up {
			weight -= f
		}
	}
	for _, v := range c.x {
		deepest = max(deepest, math.Abs(v))
	}
	c.mg.levels[0].grid.apply(c.react, c.x)
	var moment r3.Vec
	for i, foot := range c.feet {
		at := 3*int(foot.node) + c.up
		push := c.react[at] - c.force[at]
		if c.lifted[i] {
			if c.x[at] < -1e-3*deepest {
				t.Errorf("foot %d sinks %v into the setter", i, -c.x[at]/deepest)
			}
			continue
		}
		if push < -0.01*weight/float64(len(c.feet)) {
			t.Errorf("foot %d is pulled by %v of the weight", i, -push/weight)
		}
		carried += push
		moment = r3.Add(moment, r3.Scale(push, c.position(foot.node)))
		if c.drag != nil {
			u, v := c.x[at-c.up+c.level[0]], c.x[at-c.up+c.level[1]]
			drag := math.Hypot(c.drag[at-c.up+c.level[0]]*u, c.drag[at-c.up+c.level[1]]*v)
			if drag > 1.05*c.friction*max(push, 0)+1e-4*weight {
				t.Errorf("foot %d: drag %v on pressure %v", i, drag, push)
			}
		}
	}
	about(t, "weight carried", carried, weight, 1e-3)
	center := c.centerOfLoad()
	if d := r3.Sub(r3.Scale(1/carried, moment), center); math.Hypot(d.X, d.Y) > 0.02*math.Cbrt(weight) {
		t.Errorf("carried %v beside the centre of mass", d)
	}
}

// centerOfLoad is the centre of mass of the bricks.
func (c *contact) centerOfLoad() (center r3.Vec) {
	var sum float64
	for n := range c.mg.levels[0].place {
		w := -c.force[3*n+c.up]
		center = r3.Add(center, r3.Scale(w, c.position(int32(n))))
		sum += w
	}
	return r3.Scale(1/sum, center)
}

// TestRigidMotionStaysOut: free to slide, the feet stay where they were on the
// mean, shifted and turned by nothing.
func TestRigidMotionStaysOut(t *testing.T) {
	if testing.Short() {
		t.Skip("short: numbers alone, and many of them")
	}
	c := checked{mesh: func() *mesh.Mesh { return spun(tablePart(), 20, r3.Vec{X: 50}) }, pitch: 0.75}.solved(t)
	var shift r3.Vec
	var turn, size float64
	carried := 0.0
	for i, foot := range c.feet {
		if !c.lifted[i] {
			shift = r3.Add(shift, c.vector(c.x, foot.node))
			carried++
		}
	}
	middle := c.feetMiddle()
	for i, foot := range c.feet {
		if !c.lifted[i] {
			u, p := c.vector(c.x, foot.node), r3.Sub(c.position(foot.node), middle)
			turn += p.X*u.Y - p.Y*u.X
			size += math.Hypot(p.X, p.Y) * math.Hypot(u.X, u.Y)
		}
	}
	var most float64
	for _, v := range c.x {
		most = max(most, math.Abs(v))
	}
	if math.Hypot(shift.X, shift.Y)/carried > 1e-9*most || math.Abs(turn) > 1e-6*size {
		t.Errorf("the feet shifted by %v and turned by %v", shift, turn/size)
	}
}

func (c *contact) feetMiddle() (m r3.Vec) {
	n := 0.0
	for i, foot := range c.feet {
		if !c.lifted[i] {
			m, n = r3.Add(m, c.position(foot.node)), n+1
		}
	}
	return r3.Scale(1/n, m)
}

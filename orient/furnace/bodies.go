package furnace

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
)

var (
	// ErrLoose is returned for a body that nothing carries.
	ErrLoose = errors.New("furnace: a body hangs free")
	// ErrTips is returned for a part that would not stay as it was put.
	ErrTips = errors.New("furnace: the part would tip over")
)

// dust is the share of all solid below which a loose body is a crumb of the
// grid or the mesh and is left out.
const dust = 1e-4

// body is bricks that hang together by their faces. Bricks that touch along an
// edge or in a corner only could turn against one another, so they are not one.
type body struct {
	bricks []int32
	weight float64 // in bricks
	center r3.Vec  // of mass
}

// bodies finds the bodies of the model, in the order of their first bricks.
func (md *model) bodies() []body {
	n := md.lattice.N
	seen := make([]bool, len(md.solid))
	step := [3]int{1, n[0], n[0] * n[1]}
	var all []body
	for start, s := range md.solid {
		if s <= 0 || seen[start] {
			continue
		}
		b := body{bricks: []int32{int32(start)}}
		seen[start] = true
		for next := 0; next < len(b.bricks); next++ {
			at := int(b.bricks[next])
			place := [3]int{at % n[0], at / n[0] % n[1], at / step[2]}
			w := float64(md.load[at])
			b.weight += w
			b.center = r3.Add(b.center, r3.Scale(w, md.lattice.Center(place[0], place[1], place[2])))
			for a := range 3 {
				for _, d := range [2]int{-1, 1} {
					to := at + d*step[a]
					if p := place[a] + d; p < 0 || p >= n[a] || seen[to] || md.solid[to] <= 0 || a < 2 && md.apart(at, to) {
						continue
					}
					seen[to] = true
					b.bricks = append(b.bricks, int32(to))
				}
			}
		}
		b.center = r3.Scale(1/b.weight, b.center)
		all = append(all, b)
	}
	return all
}

// dropDust takes out crumbs, and supports that touch nothing of the part.
func (md *model) dropDust() error {
	all := md.bodies()
	var total float64
	for _, b := range all {
		total += b.weight
	}
	if total == 0 {
		return errors.New("furnace: the part has no solid that this grid can see: ask for a finer grid")
	}
	for _, b := range all {
		idle := md.prop != nil && !slices.ContainsFunc(b.bricks, func(i int32) bool { return !md.prop[i] })
		if b.weight > dust*total && !idle {
			continue
		}
		for _, i := range b.bricks {
			md.part[i], md.solid[i], md.load[i] = 0, 0, 0
		}
	}
	return nil
}

// checkStanding sees to it that every body rests on something, and that its
// centre of mass is above the corners that carry it. A part that is one body on
// the bare setter must also stand by its true footprint.
func (md *model) checkStanding(m *mesh.Mesh, props []Prop) error {
	of := make([]int32, len(md.solid))
	all := md.bodies()
	barely := ""
	if len(all) == 1 && len(props) == 0 && len(md.rests) > 0 {
		all[0].center = m.Solid().Centroid
		if foot := footCorners(m); len(mesh.Outline(foot)) > 2 {
			if err := md.stands(all[0], foot, 1, barely); err != nil {
				return err
			}
			barely = fmt.Sprintf(", or within %.1f mm of its edge", math.Cbrt(md.lattice.BrickVolume()))
		}
	}
	for i, b := range all {
		for _, k := range b.bricks {
			of[k] = int32(i) + 1
		}
	}
	feet := make([][]r2.Vec, len(all))
	for _, r := range md.rests {
		p := md.node(r.node)
		for _, k := range md.around(r.node) {
			if i := of[k] - 1; i >= 0 {
				feet[i] = append(feet[i], r2.Vec{X: p.X, Y: p.Y})
			}
		}
	}
	for i, b := range all {
		if err := md.stands(b, feet[i], len(all), barely); err != nil {
			return err
		}
	}
	return nil
}

// stands checks one body of several with the given feet. barely is added to what
// is said of a part that tips.
func (md *model) stands(b body, feet []r2.Vec, bodies int, barely string) error {
	c := b.center
	if len(feet) == 0 {
		what := "the part"
		if bodies > 1 {
			what = fmt.Sprintf("a body of %.3g mm3", b.weight*md.lattice.BrickVolume())
		}
		return fmt.Errorf("%w: %s at about (%.1f, %.1f, %.1f) mm reaches neither the setter nor a prop nor, by more than an edge, anything that does; prop it, or remove it from the file",
			ErrLoose, what, c.X, c.Y, c.Z)
	}
	outline := mesh.Outline(feet)
	if TipAngleDeg(outline, r3.Vec{X: c.X, Y: c.Y, Z: 1}) > 0 {
		return nil
	}
	return fmt.Errorf("%w: the centre of mass of what stands at about (%.1f, %.1f) mm is not above what it rests on%s; lay it another way or prop it",
		ErrTips, c.X, c.Y, barely)
}

package furnace

import (
	"context"
	"errors"
	"fmt"
	"math"

	"kilnpoise/mesh"
)

// ErrOpen is returned for a mesh with holes too large to see past.
var ErrOpen = errors.New("furnace: the surface has holes, so inside and outside cannot be told apart: repair the mesh first")

const (
	// linesPerBrick is how many lines pierce a brick along each side to find
	// its fill.
	linesPerBrick = 4
	// leastFill is the fill below which a brick is left out: it would carry
	// nothing, but spoil the condition of the equations.
	leastFill = 0.01
	// tipStiffness is the least stiffness of a brick that stands on the setter:
	// what a tip sinks in depends on its brick in any case, and is not to hide
	// how the part above gives way.
	tipStiffness = 0.25
	// mostOpen is the share of lines that may be lost to holes in the surface.
	mostOpen = 0.02
)

// model is the part, and what carries it, on a lattice of bricks.
type model struct {
	lattice mesh.Lattice
	wall    float64   // thinnest wall, mm
	part    []float32 // fill by the part alone
	solid   []float32 // stiffness of every brick as a share of solid metal
	load    []float32 // weight, likewise
	prop    []bool    // bricks with nothing but a support in them; nil: there is none
	rests   []rest    // where something may be carried, in order of node
}

// newModel fills the lattice. wall is the thinnest wall, mm.
func newModel(ctx context.Context, m *mesh.Mesh, props []Prop, l mesh.Lattice, wall float64) (*model, error) {
	md, foot, err := fillModel(ctx, m, l, wall)
	if err != nil {
		return nil, err
	}
	if err := md.addSupports(ctx, props); err != nil {
		return nil, err
	}
	if err := md.dropDust(); err != nil {
		return nil, err
	}
	if err := md.findRests(ctx, m, foot, props); err != nil {
		return nil, err
	}
	return md, md.checkStanding(m, props)
}

// fillModel fills the lattice with the part alone and gives its footprint.
func fillModel(ctx context.Context, m *mesh.Mesh, l mesh.Lattice, wall float64) (*model, []float32, error) {
	v, err := m.Voxels(ctx, l, linesPerBrick)
	if err != nil {
		return nil, nil, err
	}
	if v.OpenShare > mostOpen {
		return nil, nil, fmt.Errorf("%w (%.0f %% of the lines through it do not come out again)", ErrOpen, 100*v.OpenShare)
	}
	md := &model{lattice: l, wall: wall, part: v.Fill, solid: v.Fill, load: v.Fill}
	foot, err := md.footprint(ctx, m)
	if err != nil {
		return nil, nil, err
	}
	for i, f := range v.Fill {
		if i < len(foot) && foot[i] > 0 {
			v.Fill[i] = max(f, leastFill)
		} else if f < leastFill {
			v.Fill[i] = 0
		}
	}
	md.soften(v.Cover)
	for i, f := range foot {
		if f > 0 {
			md.solid[i] = max(md.solid[i], tipStiffness)
		}
	}
	return md, foot, nil
}

// pitch gives the mean edge of the bricks, mm.
func (md *model) pitch() float64 { return math.Cbrt(md.lattice.BrickVolume()) }

// bricks counts the bricks with solid in them.
func (md *model) bricks() (n int) {
	for _, s := range md.solid {
		if s > 0 {
			n++
		}
	}
	return n
}

// addSupports adds the props of metal where the part leaves room.
func (md *model) addSupports(ctx context.Context, props []Prop) error {
	for i := range props {
		p := &props[i]
		if !p.grown() {
			continue
		}
		if &md.load[0] == &md.part[0] {
			md.load, md.prop = append([]float32(nil), md.part...), make([]bool, len(md.part))
		}
		v, err := p.Shape.Voxels(ctx, md.lattice, linesPerBrick)
		if err != nil {
			return err
		}
		for i, f := range v.Fill {
			if room := min(f, 1-md.part[i]); room >= leastFill {
				md.solid[i] = max(md.solid[i], md.part[i]+room*float32(p.stiffness()))
				md.load[i] = max(md.load[i], md.part[i]+room*float32(p.Density))
				if md.part[i] == 0 {
					md.prop[i] = true
				}
			}
		}
	}
	return nil
}

// apart reports whether two bricks side by side do not hang together: supports touch
// the part above and below them only.
func (md *model) apart(a, b int) bool { return md.prop != nil && md.prop[a] != md.prop[b] }

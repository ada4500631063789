package mesh

import (
	"context"
	"errors"
	"fmt"
	"slices"
)

// Part is one part, sound as far as it can be made, in millimetres. It is not
// changed after it was made and may be used by several goroutines at once.
type Part struct {
	// Name is the base name of the file, File its path, SHA256 its hash in hex.
	Name, File, SHA256 string
	// Unit is the unit the file was read in; UnitAssumed is true when nobody
	// gave it.
	Unit        Unit
	UnitAssumed bool
	Mesh        *Mesh
	Health      Health
	// CutOff is true where the file was cut off, or has no end and is open: some of the
	// part is missing, and its holes were left as they are.
	CutOff bool
	// Notes are the remarks from reading the file.
	Notes []string
}

// Part is PartWith with the zero options.
func (f *File) Part(ctx context.Context, items ...int) (*Part, error) {
	return f.PartWith(ctx, MendOptions{}, items...)
}

// PartWith joins the items of the given numbers, or all where none is given, and
// makes one part of them: welded, checked and safely repaired as MendWith does.
// The items are not changed: as long as the caller keeps the File, a step of the
// mending can be undone by making the part again without it. It fails with one
// sentence where there is nothing that could be a part: no facets, all in one
// plane, or a surface without an inside.
func (f *File) PartWith(ctx context.Context, o MendOptions, items ...int) (*Part, error) {
	m, err := f.join(items)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", f.base(), err)
	}
	if f.CutOff || f.unended { // a hole is what is missing
		o.Leave = append(slices.Clone(o.Leave), FillHoles)
	}
	whole, health, err := mendWithin(ctx, m, o, f.room)
	if err != nil {
		if ctx.Err() != nil {
			return nil, ctx.Err()
		}
		return nil, fmt.Errorf("%s: %w", f.base(), err)
	}
	return &Part{
		Name: f.Name, File: f.Path, SHA256: f.SHA256, Unit: f.Unit, UnitAssumed: f.UnitAssumed,
		Mesh: whole, Health: health, CutOff: f.CutOff || f.unended && !health.Watertight, Notes: f.Notes,
	}, nil
}

// join gives one mesh of the items chosen.
func (f *File) join(items []int) (*Mesh, error) {
	if len(items) == 0 {
		for i := range f.Items {
			items = append(items, i)
		}
	}
	if len(items) == 1 && items[0] >= 0 && items[0] < len(f.Items) {
		return f.Items[items[0]].Mesh, nil
	}
	m := &Mesh{}
	for _, i := range items {
		if i < 0 || i >= len(f.Items) {
			return nil, fmt.Errorf("there is no item %d, only %d; choose another", i+1, len(f.Items))
		}
		m.Append(f.Items[i].Mesh)
	}
	if len(m.Facets) == 0 {
		return nil, errors.New("the file holds no triangles; export the part again")
	}
	return m, nil
}

// BoundsCavity gives for each facet of the mesh whether it bounds a closed
// cavity.
func (p *Part) BoundsCavity() []bool {
	out := make([]bool, len(p.Mesh.Facets))
	for _, i := range p.Health.CavityFacets {
		out[i] = true
	}
	return out
}

package orient

import (
	"context"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
	"kilnpoise/orient/furnace"
	"kilnpoise/orient/mark"
	"kilnpoise/orient/support"
)

// pictureLines is how many support columns a picture shows at most: as fine as
// the eye can tell apart.
const pictureLines = 72 * 72

// Detail works out what the pictures of a candidate of this advice need.
func (a *Advice) Detail(ctx context.Context, c *Candidate) (*Detail, error) {
	m := a.Part.Mesh
	d := &Detail{Green: c.Pose.Green(m), Sintered: c.Pose.Sintered(m)}
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	g := newGauge(a.study.full, a.Brief)
	g.until(ctx)
	g.stance.Set(d.Green, mesh.Identity(), a.Brief.Material.OverhangLimitDeg)
	d.Overhang = make([]bool, len(m.Facets))
	d.Contact = make([]bool, len(m.Facets))
	for i, k := range g.stance.Kinds {
		d.Overhang[i] = k == support.Overhang
		d.Contact[i] = k == support.Base
	}
	d.Footprint = mesh.Outline(g.contactPoints())
	d.CenterOfMass = d.Green.Solid().Centroid
	g.stance.Columns(&g.columns, pictureLines)
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	d.Supports = posts(g)
	d.Marked = MarkSets(&a.Brief.Marks, len(m.Facets))
	d.RegionOf = regionOf(c, len(m.Facets))
	d.SagAt = r3.Vec{X: c.Measures.SagAtMM[0], Y: c.Measures.SagAtMM[1], Z: c.Measures.SagAtMM[2]}
	d.SagMM, d.SagCollapses = c.Measures.SagMM, c.Measures.SagCollapses
	if sag := c.solvedAsPrinted(); sag != nil {
		d.addSag(sag)
		d.SagAt, d.SagMM, d.SagCollapses = sag.At, sag.MM, sag.Collapses
	}
	return d, ctx.Err()
}

// How fine the surface is divided for the field of the sag: edges of a sixtieth of
// the diagonal, within a bound for large parts.
const (
	sagEdges      = 60
	mostSagFacets = 250_000
)

// addSag puts the solved sag on the sintered part.
func (d *Detail) addSag(s *furnace.Sag) {
	d.Sintered, d.SinteredFrom = d.Sintered.Refine(d.Sintered.Bounds().Diagonal()/sagEdges, mostSagFacets)
	d.Sag = make([]float64, len(d.Sintered.Vertices))
	d.Displacement = make([]r3.Vec, len(d.Sintered.Vertices))
	for i, v := range d.Sintered.Vertices {
		d.Displacement[i] = s.Field.At(v)
		d.Sag[i] = -d.Displacement[i].Z
	}
}

// MarkSets gives what each of the facets is marked as; nil where nothing is.
func MarkSets(m *mark.Marks, facets int) []MarkSet {
	if len(m.Faces) == 0 {
		return nil
	}
	out := make([]MarkSet, facets)
	for _, f := range m.Faces {
		for _, i := range f.Facets {
			if int(i) < facets {
				out[i] = out[i].With(f.Kind)
			}
		}
	}
	return out
}

// regionOf gives the number of the planned region of each facet, from 1; nil
// where none is planned.
func regionOf(c *Candidate, facets int) []int32 {
	if c.Plan == nil {
		return nil
	}
	out := make([]int32, facets)
	for n := range c.Plan.Items {
		for _, i := range c.Plan.Items[n].Region.Facets {
			out[i] = int32(n + 1)
		}
	}
	return out
}

// posts gives the columns under the overhangs as the pictures show them.
func posts(g *gauge) []Post {
	var out []Post
	g.stance.EachSupport(&g.columns, g.subject.closed, func(x, y, bottom, top float64) {
		out = append(out, Post{X: x, Y: y, Width: min(g.columns.DX, g.columns.DY), Bottom: bottom, Top: top})
	})
	return out
}

// solvedAsPrinted gives the solution of the pose of the print: on the props of the plan
// where they are for it.
func (c *Candidate) solvedAsPrinted() *furnace.Sag {
	if c.Resting != nil && c.Resting.Poses[0].Sag != nil {
		return c.Resting.Poses[0].Sag
	}
	return c.Solved
}

package orient

import (
	"context"
	"errors"
	"fmt"
	"math"
	"runtime"
	"sync"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
	"kilnpoise/mesh/parallel"
	"kilnpoise/orient/mark"
	"kilnpoise/orient/support"
)

// Study holds what is known of a part whatever the brief: its levels of detail,
// hull and walls. Making one costs about as much as reading the mesh a few
// times; advice on a changed brief starts from it. A Study is never changed and
// may be used by several goroutines at once.
type Study struct {
	part *mesh.Part
	// full is the part itself, middle and crowd are coarser levels of it.
	full, middle, crowd *subject
	faces               []restingFace
	box, fileBox        ownBox
	// own maps the part frame to the frame of the part's own principal axes,
	// in which all is sampled, so that turning the file changes nothing.
	own mesh.Matrix

	// read is the part without stock, nil where there is none; stock what is on it.
	read  *mesh.Part
	stock []mark.Stock

	// sizes are those for a caliper, found when first asked for.
	sizesLock  sync.Mutex
	sizesKnown bool
	sizes      []caliperSize
}

const (
	crowdFacets  = 2500
	middleFacets = 20000
)

// NewStudy makes a part ready. It fails where the part encloses no volume.
func NewStudy(ctx context.Context, part *mesh.Part) (*Study, error) {
	m := part.Mesh
	s := &Study{part: part, fileBox: fileBox(m), full: &subject{
		mesh: m, exact: true, partFacets: len(m.Facets), base: support.BaseTolerance,
		closed: part.Health.Watertight, cavity: cavities(part),
	}}
	var hull *mesh.Mesh
	var walls = s.full.walls
	var bodies []looseBody
	var hullErr, wallErr, bodiesErr, levelErr error
	var wg parallel.Group // what hangs on nothing else, on all cores
	wg.Go(func() { hull, hullErr = m.Hull(ctx) })
	wg.Go(func() { bodies, bodiesErr = looseBodies(ctx, m, s.full.cavity) })
	wg.Go(func() { walls, wallErr = m.Walls(ctx, s.full.cavity) }) // a variable of its own: the levels are copied meanwhile
	wg.Go(func() {
		s.own, s.full.solid, s.full.area = m.PrincipalAxes(), m.Solid(), m.Area()
		if s.middle, levelErr = s.coarser(ctx, s.full, middleFacets); levelErr == nil {
			s.crowd, levelErr = s.coarser(ctx, s.middle, crowdFacets)
		}
	})
	wg.Wait()
	switch {
	case ctx.Err() != nil:
		return nil, ctx.Err()
	case hullErr != nil:
		return nil, fmt.Errorf("%s has no volume to print: check that it is a solid and not a sheet: %w", part.Name, hullErr)
	case wallErr != nil && !errors.Is(wallErr, mesh.ErrNoSolid):
		return nil, fmt.Errorf("measuring the walls of %s: %w", part.Name, wallErr)
	case bodiesErr != nil:
		return nil, bodiesErr
	case levelErr != nil:
		return nil, levelErr
	}
	s.faces = restingFaces(hull)
	rough := s.extremes(hull.Vertices, roughHull)
	s.box = smallestBox(rough, s.faces)
	s.full.hull, s.middle.hull, s.crowd.hull = hull.Vertices, rough, rough
	for _, level := range []*subject{s.full, s.middle, s.crowd} {
		level.walls, level.box, level.bodies = walls, s.box, bodies
	}
	s.measureFeet()
	return s, nil
}

// measureFeet measures how much of the part lies on each face that it stands on.
func (s *Study) measureFeet() {
	m := s.full.mesh
	above := make([]float64, len(m.Vertices))
	for i := range s.faces {
		f := &s.faces[i]
		if !f.under(s.full.solid.Centroid) {
			continue
		}
		low := math.Inf(1)
		for k, v := range m.Vertices {
			above[k] = r3.Dot(f.up, v)
			low = min(low, above[k])
		}
		for k, t := range m.Facets {
			if max(above[t[0]], above[t[1]], above[t[2]]) <= low+support.BaseTolerance {
				if n := m.AreaVector(k); r3.Dot(n, f.up) < 0 {
					f.footMM2 += r3.Norm(n)
				}
			}
		}
	}
}

// roughHull is in how many directions the hull of the coarser levels is known.
const roughHull = 400

// extremes gives the hull points that lie farthest out in some of so many
// directions: near enough to the hull for rough rectangles.
func (s *Study) extremes(hull []r3.Vec, directions int) []r3.Vec {
	if len(hull) <= directions/4 {
		return hull
	}
	back := s.own.Transpose()
	kept := make([]bool, len(hull))
	for _, d := range covering(directions, 0) {
		d = back.MulVec(d)
		farthest := 0
		for i, v := range hull {
			if r3.Dot(d, v) > r3.Dot(d, hull[farthest]) {
				farthest = i
			}
		}
		kept[farthest] = true
	}
	var out []r3.Vec
	for i, v := range hull {
		if kept[i] {
			out = append(out, v)
		}
	}
	return out
}

// cavities marks the facets that bound closed cavities; nil when there are none.
func cavities(part *mesh.Part) []bool {
	if len(part.Health.CavityFacets) == 0 {
		return nil
	}
	return part.BoundsCavity()
}

// coarser gives a level of at most about facets facets. It is made in the
// part's own axes, so that it is the same however the file is turned.
func (s *Study) coarser(ctx context.Context, from *subject, facets int) (*subject, error) {
	rough := *from
	if len(from.mesh.Facets) <= facets {
		return &rough, nil
	}
	turned, was, err := from.mesh.Transform(s.own, r3.Vec{}).Coarsen(ctx, facets)
	if err != nil {
		return nil, err
	}
	rough.mesh = turned.Transform(s.own.Transpose(), r3.Vec{})
	rough.exact = false
	rough.from = was
	if from.from != nil {
		rough.from = make([]int32, len(was)) // was itself is still needed
		for i, k := range was {
			rough.from[i] = from.from[k]
		}
	}
	// Clusters move by a few hundredths of their size off a flat.
	rough.base = support.BaseTolerance + 0.05*math.Sqrt(2*from.area/float64(len(was)))
	if from.cavity != nil {
		rough.cavity = make([]bool, len(was))
		for i, k := range was {
			rough.cavity[i] = from.cavity[k]
		}
	}
	return &rough, nil
}

// each calls work for 0..n-1 on all cores, a gauge of the subject for each core.
// It stops early when ctx ends. Results go by index, so the outcome does not
// depend on the number of cores. done, which may be nil, is called on the
// caller's goroutine with the count of calls begun.
func each(ctx context.Context, s *subject, b Brief, n int, work func(g *gauge, i int), done func(count int)) (err error) {
	workers := min(runtime.GOMAXPROCS(0), max(n, 1))
	var wg parallel.Group
	next := make(chan int)
	for range workers {
		wg.Go(func() {
			var g *gauge
			for i := range next {
				wg.Try(func() {
					if g == nil {
						g = newGauge(s, b)
						g.until(ctx)
					}
					work(g, i)
				})
			}
		})
	}
	defer func() {
		close(next)
		wg.Wait()
		if err == nil { // the last ones may have been cut short
			err = ctx.Err()
		}
	}()
	for i := range n {
		if err := ctx.Err(); err != nil {
			return err
		}
		select {
		case next <- i:
			if done != nil {
				done(i + 1)
			}
		case <-ctx.Done():
			return ctx.Err()
		}
	}
	return nil
}

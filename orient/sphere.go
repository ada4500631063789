package orient

import (
	"context"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
)

// MapPoint is one direction of a map of the whole sphere, measured roughly.
type MapPoint struct {
	// Up is the build direction in the part frame.
	Up Triple
	// Measures are those of the crowd level: good to some per cent. Sag is the
	// beam estimate.
	Measures Measures
	// Cost is as for candidates, State that of the worst gate.
	Cost  float64
	State State
	// Face is true for an exact resting face: what lies about it rests on an edge and
	// is no guide to it.
	Face bool
}

// Passes reports whether all gates are passed.
func (p *MapPoint) Passes() bool { return p.State == Passed }

// How roughly the map is measured: lines for each direction, and in how many
// directions the hull is known, for the spin about Z. On the demo parts twice the
// lines bring the measures no nearer to those of the full mesh; the level of
// detail decides.
const (
	mapLines = 24 * 24
	mapHull  = 100
)

// Map measures n directions spread evenly over the whole sphere, for a map that
// shows at a glance whether the best direction is broad or a needle: half of them
// those of a lattice, the others opposite, one after the other. report, which may
// be nil, is called on the caller's goroutine.
func (s *Study) Map(ctx context.Context, b Brief, n int, report func(Progress)) ([]MapPoint, error) {
	run := s.newSearch(b, nil)
	var err error
	if run.known.sites, err = s.sites(ctx, run.brief); err != nil {
		return nil, err
	}
	back := s.own.Transpose()
	pairs := (max(n, 0) + 1) / 2
	ups := covering(2*pairs, b.Seed)[:pairs]
	hull := s.extremes(s.crowd.hull, mapHull)
	out := make([]MapPoint, 2*pairs)
	tick := max(pairs/50, 1)
	err = each(ctx, s.crowd, b, pairs, func(g *gauge, i int) {
		pose, _ := poseFor(back.MulVec(ups[i]), hull, run.oversize)
		out[2*i] = run.mapPoint(g, g.read(pose, mapLines))
		out[2*i+1] = run.mapPoint(g, g.readOver(pose.over()))
	}, func(done int) {
		if report != nil && done%tick == 0 {
			report(Progress{Stage: "measuring the whole sphere", Fraction: float64(done) / float64(pairs)})
		}
	})
	return out[:max(n, 0)], err
}

// mapFaces is how many resting faces a map shows.
const mapFaces = 12

// MapFaces measures the largest faces that the part stands on, each exactly on its
// face, for the map of the whole sphere.
func (s *Study) MapFaces(ctx context.Context, b Brief) ([]MapPoint, error) {
	run := s.newSearch(b, nil)
	var err error
	if run.known.sites, err = s.sites(ctx, run.brief); err != nil {
		return nil, err
	}
	flats := s.steadyFlats(b.Material.SmallestTipDeg)
	out := make([]MapPoint, min(len(flats), mapFaces))
	err = each(ctx, s.crowd, b, len(out), func(g *gauge, i int) {
		face := flats[i].face
		pose, _ := poseFor(face.up, s.full.hull, run.oversize)
		out[i] = run.mapPoint(g, g.readFace(pose, mapLines, face))
		out[i].Face = true
	}, nil)
	return out, err
}

// MapFaces is Study.MapFaces for the part and brief of the advice.
func (a *Advice) MapFaces(ctx context.Context) ([]MapPoint, error) {
	return a.study.MapFaces(ctx, a.Brief)
}

// over gives the pose turned over, by half a turn about the X axis of the print
// frame.
func (p Pose) over() Pose {
	p.Rotation = mesh.Diagonal(r3.Vec{X: 1, Y: -1, Z: -1}).Mul(p.Rotation)
	return p
}

// mapPoint weighs a reading.
func (s *search) mapPoint(g *gauge, r reading) MapPoint {
	verdict, lies := s.judgeReading(g, &r)
	return MapPoint{
		Up: triple(r.pose.Up()), Measures: r.measures,
		Cost:  cost(s.yard.values(&r.measures, r.dimensions, lies), s.weights),
		State: verdict.state(),
	}
}

// Map is Study.Map for the part and brief of the advice.
func (a *Advice) Map(ctx context.Context, n int, report func(Progress)) ([]MapPoint, error) {
	return a.study.Map(ctx, a.Brief, n, report)
}

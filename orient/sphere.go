package orient

import "context"

// MapPoint is one direction of a map of the whole sphere, measured roughly.
type MapPoint struct {
	// Up is the build direction in the part frame.
	Up Triple
	// Measures are those of the crowd level: good to some per cent. Sag is the
	// beam estimate.
	Measures Measures
	// Cost and Passes are as for candidates.
	Cost   float64
	Passes bool
}

// Map measures n directions spread evenly over the whole sphere, for a map that
// shows at a glance whether the best direction is broad or a needle. report, which
// may be nil, is called on the caller's goroutine.
func (s *Study) Map(ctx context.Context, b Brief, n int, report func(Progress)) ([]MapPoint, error) {
	run := s.newSearch(b, nil)
	back := s.own.Transpose()
	ups := covering(n, b.Seed)
	out := make([]MapPoint, n)
	tick := max(n/50, 1)
	err := each(ctx, s.crowd, b, n, func(g *gauge, i int) {
		up := back.MulVec(ups[i])
		pose, _ := poseFor(up, g.subject.hull, run.oversize)
		r := g.read(pose, crowdLines)
		out[i] = MapPoint{
			Up: triple(up), Measures: r.measures,
			Cost:   cost(run.yard.values(&r.measures, r.dimensions), run.weights),
			Passes: severity(&r.measures, r.greenSize, &run.brief) == 0,
		}
	}, func(done int) {
		if report != nil && done%tick == 0 {
			report(Progress{Stage: "measuring the whole sphere", Fraction: float64(done) / float64(n)})
		}
	})
	return out, err
}

// Map is Study.Map for the part and brief of the advice.
func (a *Advice) Map(ctx context.Context, n int, report func(Progress)) ([]MapPoint, error) {
	return a.study.Map(ctx, a.Brief, n, report)
}

package orient

import (
	"context"
	"math"

	"gonum.org/v1/gonum/optimize"
	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
)

// refine moves the best free directions, those that are no resting face, to the
// nearest minimum of the cost, by the simplex method of Nelder and Mead (1965):
// the cost has kinks where facets cross the limit angle, so slopes are no guide.
func (s *search) refine(ctx context.Context, crowd []sampled) ([]sampled, error) {
	var free []sampled
	for _, d := range crowd {
		if d.face == nil {
			free = append(free, d)
		}
	}
	starts := bestOf(free, refineStarts, byMerit)
	out := make([]sampled, len(starts))
	err := each(ctx, s.study.crowd, s.brief, len(starts), func(g *gauge, i int) {
		out[i] = s.descend(ctx, g, starts[i], descent{lines: refineLines, spanDeg: refineSpanDeg, effort: refineEffort})
	}, func(done int) { s.tell(stageRefine, float64(done)/float64(len(starts)), nil) })
	return out, err
}

// descent says how a direction is refined: with how many lines, how far the first
// step goes, and how many steps there are at most.
type descent struct {
	lines   int
	spanDeg float64
	effort  int
}

// descend refines one direction on its tangent plane.
func (s *search) descend(ctx context.Context, g *gauge, from sampled, how descent) sampled {
	u := mesh.Across(from.up)
	v := r3.Cross(from.up, u)
	best := from
	best.grade, best.cost = gradeFalls, math.Inf(1)
	at := func(x []float64) r3.Vec {
		return r3.Unit(r3.Add(from.up, r3.Add(r3.Scale(x[0], u), r3.Scale(x[1], v))))
	}
	problem := optimize.Problem{
		Func: func(x []float64) float64 {
			d := s.sample(g, at(x), nil, how.lines)
			if byMerit(d, best) < 0 {
				best = d
			}
			return gradeStep*float64(d.grade) + d.weight + d.cost
		},
		Status: func() (optimize.Status, error) {
			if ctx.Err() != nil {
				return optimize.RuntimeLimit, nil
			}
			return optimize.NotTerminated, nil
		},
	}
	method := &optimize.NelderMead{SimplexSize: how.spanDeg * math.Pi / 180}
	settings := &optimize.Settings{
		FuncEvaluations: how.effort,
		Converger:       &optimize.FunctionConverge{Absolute: 1e-4, Iterations: 12},
	}
	if _, err := optimize.Minimize(problem, []float64{0, 0}, settings, method); err != nil && math.IsInf(best.cost, 1) {
		return from // the simplex never started: keep what the crowd found
	}
	return best
}

// gradeStep sets one grade above all that burden and cost can add up to.
const gradeStep = 100

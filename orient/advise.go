package orient

import (
	"context"
	"reflect"
	"slices"
	"time"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
)

// Advise measures the orientations of a part and ranks them. It is NewStudy and
// Study.Advise in one; keep the Study where the brief may change.
func Advise(ctx context.Context, part *mesh.Part, b Brief, report func(Progress)) (*Advice, error) {
	study, err := NewStudy(ctx, part)
	if err != nil {
		return nil, err
	}
	return study.Advise(ctx, b, report)
}

// Advise searches, measures and ranks for a brief. report, which may be nil, is
// called on the caller's goroutine. When ctx ends the error is that of ctx.
func (s *Study) Advise(ctx context.Context, b Brief, report func(Progress)) (*Advice, error) {
	begin := time.Now()
	run := s.newSearch(b, report)
	var pool []Candidate
	if !b.OnlyGiven {
		var err error
		if pool, err = run.run(ctx); err != nil {
			return nil, err
		}
	}
	a, err := run.settle(ctx, pool, map[r3.Vec]reading{})
	if err != nil {
		return nil, err
	}
	a.Elapsed.Search = time.Since(begin)
	return a, nil
}

// Revise gives the advice for a changed brief, doing only what the change asks
// for: new priorities re-rank what was measured; a new process record measures
// again; the part's own levels of detail, hull and walls are kept always.
func (a *Advice) Revise(ctx context.Context, b Brief, report func(Progress)) (*Advice, error) {
	if !a.Brief.sameProcess(b) || a.Brief.OnlyGiven != b.OnlyGiven {
		return a.study.Advise(ctx, b, report)
	}
	begin := time.Now()
	run := a.study.newSearch(b, report)
	pool := append([]Candidate(nil), a.pool...)
	rank(pool, run.yard, run.brief)
	out, err := run.settle(ctx, pool, a.fine)
	if err != nil {
		return nil, err
	}
	out.fired = a.fired
	for i := range out.Candidates {
		if f, ok := a.fired[out.Candidates[i].Pose.Rotation]; ok {
			f.apply(&out.Candidates[i])
		}
	}
	out.order()
	out.Elapsed.Search = time.Since(begin)
	return out, nil
}

// sameProcess reports whether measures taken for one brief hold for the other.
func (b Brief) sameProcess(o Brief) bool {
	x, y := b.Material, o.Material
	return x.Shrinkage == y.Shrinkage && x.ShrinkageSpread == y.ShrinkageSpread &&
		x.OverhangLimitDeg == y.OverhangLimitDeg && x.LayerHeightMM == y.LayerHeightMM &&
		x.LineWidthMM == y.LineWidthMM && x.GreenDensityGCM3 == y.GreenDensityGCM3 &&
		x.FilamentDiameterMM == y.FilamentDiameterMM && x.SupportDensity == y.SupportDensity &&
		x.Creep == y.Creep && x.Debinding == y.Debinding &&
		b.Printer.SpeedMMS == o.Printer.SpeedMMS && b.Printer.TravelOverhead == o.Printer.TravelOverhead &&
		b.Seed == o.Seed && reflect.DeepEqual(b.Marks, o.Marks) && slices.Equal(b.Directions, o.Directions)
}

// order ranks and explains the candidates as they are measured now.
func (a *Advice) order() {
	rank(a.Candidates, newYardstick(a.study.full, a.Brief), a.Brief)
	firmness(a.Candidates)
	explain(a)
}

// spareFinalists is how many more than asked for are measured on the full mesh,
// so that a finer measure can still change the order at the end of the list.
const spareFinalists = 2

// settle measures the finalists on the full mesh, adds the as-loaded and the
// given orientations, ranks all and writes the reasons. fine keeps readings by
// build direction between revisions; a new map is made for the result.
func (s *search) settle(ctx context.Context, pool []Candidate, known map[r3.Vec]reading) (*Advice, error) {
	poses, origins := s.finalPoses(pool)
	readings := make([]reading, len(poses))
	err := each(ctx, s.study.full, s.brief, len(poses), func(g *gauge, i int) {
		if r, ok := known[poses[i].Up()]; ok && r.pose == poses[i] {
			readings[i] = r
			return
		}
		readings[i] = g.readFinely(poses[i])
	}, func(done int) { s.tell(stageFinal, float64(done-1)/float64(len(poses)), nil) })
	if err != nil {
		return nil, err
	}
	a := &Advice{Part: s.study.part, Brief: s.brief, study: s.study, pool: pool, fine: map[r3.Vec]reading{}}
	for k, v := range known {
		a.fine[k] = v
	}
	for i, r := range readings {
		a.fine[poses[i].Up()] = r
		a.Candidates = append(a.Candidates, s.candidate(r, origins[i]))
	}
	rank(a.Candidates, s.yard, s.brief)
	a.Candidates = cut(s.mergeFound(a.Candidates), s.brief.Candidates)
	a.order()
	a.Notes = append(doubts(s.study.part), s.brief.Material.Warnings()...)
	s.tell(stageFinal, 1, a.Candidates)
	return a, nil
}

// finalPoses gives the poses to measure on the full mesh with their origins.
func (s *search) finalPoses(pool []Candidate) (poses []Pose, origins []Origin) {
	add := func(p Pose, o Origin) {
		poses, origins = append(poses, p), append(origins, o)
	}
	add(asLoadedPose(s.oversize), AsLoaded)
	for _, up := range s.brief.Directions {
		p, _ := poseFor(r3.Unit(up), s.study.full.hull, s.oversize)
		add(p, Given)
	}
	for _, c := range pool[:min(len(pool), s.brief.Candidates+spareFinalists)] {
		add(c.Pose, FromSearch)
	}
	return poses, origins
}

// candidate turns a reading into a candidate, not yet ranked.
func (s *search) candidate(r reading, o Origin) Candidate {
	return Candidate{
		print:  s.study.fingerprint(r.pose.Up()),
		Origin: o, Pose: r.pose, Name: nameFor(r.pose, s.study.box, s.study.fileBox),
		GreenSize: r.greenSize, SinteredSize: r.finished, Measures: r.measures,
		Dimensions: r.dimensions, FurnaceAdvice: r.advice,
	}
}

// mergeFound drops what the search found where the as-loaded orientation or a
// given one is the same, by direction or by symmetry, and no worse.
func (s *search) mergeFound(all []Candidate) []Candidate {
	return slices.DeleteFunc(slices.Clone(all), func(c Candidate) bool {
		return c.Origin == FromSearch && slices.ContainsFunc(all, func(o Candidate) bool {
			return o.Origin != FromSearch && s.same(&c, &o) &&
				o.Measures.asGoodAs(c.Measures) && o.severity() <= c.severity()
		})
	})
}

// asGoodAs compares what differs between directions a degree apart: a face that
// lies flat and one that does not.
func (m Measures) asGoodAs(o Measures) bool {
	return m.TipAngleDeg >= o.TipAngleDeg-0.5 && m.SupportVolumeMM3 <= o.SupportVolumeMM3*1.02+1
}

// cut keeps the best n of the search and all others, and numbers anew.
func cut(all []Candidate, n int) []Candidate {
	out := all[:0:0]
	found := 0
	for _, c := range all {
		if c.Origin == FromSearch {
			if found++; found > n {
				continue
			}
		}
		c.Rank = len(out) + 1
		out = append(out, c)
	}
	return out
}

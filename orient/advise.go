package orient

import (
	"context"
	"maps"
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
	s, b, err := s.withStock(ctx, b.asFixed())
	if err != nil {
		return nil, err
	}
	return s.adviseFrom(ctx, b, &known{}, report)
}

// known is what has been measured of a part for one process: nothing in it hangs on
// the priorities. It is copied and added to, never changed.
type known struct {
	sites []site      // to lie on in the furnace, the best first, none solved
	crowd []sampled   // nil where nothing was searched
	least unavoidable // of the crowd
	short map[shortKey]reading
	fine  map[Pose]reading
}

// shortKey is one direction of the short list.
type shortKey struct {
	pose Pose
	face *restingFace
}

// adviseFrom advises from what is known.
func (s *Study) adviseFrom(ctx context.Context, b Brief, k *known, report func(Progress)) (*Advice, error) {
	begin := time.Now()
	run := s.newSearch(b, report)
	run.known = known{sites: k.sites, crowd: k.crowd, least: k.least, short: maps.Clone(k.short), fine: maps.Clone(k.fine)}
	a, err := run.advise(ctx)
	if err != nil {
		return nil, err
	}
	a.Notes = append(a.Notes, stockNotes(b.Marks.Stock)...)
	a.Elapsed.Search = time.Since(begin)
	return a, nil
}

// Revise gives the advice for a changed brief, the same as Advise would give, doing
// only what the change asks for: where nothing but the priorities has changed, what was
// measured and solved is ranked anew. Everything else is taken to matter to the
// measures; the part's own levels of detail, hull and walls are kept always.
func (a *Advice) Revise(ctx context.Context, b Brief, report func(Progress)) (*Advice, error) {
	b = b.asFixed()
	if a.study.has(b.Marks.Stock) {
		b.Marks = b.Marks.OnStock(a.Part.Mesh)
	}
	if !a.Brief.sameButPriorities(b) {
		return a.study.Advise(ctx, b, report)
	}
	out, err := a.study.adviseFrom(ctx, b, a.known, report)
	if err != nil || len(a.fired) == 0 {
		return out, err
	}
	out.fired, out.firedWith = a.fired, a.firedWith
	for i := range out.Candidates {
		if f, ok := a.fired[out.Candidates[i].Pose.Rotation]; ok {
			f.apply(&out.Candidates[i], &out.Brief)
		}
	}
	out.order()
	return out, nil
}

// sameButPriorities reports whether two briefs ask for the same measures.
func (b Brief) sameButPriorities(o Brief) bool {
	o.Priorities = b.Priorities
	if b.Candidates <= 0 {
		b.Candidates = DefaultCandidates
	}
	if o.Candidates <= 0 {
		o.Candidates = DefaultCandidates
	}
	return reflect.DeepEqual(b, o)
}

// order lays down, ranks and explains the candidates as they are measured now.
func (a *Advice) order() {
	y := newYardstick(a.study.full, a.Brief)
	y.least = a.known.least
	for i := range a.Candidates {
		c := &a.Candidates[i]
		a.study.layDown(&a.Brief, a.sites, y.least, c)
		c.Measures.PlannedSag = c.planned()
	}
	rank(a.Candidates, y, a.Brief)
	firmness(a.Candidates)
	a.study.namePoses(a.Candidates)
	explain(a)
}

// spareFinalists is how many more than asked for are measured on the full mesh,
// so that a finer measure can still change the order at the end of the list.
const spareFinalists = 2

// settle measures the finalists on the full mesh, adds the as-loaded and the
// given orientations, ranks all and writes the reasons.
func (s *search) settle(ctx context.Context, pool []Candidate) (*Advice, error) {
	poses, origins := s.finalPoses(pool)
	readings := make([]reading, len(poses))
	err := each(ctx, s.study.full, s.brief, len(poses), func(g *gauge, i int) {
		if r, ok := s.known.fine[poses[i]]; ok {
			readings[i] = r
			return
		}
		readings[i] = g.readFinely(poses[i])
	}, func(done int) { s.tell(stageFinal, float64(done-1)/float64(len(poses)), nil) })
	if err != nil {
		return nil, err
	}
	a := &Advice{Part: s.study.part, Brief: s.brief, study: s.study, known: &s.known, sites: s.known.sites}
	if s.known.fine == nil {
		s.known.fine = map[Pose]reading{}
	}
	for i, r := range readings {
		s.known.fine[r.pose] = r
		a.Candidates = append(a.Candidates, s.candidate(r, origins[i]))
	}
	a.Candidates = s.ranked(a.Candidates)
	if err := s.polish(ctx, a); err != nil {
		return nil, err
	}
	a.Candidates = listed(s.mergeFound(s.ranked(a.Candidates)), s.brief.Candidates)
	a.order()
	a.Notes = append(append(doubts(s.study.part), s.study.bodiesNote()...), s.brief.Material.Warnings()...)
	s.tell(stageFinal, 1, a.Candidates)
	return a, nil
}

// finalPoses gives the poses to measure on the full mesh with their origins.
func (s *search) finalPoses(pool []Candidate) (poses []Pose, origins []Origin) {
	add := func(p Pose, o Origin) {
		poses, origins = append(poses, p), append(origins, o)
	}
	add(s.brief.turnToFit(asLoadedPose(s.oversize), s.study.full.hull), AsLoaded)
	for _, up := range s.brief.Directions {
		add(s.brief.poseToFit(r3.Unit(up), s.study.full.hull, s.oversize), Given)
	}
	for _, c := range listed(pool, s.brief.Candidates+spareFinalists) {
		add(c.Pose, FromSearch)
	}
	return poses, origins
}

// candidate turns a reading into a candidate, not yet ranked.
func (s *search) candidate(r reading, o Origin) Candidate {
	linear := r.pose.linear()
	plate, _ := s.brief.plateFit(s.study.full.hull, linear)
	setter, _ := s.brief.setterFit(s.study.full.hull, linear)
	return Candidate{
		print: s.study.fingerprint(r.pose.Up()), plate: plate, setter: setter,
		Origin: o, Pose: r.pose,
		GreenSize: r.greenSize, SinteredSize: r.finished, Measures: r.measures,
		Dimensions: r.dimensions, FurnaceAdvice: r.stand.Advice(s.brief.standLimits()), stand: r.stand,
	}
}

// ranked gives the candidates laid down and in their order, those of the search
// without those that a better one stands for by symmetry.
func (s *search) ranked(all []Candidate) []Candidate {
	all = slices.Clone(all)
	for i := range all {
		s.study.layDown(&s.brief, s.known.sites, s.yard.least, &all[i])
	}
	rank(all, s.yard, s.brief)
	return s.mergeSymmetric(all)
}

// mergeFound drops what the search found where the as-loaded orientation or a
// given one is the same, by direction or by symmetry, and no worse.
func (s *search) mergeFound(all []Candidate) []Candidate {
	return slices.DeleteFunc(slices.Clone(all), func(c Candidate) bool {
		return c.Origin == FromSearch && slices.ContainsFunc(all, func(o Candidate) bool {
			return o.Origin != FromSearch && s.same(&c, &o) &&
				o.Measures.asGoodAs(c.Measures) && o.verdict.grade() <= c.verdict.grade()
		})
	})
}

// asGoodAs compares what differs between directions a degree apart: a face that
// lies flat and one that does not.
func (m Measures) asGoodAs(o Measures) bool {
	return m.TipAngleDeg >= o.TipAngleDeg-0.5 && m.SupportVolumeMM3 <= o.SupportVolumeMM3*1.02+1
}

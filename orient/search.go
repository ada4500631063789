package orient

import (
	"cmp"
	"context"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// The stages of the search, in words for the screen, with the share of the whole
// that is done when each ends.
var stages = [...]struct {
	name string
	end  float64
}{
	{"measuring directions all around", 0.45},
	{"refining the best", 0.65},
	{"measuring the short list", 0.8},
	{"measuring the finalists on the full mesh", 1},
}

const (
	stageCrowd = iota
	stageRefine
	stageShortList
	stageFinal
)

// Columns per direction in each stage.
const (
	crowdLines     = 32 * 32
	refineLines    = 48 * 48
	shortListLines = 128 * 128
)

// search is one run of the search.
type search struct {
	study     *Study
	brief     Brief
	yard      yardstick
	oversize  r3.Vec
	weights   Priorities
	report    func(Progress)
	lastShare float64
}

func (s *Study) newSearch(b Brief, report func(Progress)) *search {
	if b.Candidates <= 0 {
		b.Candidates = DefaultCandidates
	}
	return &search{
		study: s, brief: b, yard: newYardstick(s.full, b), oversize: b.oversizeOf(),
		weights: b.Priorities.normalised(), report: report,
	}
}

// tell reports progress within a stage.
func (s *search) tell(stage int, share float64, leaders []Candidate) {
	if s.report == nil {
		return
	}
	begin := 0.0
	if stage > 0 {
		begin = stages[stage-1].end
	}
	s.lastShare = max(s.lastShare, begin+share*(stages[stage].end-begin))
	s.report(Progress{Stage: stages[stage].name, Fraction: s.lastShare, Leaders: leaders})
}

// sampled is one direction with its rough reading.
type sampled struct {
	up       r3.Vec       // part frame
	face     *restingFace // of the hull; nil for a free direction
	stands   bool
	severity int // of the failed gates
	cost     float64
	values   [priorityCount]float64
}

// run finds the short list: the pool from which candidates are taken.
func (s *search) run(ctx context.Context) ([]Candidate, error) {
	crowd, err := s.crowd(ctx)
	if err != nil {
		return nil, err
	}
	short := s.shorten(crowd)
	refined, err := s.refine(ctx, crowd)
	if err != nil {
		return nil, err
	}
	short = distinct(append(short, refined...))
	return s.shortList(ctx, short)
}

// crowd measures all directions roughly.
func (s *search) crowd(ctx context.Context) ([]sampled, error) {
	ups, faces := s.directions()
	out := make([]sampled, len(ups))
	tick := max(len(ups)/50, 1)
	err := each(ctx, s.study.crowd, s.brief, len(ups), func(g *gauge, i int) {
		var face *restingFace
		if i < faces {
			face = &s.study.faces[i]
		}
		out[i] = s.sample(g, ups[i], face, crowdLines)
	}, func(done int) {
		if done%tick == 0 {
			s.tell(stageCrowd, float64(done)/float64(len(ups)), nil)
		}
	})
	return out, err
}

// directions gives the resting faces, then the covering, in the part frame.
func (s *search) directions() (ups []r3.Vec, faces int) {
	for _, f := range s.study.faces {
		ups = append(ups, f.up)
	}
	back := s.study.own.Transpose()
	for _, d := range covering(coveringSize, s.brief.Seed) {
		ups = append(ups, back.MulVec(d))
	}
	return ups, len(s.study.faces)
}

// sample reads one direction and weighs it.
func (s *search) sample(g *gauge, up r3.Vec, face *restingFace, lines int) sampled {
	pose, _ := poseFor(up, g.subject.hull, s.oversize)
	r := g.readFace(pose, lines, face)
	v := s.yard.values(&r.measures, r.dimensions)
	return sampled{
		up: up, face: face, values: v, cost: cost(v, s.weights), severity: severity(&r.measures, r.greenSize, &s.brief),
		stands: r.measures.TipAngleDeg >= s.brief.Material.SmallestTipDeg,
	}
}

// How many directions go on the short list from each point of view (judgement:
// enough that rough readings do not lose the best).
const (
	shortBest     = 24 // the best by gates and cost
	shortEach     = 4  // the best by each priority alone
	shortFree     = 8  // the best whatever the gates
	shortStable   = 8  // the largest faces that the part stands on
	refineStarts  = 6
	refineEffort  = 60
	refineSpanDeg = 4
)

// shorten picks the directions worth a closer look.
func (s *search) shorten(crowd []sampled) []sampled {
	var short []sampled
	take := func(n int, order func(a, b sampled) int) {
		short = append(short, bestOf(crowd, n, order)...)
	}
	take(shortBest, byMerit)
	for p := range AllPriorities() {
		take(shortEach, func(a, b sampled) int {
			return cmp.Or(cmp.Compare(a.severity, b.severity), cmp.Compare(a.values[p], b.values[p]), byMerit(a, b))
		})
	}
	take(shortFree, byCost)
	stable := 0
	for _, d := range crowd { // faces come first, the largest first
		if d.face == nil || stable == shortStable {
			break
		}
		if d.stands {
			short = append(short, d)
			stable++
		}
	}
	return distinct(short)
}

func byCost(a, b sampled) int {
	return cmp.Or(cmp.Compare(a.cost, b.cost), compareVec(a.up, b.up))
}

func byMerit(a, b sampled) int { return cmp.Or(cmp.Compare(a.severity, b.severity), byCost(a, b)) }

// bestOf gives n directions in order, none near another.
func bestOf(all []sampled, n int, order func(a, b sampled) int) []sampled {
	sorted := slices.Clone(all)
	slices.SortFunc(sorted, order)
	return apart(sorted, n)
}

// apart takes up to n directions in the order given, leaving out those near an
// earlier one; resting faces and free directions do not stand in for each other.
func apart(ordered []sampled, n int) []sampled {
	faces, free := newDirectionSet(SameDirectionDeg), newDirectionSet(freeApartDeg)
	var out []sampled
	for _, d := range ordered {
		if len(out) == n {
			break
		}
		seen := free
		if d.face != nil {
			seen = faces
		}
		if _, near := seen.find(d.up); near {
			continue
		}
		seen.add(d.up)
		out = append(out, d)
	}
	return out
}

// freeApartDeg is how far apart directions that rest on no face have to be to be
// worth showing beside each other, degrees (judgement).
const freeApartDeg = 12

// SameDirectionDeg is how near two build directions are one, degrees.
const SameDirectionDeg = 3

// distinct drops directions near an earlier one; resting faces come first, since
// next to a face the part stands only on the face itself.
func distinct(all []sampled) []sampled {
	slices.SortStableFunc(all, func(a, b sampled) int {
		switch {
		case a.face != nil && b.face == nil:
			return -1
		case a.face == nil && b.face != nil:
			return 1
		}
		return byMerit(a, b)
	})
	return apart(all, len(all))
}

// shortList measures the short list well and gives it as ranked candidates.
func (s *search) shortList(ctx context.Context, short []sampled) ([]Candidate, error) {
	pool := make([]Candidate, len(short))
	err := each(ctx, s.study.middle, s.brief, len(short), func(g *gauge, i int) {
		pose, _ := poseFor(short[i].up, g.subject.hull, s.oversize)
		pool[i] = s.candidate(g.readFace(pose, shortListLines, short[i].face), FromSearch)
	}, func(done int) { s.tell(stageShortList, float64(done)/float64(len(short)), nil) })
	if err != nil {
		return nil, err
	}
	rank(pool, s.yard, s.brief)
	pool = s.mergeSymmetric(pool)
	s.tell(stageShortList, 1, pool[:min(len(pool), s.brief.Candidates)])
	return pool, nil
}

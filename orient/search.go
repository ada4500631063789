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
	known     known
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
	up     r3.Vec       // part frame
	face   *restingFace // of the hull; nil for a free direction
	stands bool
	// verdict is that of the gates, grade and weight what comes of it.
	verdict verdict
	grade   grade
	weight  float64
	cost    float64
	values  [priorityCount]float64
}

// advise searches, measures and ranks, but for what is known already.
func (s *search) advise(ctx context.Context) (*Advice, error) {
	if s.known.sites == nil {
		var err error
		if s.known.sites, err = s.study.sites(ctx, s.brief); err != nil {
			return nil, err
		}
	}
	var pool []Candidate
	if !s.brief.OnlyGiven {
		var err error
		if pool, err = s.pool(ctx); err != nil {
			return nil, err
		}
	}
	return s.settle(ctx, pool)
}

// pool finds the short list from which candidates are taken.
func (s *search) pool(ctx context.Context) ([]Candidate, error) {
	if s.known.crowd == nil {
		var err error
		if s.known.crowd, err = s.crowd(ctx); err != nil {
			return nil, err
		}
		s.known.least = unavoidableOf(s.known.crowd)
	}
	s.yard.least = s.known.least
	crowd := slices.Clone(s.known.crowd)
	for i := range crowd {
		c := &crowd[i]
		c.verdict.least, c.cost = s.known.least, cost(c.values, s.weights)
		c.weight = c.verdict.weight()
	}
	refined, err := s.refine(ctx, crowd)
	if err != nil {
		return nil, err
	}
	return s.shortList(ctx, distinct(append(s.shorten(crowd), refined...)))
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
	verdict, lies := s.judgeReading(g, &r)
	values := s.yard.values(&r.measures, r.dimensions, lies)
	return sampled{
		up: up, face: face, values: values, cost: cost(values, s.weights), verdict: verdict, grade: verdict.grade(), weight: verdict.weight(),
		stands: r.measures.TipAngleDeg >= s.brief.Material.SmallestTipDeg,
	}
}

// judgeReading judges a rough reading: laid down as printed or on the best of the
// sites, whose figures hardly hang on how it is printed.
func (s *search) judgeReading(g *gauge, r *reading) (verdict, *Lying) {
	linear := r.pose.linear()
	setter, _ := s.brief.setterFit(g.subject.hull, linear)
	lies := r.measures.lyingAsPrinted(setter)
	if len(s.known.sites) > 0 {
		laid := []Lying{lies, s.known.sites[0].quick}
		lies = laid[s.brief.chooseLying(laid, s.yard.least)]
	}
	plate, _ := s.brief.plateFit(g.subject.hull, linear)
	v := s.brief.judge(&r.measures, plate, &lies)
	v.least, v.handicap = s.yard.least, s.yard.handicap(&r.measures, &lies)
	return v, &lies
}

// How many directions go on the short list from each point of view (judgement:
// enough that rough readings do not lose the best).
const (
	shortBest     = 24 // the best by gates and cost
	shortEach     = 4  // the best by each priority alone
	shortFree     = 8  // the best whatever the gates
	shortStable   = 24 // the steadiest ways to stand, by gates and cost
	refineStarts  = 6
	refineEffort  = 60
	refineSpanDeg = 4
)

// shorten picks the directions worth a closer look.
func (s *search) shorten(crowd []sampled) []sampled {
	var short []sampled
	take := func(of []sampled, n int, order func(a, b sampled) int) {
		short = append(short, bestOf(of, n, order)...)
	}
	take(crowd, shortBest, byMerit)
	for p := range AllPriorities() {
		take(crowd, shortEach, func(a, b sampled) int {
			return cmp.Or(cmp.Compare(a.grade, b.grade), cmp.Compare(a.values[p], b.values[p]), byMerit(a, b))
		})
	}
	take(crowd, shortFree, byCost)
	var standing []sampled
	for _, d := range crowd {
		if d.face != nil && d.stands {
			standing = append(standing, d)
		}
	}
	take(standing, shortStable, byMerit)
	return distinct(short)
}

func byCost(a, b sampled) int {
	return cmp.Or(cmp.Compare(a.cost, b.cost), compareVec(a.up, b.up))
}

// byMerit orders by grade first, then by what is missed and what it costs together.
func byMerit(a, b sampled) int {
	return cmp.Or(cmp.Compare(a.grade, b.grade), cmp.Compare(a.weight+a.cost, b.weight+b.cost), byCost(a, b))
}

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
	pool, readings := make([]Candidate, len(short)), make([]reading, len(short))
	err := each(ctx, s.study.middle, s.brief, len(short), func(g *gauge, i int) {
		pose := s.brief.poseToFit(short[i].up, g.subject.hull, s.oversize)
		r, ok := s.known.short[shortKey{pose, short[i].face}]
		if !ok {
			r = g.readFace(pose, shortListLines, short[i].face)
		}
		readings[i], pool[i] = r, s.candidate(r, FromSearch)
	}, func(done int) { s.tell(stageShortList, float64(done)/float64(len(short)), nil) })
	if err != nil {
		return nil, err
	}
	if s.known.short == nil {
		s.known.short = map[shortKey]reading{}
	}
	for i, r := range readings {
		s.known.short[shortKey{r.pose, short[i].face}] = r
	}
	pool = s.ranked(pool)
	leaders := pool[:min(len(pool), s.brief.Candidates)]
	s.study.namePoses(leaders)
	s.tell(stageShortList, 1, leaders)
	return pool, nil
}

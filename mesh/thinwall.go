package mesh

import (
	"cmp"
	"context"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

const (
	// alsoThin is how much thicker than the thinnest another thin wall may be to be
	// told too.
	alsoThin = 1.3
	// thinReach bounds the walls that are sought closely, mm (judgement: far more
	// than any nozzle or record asks for).
	thinReach = 8
	// thinSamples bounds the places from which they are sought, perMM2 how many are
	// taken of each mm2, and gridWork the facets looked at on the way.
	thinSamples = 1 << 16
	perMM2      = 1
	gridWork    = 5e6
	// noWall is below any wall: two faces of the file that lie on each other, mm.
	noWall = 1e-3
	// mostTrials bounds the places that are tried for being a wall, and
	// mostThickTrials those of them where it would be beyond thinReach.
	mostTrials      = 1500
	mostThickTrials = 32
)

// thinnest seeks the thinnest walls: first roughly, which bounds how far the close
// look has to reach.
func (s *wallSurvey) thinnest(ctx context.Context, thickest Wall) ([]Wall, error) {
	walls, err := s.thinWalls(ctx, s.chords)
	if err != nil {
		return nil, err
	}
	reach := min(thinReach, barelyMore*thickest.MM)
	if len(walls) > 0 {
		reach = min(reach, alsoThin*walls[0].MM)
	}
	n := min(thinSamples, gridWork/s.load(), max(wallSamples, perMM2*s.mesh.Area()))
	places := append(spreadOver(s.mesh, int(n/2)), onEachFacet(s.mesh, int(n/2))...)
	chords, err := s.caliper.chords(ctx, places, reach)
	if err != nil {
		return nil, err
	}
	if close, err := s.thinWalls(ctx, chords); err != nil {
		return nil, err
	} else if len(close) > 0 {
		walls = thinnestOf(append(close, walls...))
	}
	if len(walls) == 0 || walls[0].MM > barelyMore*thickest.MM {
		return []Wall{thickest}, nil
	}
	return walls, nil
}

// load is how many facets a cell of the grid holds where it holds any.
func (g *facetGrid) load() float64 {
	used := 0
	for c := range len(g.first) - 1 {
		if g.first[c] != g.first[c+1] {
			used++
		}
	}
	return float64(len(g.list)) / float64(max(used, 1))
}

// thinWalls tries the chords, shortest first, for being across a wall, and gives the
// thinnest of these.
func (s *wallSurvey) thinWalls(ctx context.Context, chords []chord) ([]Wall, error) {
	short := make([]chord, 0, len(chords))
	for _, c := range chords {
		if c.length > noWall && c.facing >= thinFacing {
			short = append(short, c)
		}
	}
	slices.SortStableFunc(short, func(a, b chord) int { return cmp.Compare(a.length, b.length) })
	t := thinTrials{short: short, tried: map[[3]int32][]chord{}}
	const atOnce = 16
	for trials := 0; trials < mostTrials; {
		batch := t.next(min(atOnce, mostTrials-trials))
		if len(batch) == 0 {
			break
		}
		found := make([]Wall, len(batch))
		err := inBatches(ctx, len(batch), 1, func(i, _ int) { found[i] = s.thinWall(batch[i]) })
		if err != nil {
			return nil, err
		}
		for _, w := range found {
			if w.MM > 0 {
				t.walls = thinnestOf(append(t.walls, w))
			}
		}
		trials += len(batch)
	}
	return t.walls, nil
}

// thinTrials goes through chords, shortest first.
type thinTrials struct {
	short []chord
	tried map[[3]int32][]chord // by cubes of samePlace
	walls []Wall               // found so far
	thick int                  // how many beyond thinReach were tried
}

// samePlace is how near, mm, a chord that is hardly longer than one that was tried
// is across the same.
const (
	samePlace    = 0.5
	hardlyLonger = 1.25
)

// next gives the next chords to try: none that can be no better than a wall known.
func (t *thinTrials) next(most int) (batch []chord) {
	for len(t.short) > 0 && len(batch) < most {
		c := t.short[0]
		if len(t.walls) > 0 && (c.length > alsoThin*t.walls[0].MM || len(t.walls) == mostWalls) {
			return batch
		}
		if c.length > thinReach && t.thick == mostThickTrials {
			return batch
		}
		t.short = t.short[1:]
		if (Wall{Normals: []r3.Vec{c.along}}).alike(t.walls) || t.wasTried(c) {
			continue
		}
		if c.length > thinReach {
			t.thick++
		}
		key := cubeOf(c.middle)
		t.tried[key] = append(t.tried[key], c)
		batch = append(batch, c)
	}
	return batch
}

func cubeOf(p r3.Vec) (key [3]int32) {
	for a := range key {
		key[a] = int32(math.Floor(component(p, a) / samePlace))
	}
	return key
}

// wasTried reports whether a chord across the same place was tried.
func (t *thinTrials) wasTried(c chord) bool {
	key := cubeOf(c.middle)
	for i := range int32(27) {
		for _, o := range t.tried[[3]int32{key[0] + i%3 - 1, key[1] + i/3%3 - 1, key[2] + i/9 - 1}] {
			if c.length < hardlyLonger*o.length && r3.Norm(r3.Sub(c.middle, o.middle)) < samePlace &&
				math.Abs(r3.Dot(c.along, o.along)) > sameWay {
				return true
			}
		}
	}
	return false
}

// thinnestOf sorts walls by thickness and leaves out those that are no thinner than
// another one whatever is done to the size of the part along some axes.
func thinnestOf(walls []Wall) []Wall {
	slices.SortStableFunc(walls, func(a, b Wall) int { return cmp.Compare(a.MM, b.MM) })
	var kept []Wall
	for _, w := range walls {
		if w.MM > alsoThin*walls[0].MM || len(kept) == mostWalls {
			break
		}
		if !w.alike(kept) {
			kept = append(kept, w)
		}
	}
	return kept
}

// alike reports whether all that bounds w is also across one of the walls given.
func (w Wall) alike(walls []Wall) bool {
	for _, n := range w.Normals {
		across := func(o Wall) bool {
			return slices.ContainsFunc(o.Normals, func(p r3.Vec) bool { return math.Abs(r3.Dot(n, p)) > sameWay })
		}
		if !slices.ContainsFunc(walls, across) {
			return false
		}
	}
	return true
}

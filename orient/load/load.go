package load

import (
	"context"
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// Kind is a part of which copies are laid out.
type Kind struct {
	Outline Outline
	// Copies is how many are wanted; what does not fit is left out, and counted.
	Copies int
	// MassG is what one weighs, for Request.RunMassG.
	MassG float64
}

// Request is what is to be laid out.
type Request struct {
	// Size is the bed, X and Y; GapMM is kept between parts, not towards the rim.
	Size  r2.Vec
	GapMM float64
	Kinds []Kind
	// Beds is how many beds there are at most; 0 is as many as are needed.
	Beds int
	// RunBeds is how many beds go into one run, 0 takes 1, and RunMassG what they may
	// carry together; 0 is any mass.
	RunBeds  int
	RunMassG float64
}

// Placement is one part in its place: its outline turned counter-clockwise about the
// origin of its frame and moved to At, from the middle of the bed.
type Placement struct {
	Kind    int
	Bed     int // from 0
	TurnDeg float64
	At      r2.Vec
}

// Layout is where everything stands.
type Layout struct {
	// Placements are by beds, and within one from its lower left corner on.
	Placements []Placement
	// Beds is how many beds are taken.
	Beds int
	// Placed is how many of each kind have a place.
	Placed []int
	// Used is the share of each bed that is covered.
	Used []float64
}

// mostPieces bounds a load to what a person could still set up (judgement).
const mostPieces = 2000

// Arrange lays out parts on as few beds as it finds. Only a request that makes no sense
// and a cancelled context are errors.
func Arrange(ctx context.Context, q Request) (*Layout, error) {
	if err := q.check(); err != nil {
		return nil, err
	}
	w, err := newWorkshop(ctx, &q)
	if err != nil {
		return nil, err
	}
	best, err := w.search(ctx)
	if err != nil {
		return nil, err
	}
	return best, verify(ctx, &q, best)
}

func (q *Request) check() error {
	if !(q.Size.X > 0 && q.Size.Y > 0) || !(q.GapMM >= 0) || math.IsInf(q.Size.X+q.Size.Y+q.GapMM, 0) {
		return fmt.Errorf("load: a bed of %g x %g mm with a gap of %g mm cannot be laid out", q.Size.X, q.Size.Y, q.GapMM)
	}
	pieces := 0
	for i, k := range q.Kinds {
		if len(k.Outline.Edges) == 0 {
			return fmt.Errorf("load: part %d covers nothing, seen from above", i+1)
		}
		if k.Copies < 0 || !(k.MassG >= 0) {
			return fmt.Errorf("load: part %d: %d copies of %g g", i+1, k.Copies, k.MassG)
		}
		pieces += k.Copies
	}
	if pieces > mostPieces {
		return fmt.Errorf("load: %d parts are more than the %d that are laid out at once; ask for fewer copies", pieces, mostPieces)
	}
	return nil
}

// errUnsound is a fault of this package: a layout that does not keep what was asked for.
var errUnsound = errors.New("load: the layout found does not keep the gap; please report it with the parts")

// verify checks a layout edge against edge, without any raster.
func verify(ctx context.Context, q *Request, l *Layout) error {
	beds := make([]*bed, l.Beds)
	for i := range beds {
		beds[i] = &bed{size: q.Size, gap: q.GapMM}
	}
	for i, p := range l.Placements {
		if i%16 == 0 && ctx.Err() != nil {
			return ctx.Err()
		}
		b := beds[p.Bed]
		o := q.Kinds[p.Kind].Outline.Placed(p.TurnDeg, p.At)
		if !b.clear(o) {
			return errUnsound
		}
		b.pieces = append(b.pieces, laid{p, o, o.Bounds()})
	}
	return nil
}

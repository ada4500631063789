package process

import (
	"errors"
	"fmt"
	"math"
	"time"

	"gonum.org/v1/gonum/spatial/r3"
)

// Across says between what a length was measured.
type Across int

// The two ways of measuring a length. Along an axis they are the same; aslant
// they differ, since the furnace turns faces another way than it turns lines.
const (
	// Faces is the distance of two parallel faces, as the jaws of a calliper
	// take it.
	Faces Across = iota
	// Points is the distance of two points: between the middles of two bores, or
	// along an edge.
	Points
)

// Reading is one dimension of a part, measured green and again as it came out of
// the furnace. It is plain data.
type Reading struct {
	// Firing tells readings of one firing from those of another: what was in the
	// furnace together has the same.
	Firing string
	// Name is what the dimension is called; for messages only.
	Name string
	// Date is the day of the firing; the zero time leaves it out of the drift.
	Date time.Time
	// Direction is the direction of the dimension on the finished part, turned
	// into the print frame (that is, before oversizing): of the line for Points,
	// of the normal for Faces. Its length and sign do not matter.
	Direction r3.Vec
	Across    Across
	// GreenMM and SinteredMM are what was measured.
	GreenMM, SinteredMM float64
	// GreenErrorMM and SinteredErrorMM are the standard uncertainty of each by the
	// instrument (one standard deviation); above 0.
	GreenErrorMM, SinteredErrorMM float64
	// LeftOut keeps the reading out of the fit.
	LeftOut bool
}

// What a reading may show without being taken for a slip: shrinkage along it.
// Judgement; wider than any record.
const (
	leastSeen = -0.05
	mostSeen  = 0.5
)

// ShrinkageSeen is what the reading alone shows along its direction,
// (green - sintered)/green; NaN where it was not measured.
func (r Reading) ShrinkageSeen() float64 {
	if !(r.GreenMM > 0 && r.SinteredMM > 0) {
		return math.NaN()
	}
	return 1 - r.SinteredMM/r.GreenMM
}

// Check says in a sentence why the reading cannot be fitted; nil when it can.
func (r Reading) Check() error {
	n := r3.Norm(r.Direction)
	switch {
	case !(r.GreenMM > 0) || math.IsInf(r.GreenMM, 0):
		return errors.New("the green length is missing; measure the green part before it goes into the furnace")
	case !(r.SinteredMM > 0) || math.IsInf(r.SinteredMM, 0):
		return errors.New("the sintered length is missing")
	case !(r.GreenErrorMM > 0 && r.SinteredErrorMM > 0) || math.IsInf(r.GreenErrorMM+r.SinteredErrorMM, 0):
		return errors.New("the standard uncertainty of the instrument must be above 0; give about 0.02 mm for a calliper in careful hands")
	case !(n > 0) || math.IsInf(n, 0):
		return errors.New("its direction points nowhere; give it in the print frame, such as 0,0,1 for the build direction")
	case r.Across != Faces && r.Across != Points:
		return errors.New("it is not said between what it was measured; give faces or points")
	}
	if s := r.ShrinkageSeen(); s < leastSeen || s > mostSeen {
		return fmt.Errorf("%g mm green and %g mm sintered is a shrinkage of %.0f %%; were the two swapped or is one mistyped?", r.GreenMM, r.SinteredMM, 100*s)
	}
	return nil
}

// ratio gives the sintered over the green length along the finished direction n
// (unit) at the shrinkage s, and what it loses for each unit of shrinkage of an
// axis.
//
// A point x of the green part goes to D x, D = diag(1-s). Two faces with the
// finished normal n lie c apart when n.(D x) = c, that is (D n).x = c on the green
// part, where they lie c/|D n| apart: the ratio is |D n|. Two points whose finished
// distance is f n had D^-1 f n between them: the ratio is 1/|D^-1 n|.
func ratio(a Across, n, s [3]float64) (r float64, loss [3]float64) {
	var sum float64
	if a == Points {
		for k, c := range n {
			sum += c * c / ((1 - s[k]) * (1 - s[k]))
		}
		r = 1 / math.Sqrt(sum)
		for k, c := range n {
			left := 1 - s[k]
			loss[k] = r * r * r * c * c / (left * left * left)
		}
		return r, loss
	}
	for k, c := range n {
		sum += c * c * (1 - s[k]) * (1 - s[k])
	}
	r = math.Sqrt(sum)
	for k, c := range n {
		loss[k] = c * c * (1 - s[k]) / r
	}
	return r, loss
}

// direction is the unit direction as an array.
func (r Reading) direction() [3]float64 {
	n := r3.Unit(r.Direction)
	return [3]float64{n.X, n.Y, n.Z}
}

// line is the reading about the shrinkage s: what is seen beyond s along its
// direction, what each axis has in it, and the variance by the instrument. That is
// taken at the ratio expected and not at the one read, which would give most
// weight to what happened to be read short.
func (r Reading) line(s [3]float64) row {
	expected, loss := ratio(r.Across, r.direction(), s)
	a, b := r.SinteredErrorMM/r.GreenMM, expected*r.GreenErrorMM/r.GreenMM
	return row{x: loss, y: expected - r.SinteredMM/r.GreenMM, instrument: a*a + b*b}
}

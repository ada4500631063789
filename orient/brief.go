package orient

import (
	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/orient/furnace"
	"kilnpoise/orient/mark"
	"kilnpoise/orient/process"
	"kilnpoise/orient/support"
)

// Brief is what the user needs: the process, the priorities and the directions
// that must be measured besides those the search finds.
type Brief struct {
	Material process.Material
	Printer  process.Printer
	Furnace  process.Furnace
	// OtherPrinters and OtherFurnaces are what else is at hand: one that fits is
	// named where the chosen one does not.
	OtherPrinters []process.Printer
	OtherFurnaces []process.Furnace
	// Priorities weigh what the user cares for; the zero value means the
	// defaults of DefaultPriorities.
	Priorities Priorities
	// Marks is what matters on the part.
	Marks mark.Marks
	// Cutter takes supports out in the green state; the zero value means
	// DefaultCutter.
	Cutter support.Cutter
	// Directions are build directions in the part frame to measure as given,
	// none of them dropped.
	Directions []r3.Vec
	// Candidates is how many the search hands over, beside the as-loaded one
	// and the given ones; 0 means DefaultCandidates.
	Candidates int
	// OnlyGiven leaves out the search: only the given directions and the
	// as-loaded one are measured.
	OnlyGiven bool
	// Coupon holds the arms of the creep coupon, where the part is that: it is printed
	// and fired as loaded, and its sag is wanted.
	Coupon []furnace.Coupon
	// Seed turns the covering of the sphere; the same seed gives the same advice.
	Seed uint64
}

// DefaultCandidates is how many orientations the search hands over: as many as
// a person compares at a glance (judgement).
const DefaultCandidates = 6

// Priority is one thing the user can care for, in the words of the shop.
type Priority int

// The priorities, in the order in which they are shown.
const (
	LessSupport Priority = iota
	TruerDimensions
	LessSag
	ShorterPrint
	SmootherFaces
	StrongerAlongLoad // counts only where a load is marked
	priorityCount
)

// String gives the priority in words for the screen and the sheet.
func (p Priority) String() string {
	return [...]string{
		"less cutting of supports", "truer dimensions", "less sag", "shorter print", "smoother faces", "stronger along the load",
	}[p]
}

// Key gives the name of p in files.
func (p Priority) Key() string {
	return [...]string{"less_support", "truer_dimensions", "less_sag", "shorter_print", "smoother_faces", "stronger_along_load"}[p]
}

// AllPriorities lists the priorities in the order in which they are shown.
func AllPriorities() []Priority {
	all := make([]Priority, priorityCount)
	for i := range all {
		all[i] = Priority(i)
	}
	return all
}

// Priorities holds a weight for each Priority: 0 (never mind) to 5 (above all).
type Priorities [priorityCount]float64

// DefaultPriorities are right for most fittings in this trade (judgement):
// supports become steel, sag spoils a part, time and faces matter less.
func DefaultPriorities() Priorities {
	return Priorities{LessSupport: 4, TruerDimensions: 2, LessSag: 4, ShorterPrint: 1, SmootherFaces: 1, StrongerAlongLoad: 2}
}

// normalised gives the weights scaled to sum to 1.
func (p Priorities) normalised() Priorities {
	var sum float64
	for _, w := range p {
		sum += max(w, 0)
	}
	if sum == 0 {
		return DefaultPriorities().normalised()
	}
	for i, w := range p {
		p[i] = max(w, 0) / sum
	}
	return p
}

package mesh

import (
	"context"
	"fmt"
	"slices"
)

// StepKind names a step of mending. The names are kept in job files and do not
// change.
type StepKind string

// The steps, in the order in which they are taken.
const (
	// DropCollapsed drops facets with a repeated corner. They bound nothing and
	// leave no gap, so that this step cannot be left out.
	DropCollapsed StepKind = "drop collapsed facets"
	// CloseGaps joins corners on open edges that lie within the gap of one another.
	CloseGaps StepKind = "close gaps"
	// DropDoubles takes out copies of facets, and walls stored from both sides.
	DropDoubles StepKind = "drop doubles"
	// TurnFacets turns facets over that face against their neighbours.
	TurnFacets StepKind = "turn facets"
	// DropNeedles exchanges or drops facets without area.
	DropNeedles StepKind = "drop needles"
	// SplitSeams divides facets along open edges that carry corners of others.
	SplitSeams StepKind = "split seams"
	// FillHoles fills small flat holes in a face.
	FillHoles StepKind = "fill holes"
	// DropFins takes off sheets without thickness.
	DropFins StepKind = "drop fins"
	// TurnBodies turns whole bodies over that face inward.
	TurnBodies StepKind = "turn bodies"
	// UniteBodies makes one surface of bodies that run through, lie within or
	// repeat one another, where the winding of all of them shows what is inside.
	UniteBodies StepKind = "unite bodies"
)

// AllSteps lists the steps that may be left out, in the order in which they are
// taken.
func AllSteps() []StepKind {
	return []StepKind{CloseGaps, DropDoubles, TurnFacets, DropNeedles, SplitSeams, FillHoles, DropFins, TurnBodies, UniteBodies}
}

// Step is one thing that mending did to a mesh.
type Step struct {
	Kind StepKind
	// Count is how many corners, facets, holes or bodies it dealt with.
	Count int
	// MovedMM is the farthest that it moved any place of the surface, mm: never
	// more than Health.GapMM. What a step takes out or fills in has not moved.
	MovedMM float64
	// Text says what was done, as in Health.Repairs.
	Text string
}

// MendOptions are the user's say in how a mesh is mended.
type MendOptions struct {
	// Leave are steps not to take; what they would have mended is found and said.
	Leave []StepKind
	// GapMM is the widest gap to close, mm. Less than the rounding of 32-bit
	// coordinates counts as that, so that the zero value closes only gaps that
	// nobody meant.
	GapMM float64
}

// leaves reports whether a step is not to be taken.
func (o *MendOptions) leaves(kind StepKind) bool { return slices.Contains(o.Leave, kind) }

// Mend is MendWith with the zero options.
func Mend(ctx context.Context, m *Mesh) (*Mesh, Health, error) {
	return MendWith(ctx, m, MendOptions{})
}

// MendWith gives a welded and repaired copy of m, and says what was wrong and
// what was done: every step in Health.Steps, none of which moves the surface by
// more than Health.GapMM. m stays as it is, so that a step is undone by mending m
// again without it. What is done leaves the solid that was meant as it is: joining
// gaps, taking out copies, walls and fins without thickness and needles without
// area, turning facets over that face against their neighbours or inward,
// matching the corners on both sides of a seam, filling small flat holes in a
// face, and making one of bodies that run through each other. It takes time linear
// in the facets for meshes that are nearly sound, and stops with ctx.Err().
//
// Not done: closing large or curved holes, joining rims farther apart than the
// gap, and guessing at surfaces whose winding shows no inside. What is left is
// said in Health.Findings, with the measures that stay right.
func MendWith(ctx context.Context, m *Mesh, o MendOptions) (*Mesh, Health, error) {
	return mendWithin(ctx, m, o, room{})
}

// mendWithin is MendWith that refuses a surface in more pieces than there is room
// for.
func mendWithin(ctx context.Context, m *Mesh, o MendOptions, left room) (*Mesh, Health, error) {
	welded, err := weld(ctx, m)
	if err != nil {
		return nil, Health{}, err
	}
	r := &mender{ctx: ctx, o: o, room: left, m: welded}
	steps := []func() error{
		r.begin, r.joinCracks, r.dropDoubles, r.turnFacets, r.dropNeedles,
		r.splitSeams, r.closeGaps, r.fillHoles, r.dropFins, r.checkSolid, r.settleShells, r.uniteBodies, r.report,
	}
	for _, step := range steps {
		if err := ctx.Err(); err != nil {
			return nil, Health{}, err
		}
		if err := step(); err != nil {
			return nil, Health{}, err
		}
	}
	return r.m, r.health, nil
}

// did enters a step that was taken.
func (r *mender) did(kind StepKind, count int, moved float64, format string, args ...any) {
	text := fmt.Sprintf(format, args...)
	r.health.Steps = append(r.health.Steps, Step{Kind: kind, Count: count, MovedMM: moved, Text: text})
	r.health.Repairs = append(r.health.Repairs, text)
}

package support

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"kilnpoise/mesh"
)

// BodyKind says what a body is for.
type BodyKind uint8

// The kinds of body.
const (
	SupportBody BodyKind = iota // printed with the part, and cut or sawn off
	BlockBody                   // printed by itself, carries the part in the furnace
	RaftBody                    // printed below the part
)

// String gives the kind in words.
func (k BodyKind) String() string { return [...]string{"support", "block", "raft"}[k] }

// Body is something to be exported with the part, in the frame of the site: a
// closed mesh that meets neither itself nor the part nor another body of its
// kind. It may consist of several pieces.
type Body struct {
	// Name is the kind and a number from 1, as "support 2"; a raft has none.
	Name string
	Kind BodyKind
	// Item is the index of its region in the plan; -1 for a raft or a block of the
	// user's own.
	Item int
	Mesh *mesh.Mesh
	// VolumeMM3 is that of the mesh, MassG and TimeS what printing it costs by the
	// plan's limits; TimeS is 0 where these give no speed.
	VolumeMM3, MassG, TimeS float64
}

// BodySettings say how bodies are made.
type BodySettings struct {
	// WallMM is the thickness of the walls of supports, and the step of the rim of
	// blocks. The lattice divides the part's box evenly, so it comes out a little
	// thinner or thicker.
	WallMM float64
	// GapZMM and GapXYMM are kept between support and part, above and below, and
	// sideways; 0 lets them touch. KeepGapZMM takes the place of GapZMM for support
	// that is kept through the furnace: it carries only where it touches, and less
	// than half a layer closes in the print. BlockGapMM is kept all round a block.
	GapZMM, GapXYMM, KeepGapZMM, BlockGapMM float64
	// LeastMM is the least height of a body; what is lower is left to bridging.
	LeastMM float64
	// RaftMM is the thickness of the raft, RaftGapMM what is kept between it and
	// the plate's plane, on which the part and its supports stand, and
	// RaftMarginMM how far it reaches out.
	RaftMM, RaftGapMM, RaftMarginMM float64
}

// DefaultBodySettings gives figures to begin with (judgement): two lines wide, two
// layers apart.
func DefaultBodySettings() BodySettings {
	return BodySettings{
		WallMM: 0.8, GapZMM: 0.3, GapXYMM: 0.5, KeepGapZMM: 0.04, BlockGapMM: 0.3, LeastMM: 0.3,
		RaftMM: 1.2, RaftGapMM: 0.2, RaftMarginMM: 3,
	}
}

// gapZ is the gap up and down under an item.
func (b *BodySettings) gapZ(t *Item) float64 {
	if t.Advice == PrintAndKeep {
		return b.KeepGapZMM
	}
	return b.GapZMM
}

// ErrTooWide is returned for walls so thin that the lattice of them under the
// part is too large.
var ErrTooWide = errors.New("support: the walls are too thin for a part of this size; make them thicker")

// validate says in words what is wrong with the settings.
func (b BodySettings) validate(s *Stance) error {
	for _, v := range []struct {
		name  string
		value float64
		above bool
	}{
		{"wall", b.WallMM, true}, {"least height", b.LeastMM, true}, {"gap up and down", b.GapZMM, false},
		{"gap of support that is kept", b.KeepGapZMM, false}, {"gap sideways", b.GapXYMM, false}, {"gap of a block", b.BlockGapMM, false},
	} {
		if !(v.value >= 0 && v.value < 1e4) || v.above && v.value == 0 {
			return fmt.Errorf("support: %s of %g mm cannot be used", v.name, v.value)
		}
	}
	if (s.Hi.X-s.Lo.X)*(s.Hi.Y-s.Lo.Y) > mostCells*b.WallMM*b.WallMM {
		return ErrTooWide
	}
	return nil
}

// SupportBodies builds the support of the items of the plan that choose says true
// of; where it is nil, of those whose support the plan prints. Items under which
// nothing has room give no body.
func (s *Site) SupportBodies(ctx context.Context, p *Plan, b BodySettings, choose func(item int) bool) ([]Body, error) {
	var jobs []job
	var items []int
	for n := range p.Items {
		if t := &p.Items[n]; choose == nil && t.Prints || choose != nil && choose(n) {
			jobs = append(jobs, job{facets: t.Region.Facets, gapZ: b.gapZ(t), gapXY: b.GapXYMM})
			items = append(items, n)
		}
	}
	return s.build(ctx, p, b, jobs, func(n int) (BodyKind, int) { return SupportBody, items[n] })
}

// Blocks builds a shaped block under the items of the plan that choose says true
// of; where it is nil, under those that the plan sets on one. They stand on the plate's plane, are of the
// green size, and shrink with the part when they are printed the way they stand.
// Where other support is kept through the furnace they leave it room.
func (s *Site) Blocks(ctx context.Context, p *Plan, b BodySettings, choose func(item int) bool) ([]Body, error) {
	var jobs []job
	var items []int
	for n := range p.Items {
		t := &p.Items[n]
		switch {
		case choose == nil && t.Advice == SetterBlock || choose != nil && choose(n):
			jobs = append(jobs, job{facets: t.Region.Facets, gapZ: b.BlockGapMM, gapXY: b.BlockGapMM, solid: true, grounded: true})
			items = append(items, n)
		case t.Advice == PrintAndKeep: // first, so that blocks give way; not handed out
			jobs = append([]job{{facets: t.Region.Facets, gapZ: b.gapZ(t), gapXY: b.GapXYMM, solid: true}}, jobs...)
			items = append([]int{-1}, items...)
		}
	}
	bodies, err := s.build(ctx, p, b, jobs, func(n int) (BodyKind, int) { return BlockBody, items[n] })
	var out []Body
	for _, body := range bodies {
		if body.Item >= 0 {
			body.Name = fmt.Sprintf("%v %d", BlockBody, len(out)+1)
			out = append(out, body)
		}
	}
	return out, err
}

// BlockUnder builds a block whose top follows the underside of the given faces,
// where these look down and the plate is below; no facet of the block's mesh
// where nothing has room.
func (s *Site) BlockUnder(ctx context.Context, p *Plan, b BodySettings, facets []int32) (Body, error) {
	jobs := []job{{facets: facets, gapZ: b.BlockGapMM, gapXY: b.BlockGapMM, solid: true, grounded: true}}
	bodies, err := s.build(ctx, p, b, jobs, func(int) (BodyKind, int) { return BlockBody, -1 })
	if err != nil || len(bodies) == 0 {
		return Body{Name: "block", Kind: BlockBody, Item: -1, Mesh: &mesh.Mesh{}}, err
	}
	return bodies[0], nil
}

// build makes the bodies of the jobs.
func (s *Site) build(ctx context.Context, p *Plan, b BodySettings, jobs []job, of func(job int) (BodyKind, int)) ([]Body, error) {
	if err := b.validate(s.Stance); err != nil {
		return nil, err
	}
	if len(jobs) == 0 {
		return nil, ctx.Err()
	}
	k, err := s.newCrate(ctx, jobs, b.WallMM, b.LeastMM)
	if err != nil {
		return nil, err
	}
	periods := make([]int, len(jobs))
	for n := range jobs {
		periods[n] = cratePeriod(p.Limits.SupportDensity, max(k.lines.DX, k.lines.DY), p.Limits.BridgeSpanMM)
	}
	k.weave(periods)
	t, err := k.knit(ctx)
	if err != nil {
		return nil, err
	}
	var out []Body
	for n := range jobs {
		body := Body{Mesh: t.skin(int32(n))}
		if len(body.Mesh.Facets) == 0 {
			continue
		}
		body.Kind, body.Item = of(n)
		body.Name = fmt.Sprintf("%v %d", body.Kind, len(out)+1)
		p.weigh(&body)
		out = append(out, body)
	}
	return out, nil
}

// Weighed gives the plan with mass and time of its printed supports by the bodies that
// are built for them, in place of the estimate from the envelope. Of the items left out
// no bodies are built: they keep what they had, and are not in the sums. p itself is not
// changed.
func (p *Plan) Weighed(bodies []Body, left []int) *Plan {
	out := *p
	out.Items = slices.Clone(p.Items)
	out.MassG, out.TimeS = 0, 0
	for i := range out.Items {
		if !slices.Contains(left, i) {
			out.Items[i].MassG, out.Items[i].TimeS = 0, 0
		}
	}
	for i := range bodies {
		b := &bodies[i]
		if b.Kind != SupportBody || b.Item < 0 || b.Item >= len(out.Items) {
			continue
		}
		out.Items[b.Item].MassG += b.MassG
		out.Items[b.Item].TimeS += b.TimeS
		out.MassG += b.MassG
		out.TimeS += b.TimeS
	}
	return &out
}

// weigh fills in what a body costs.
func (p *Plan) weigh(b *Body) {
	b.VolumeMM3 = b.Mesh.Volume()
	b.MassG = b.VolumeMM3 / 1000 * p.Limits.GreenDensityGCM3
	if p.Limits.DepositMM3S > 0 {
		b.TimeS = b.VolumeMM3 / p.Limits.DepositMM3S
	}
}

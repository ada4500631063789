package mark

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
)

// AddStock gives the part with the stock on its faces: facets and their order stay,
// their corners move. A flat goes outward; a bore becomes smaller, a pin larger.
// What joins the face goes on in its own plane up to where the face is now; only
// what runs on from it almost smoothly, as a fillet does, gives way. Where that does
// not work out, as at narrow ledges, the face goes straight out and all that joins it
// gives way. Stock that would fold the surface or make it cross itself either way is
// refused, with a sentence.
func AddStock(ctx context.Context, m *mesh.Mesh, stock []Stock) (*mesh.Mesh, error) {
	if len(stock) == 0 {
		return m, nil
	}
	b := newStockBuilder(m)
	for i := range stock {
		if err := b.ask(&stock[i], i); err != nil {
			return nil, err
		}
	}
	out, err := b.try(ctx, false)
	if err != nil && ctx.Err() == nil {
		out, err = b.try(ctx, true)
	}
	return out, err
}

// try moves the corners, straight out or within the planes of what joins the faces.
func (b *stockBuilder) try(ctx context.Context, straight bool) (*mesh.Mesh, error) {
	out, err := b.move(straight)
	if err != nil {
		return nil, err
	}
	if err := b.check(ctx, out); err != nil {
		return nil, err
	}
	return out, nil
}

// stockBuilder moves the corners of the faces with stock.
type stockBuilder struct {
	m     *mesh.Mesh
	stock []Stock
	of    []int32           // by facet: number of its stock from 1, 0 for none
	wants map[int32][]wish  // by vertex
	round map[int32][]int32 // facets around the vertices that move
}

// wish is how far a vertex has to go along a direction.
type wish struct {
	along r3.Vec
	mm    float64
	stock int
}

func newStockBuilder(m *mesh.Mesh) *stockBuilder {
	return &stockBuilder{m: m, of: make([]int32, len(m.Facets)), wants: map[int32][]wish{}, round: map[int32][]int32{}}
}

// name tells one stock in a sentence.
func (b *stockBuilder) name(i int) string { return called("stock", i, b.stock[i].Name) }

// ask notes where the corners of one face have to go.
func (b *stockBuilder) ask(s *Stock, number int) error {
	b.stock = append(b.stock, *s)
	if s.On.Round && s.On.Bore.Inside && s.MM >= s.On.Bore.DiameterMM/2 {
		return fmt.Errorf("%s: %g mm close the bore of %.2f mm; give less", b.name(number), s.MM, s.On.Bore.DiameterMM)
	}
	seen := map[int32]bool{}
	for _, f := range s.On.Facets {
		if b.of[f] != 0 {
			return fmt.Errorf("%s lies on the same face as %s", b.name(number), b.name(int(b.of[f])-1))
		}
		b.of[f] = int32(number + 1)
		for _, v := range b.m.Facets[f] {
			if seen[v] {
				continue
			}
			seen[v] = true
			b.wants[v] = append(b.wants[v], wish{along: s.On.outward(b.m.Vertices[v]), mm: s.MM, stock: number})
		}
	}
	return nil
}

// outward gives the direction out of the material at a point of the feature.
func (f *Feature) outward(p r3.Vec) r3.Vec {
	if !f.Round {
		return f.Plane.Normal
	}
	d := r3.Sub(p, f.Bore.At)
	d = r3.Unit(r3.Sub(d, r3.Scale(r3.Dot(d, f.Bore.Axis), f.Bore.Axis)))
	if f.Bore.Inside {
		return r3.Scale(-1, d)
	}
	return d
}

// move gives the mesh with its corners moved.
func (b *stockBuilder) move(straight bool) (*mesh.Mesh, error) {
	clear(b.round)
	for i, f := range b.m.Facets {
		for _, v := range f {
			if _, ok := b.wants[v]; ok {
				b.round[v] = append(b.round[v], int32(i))
			}
		}
	}
	out := b.m.Clone()
	for _, v := range b.corners() {
		wants := b.wants[v]
		by, err := b.way(v, wants, straight)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", b.name(wants[0].stock), err)
		}
		out.Vertices[v] = r3.Add(out.Vertices[v], by)
	}
	return out, nil
}

// corners gives the vertices that move, in order.
func (b *stockBuilder) corners() []int32 { return slices.Sorted(maps.Keys(b.wants)) }

const (
	smoothDeg  = 20 // what bends less runs on from the face
	mostAside  = 4  // times the stock that a corner may move
	firm, weak = 1e3, 1e-3
)

// errAside is for a corner that would have to move far off, or cannot do all that it
// has to.
var errAside = errors.New("what lies beside the face leaves no room for it to grow: mark another face, or draw the stock on the part")

// way gives how a vertex moves: as far along each direction as it has to, and, not
// straight, within the planes of the facets around that have no stock, as far as
// these agree; the least of such moves.
func (b *stockBuilder) way(v int32, wants []wish, straight bool) (r3.Vec, error) {
	var rows []float64
	var rhs []float64
	add := func(n r3.Vec, mm, weight float64) {
		rows = append(rows, weight*n.X, weight*n.Y, weight*n.Z)
		rhs = append(rhs, weight*mm)
	}
	var most float64
	for _, w := range wants {
		add(w.along, w.mm, firm)
		most = max(most, w.mm)
	}
	for _, f := range b.round[v] {
		n := b.m.AreaVector(int(f))
		if b.of[f] != 0 || n == (r3.Vec{}) {
			continue
		}
		if n = r3.Unit(n); !straight && !runsOn(n, wants) {
			add(n, 0, 1)
		}
	}
	add(r3.Vec{X: 1}, 0, weak)
	add(r3.Vec{Y: 1}, 0, weak)
	add(r3.Vec{Z: 1}, 0, weak)
	var x mat.VecDense
	if err := x.SolveVec(mat.NewDense(len(rhs), 3, rows), mat.NewVecDense(len(rhs), rhs)); err != nil {
		return r3.Vec{}, errAside
	}
	by := r3.Vec{X: x.AtVec(0), Y: x.AtVec(1), Z: x.AtVec(2)}
	for _, w := range wants {
		if math.Abs(r3.Dot(by, w.along)-w.mm) > 0.01*w.mm {
			return by, errAside
		}
	}
	if r3.Norm(by) > mostAside*most {
		return by, errAside
	}
	return by, nil
}

// runsOn reports whether a facet goes on from a face almost smoothly.
func runsOn(n r3.Vec, wants []wish) bool {
	for _, w := range wants {
		if r3.Dot(n, w.along) > math.Cos(smoothDeg*math.Pi/180) {
			return true
		}
	}
	return false
}

// check refuses a surface that folds or crosses itself where it did not before.
func (b *stockBuilder) check(ctx context.Context, out *mesh.Mesh) error {
	moved := make([]bool, len(out.Facets))
	for _, v := range b.corners() {
		for _, f := range b.round[v] {
			moved[f] = true
			if b.turnsOver(f, out) {
				return fmt.Errorf("%s would fold the part over at a narrow place, such as a fillet; give less, or draw the stock on the part", b.name(b.near(f)))
			}
		}
	}
	const most = 1000
	pairs, err := out.Crossings(ctx, func(f int32) bool { return moved[f] }, most)
	if err != nil || len(pairs) == 0 {
		return err
	}
	before, err := b.m.Crossings(ctx, func(f int32) bool { return moved[f] }, 1<<20)
	if err != nil {
		return err
	}
	had := map[[2]int32]bool{}
	for _, p := range before {
		had[[2]int32{min(p[0], p[1]), max(p[0], p[1])}] = true
	}
	for _, p := range pairs {
		if !had[[2]int32{min(p[0], p[1]), max(p[0], p[1])}] && b.apart(p) {
			f := p[0]
			if !moved[f] {
				f = p[1]
			}
			return fmt.Errorf("%s would run into another face of the part; give less, or draw the stock on the part", b.name(b.near(f)))
		}
	}
	return nil
}

// apart leaves out of the crossings those of slivers and of facets that meet in a
// corner: beside a sliver they lie across one another by rounding alone, and what
// folds there is found by the way it faces.
func (b *stockBuilder) apart(pair [2]int32) bool {
	for _, v := range b.m.Facets[pair[0]] {
		if slices.Contains(b.m.Facets[pair[1]][:], v) {
			return false
		}
	}
	return b.matters(int(pair[0])) && b.matters(int(pair[1]))
}

// turnsOver reports whether a facet looks the other way on the new mesh. What gives
// way beside a face may come to lean by more than a right angle without that.
func (b *stockBuilder) turnsOver(f int32, out *mesh.Mesh) bool {
	was, is := b.m.AreaVector(int(f)), out.AreaVector(int(f))
	most := 0.0
	if b.of[f] == 0 {
		const leansOver = -0.5
		most = leansOver * r3.Norm(was) * r3.Norm(is)
	}
	return r3.Norm(was) > 0 && r3.Dot(was, is) <= most && b.matters(int(f))
}

// matters leaves out slivers, whose way of facing is chance.
func (b *stockBuilder) matters(f int) bool {
	p, q, r := b.m.Corners(f)
	longest := max(r3.Norm(r3.Sub(q, p)), r3.Norm(r3.Sub(r, q)), r3.Norm(r3.Sub(p, r)))
	const sliver = 1e-3
	return 2*r3.Norm(b.m.AreaVector(f)) > sliver*longest*longest
}

// near gives the number of a stock on or beside a facet.
func (b *stockBuilder) near(f int32) int {
	if b.of[f] > 0 {
		return int(b.of[f]) - 1
	}
	for _, v := range b.m.Facets[f] {
		if w := b.wants[v]; len(w) > 0 {
			return w[0].stock
		}
	}
	return 0
}

// OnStock gives the marks as they are on a mesh with their stock: what has to be
// true is measured anew on the moved corners, and what ends on a face with stock is
// allowed as much, since that is machined off. Given what it gave, it gives the same.
func (m Marks) OnStock(stocked *mesh.Mesh) Marks {
	if len(m.Stock) == 0 {
		return m
	}
	with := map[int32]float64{}
	for _, s := range m.Stock {
		for _, f := range s.On.Facets {
			with[f] = s.MM
		}
	}
	dimensions := make([]Dimension, 0, len(m.Dimensions))
	for _, d := range m.Dimensions {
		dimensions = append(dimensions, d.onStock(stocked, with))
	}
	m.Dimensions = dimensions
	return m
}

// onStock is OnStock for one dimension; with is the stock by facet.
func (d Dimension) onStock(stocked *mesh.Mesh, with map[int32]float64) Dimension {
	was, err := NewDimension(d.What, d.On...)
	if err != nil {
		return d
	}
	var on []Feature
	var stock float64
	for _, f := range d.On {
		if len(f.Facets) > 0 {
			stock += with[f.Facets[0]]
		}
		again, err := FitFeature(stocked, f.Facets, f.Round)
		if err != nil {
			return d
		}
		on = append(on, again)
	}
	is, err := NewDimension(d.What, on...)
	if err != nil {
		return d
	}
	if d.What == Diameter {
		stock *= 2 // it is on both sides
	}
	is.Name, is.ToleranceMM, is.ToleranceDeg, is.StockMM = d.Name, d.ToleranceMM, d.ToleranceDeg, stock
	is.NominalMM, is.NominalDeg = d.NominalMM+is.NominalMM-was.NominalMM, d.NominalDeg+is.NominalDeg-was.NominalDeg
	return is
}

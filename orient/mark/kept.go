package mark

import (
	"errors"
	"fmt"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
)

// Kept is what is marked on a part, told by places on it instead of by numbers of
// facets, so that it outlives the mesh: marks are found again on a part that is
// read anew, also where the file has changed a little. The zero value marks
// nothing. It is a value that is never changed in place: With and Without give new
// ones.
type Kept struct {
	Faces      []KeptFace
	Dimensions []KeptDimension
	Loads      []Load
	Stock      []KeptStock
}

// KeptFace is a marked face: the regions around its seeds, without those around
// others.
type KeptFace struct {
	Kind    Kind
	Name    string
	Seeds   []Seed
	Without []Seed
	// Rings is by how many rows of facets the face is grown; shrunk where negative.
	Rings int
}

// KeptDimension is what has to be true, measured on the faces around its seeds.
type KeptDimension struct {
	Name  string
	What  Characteristic
	Seeds []Seed
	// NominalMM is the finished length; 0 takes what the part measures. ToleranceMM
	// is the deviation allowed either way, or the width of the zone; 0 takes ISO
	// 2768. NominalDeg and ToleranceDeg are those of an angle.
	NominalMM, ToleranceMM   float64
	NominalDeg, ToleranceDeg float64
}

// The angles within which the faces of dimensions are picked: flats are told from
// what joins them by almost any edge; the wall of a bore bends at each of its
// facets.
const (
	FlatWithinDeg = 1
	BoreWithinDeg = 30
)

// WithinDeg gives for each face that c is measured on, in their order, how far it
// may bend at an edge.
func (c Characteristic) WithinDeg() []float64 {
	var out []float64
	for _, round := range c.Features() {
		within := float64(FlatWithinDeg)
		if round {
			within = BoreWithinDeg
		}
		out = append(out, within)
	}
	return out
}

// Empty reports whether nothing is marked.
func (k *Kept) Empty() bool {
	return len(k.Faces)+len(k.Dimensions)+len(k.Loads)+len(k.Stock) == 0
}

// Lost tells of one mark that is not found on a part.
type Lost struct {
	// What names the mark: "face 2", "dimension 1", or by its own name.
	What string
	Err  error
}

// Error says which mark and why.
func (l *Lost) Error() string { return l.What + ": " + l.Err.Error() }

// Unwrap gives the reason.
func (l *Lost) Unwrap() error { return l.Err }

// Find finds the marks on the part that s was made from. Marks that are not found
// are left out, with a Lost each, in order.
func (k *Kept) Find(s *Surface) (Marks, []*Lost) {
	out := Marks{Loads: slices.Clone(k.Loads)}
	var lost []*Lost
	for i := range k.Faces {
		f, err := k.Faces[i].Find(s)
		if err != nil {
			lost = append(lost, &Lost{called("face", i, f.Name), err})
			continue
		}
		out.Faces = append(out.Faces, f)
	}
	for i := range k.Dimensions {
		d, err := k.Dimensions[i].Find(s)
		if err != nil {
			lost = append(lost, &Lost{called("dimension", i, d.Name), err})
			continue
		}
		out.Dimensions = append(out.Dimensions, d)
	}
	for i := range k.Stock {
		f, err := k.Stock[i].Find(s)
		if err != nil {
			lost = append(lost, &Lost{called("stock", i, k.Stock[i].Name), err})
			continue
		}
		out.Stock = append(out.Stock, f)
	}
	return out, lost
}

func called(what string, i int, name string) string {
	if name != "" {
		return fmt.Sprintf("%s %d (%s)", what, i+1, name)
	}
	return fmt.Sprintf("%s %d", what, i+1)
}

// Find gives the marked face on a part.
func (f *KeptFace) Find(s *Surface) (Face, error) {
	out := Face{Kind: f.Kind, Name: f.Name}
	if len(f.Seeds) == 0 {
		return out, errors.New("it holds no place on the part")
	}
	region, err := s.findAll(f.Seeds)
	if err != nil {
		return out, err
	}
	for range f.Rings {
		region = s.Grow(region)
	}
	for range -f.Rings {
		region = s.Shrink(region)
	}
	away, err := s.findAll(f.Without)
	if err != nil {
		return out, err
	}
	if out.Facets = Without(region, away); len(out.Facets) == 0 {
		return out, errors.New("nothing of it is left")
	}
	return out, nil
}

// findAll joins the regions around the seeds.
func (s *Surface) findAll(seeds []Seed) ([]int32, error) {
	in := map[int32]bool{}
	for _, seed := range seeds {
		region, err := s.Find(seed)
		if err != nil {
			return nil, err
		}
		for _, f := range region {
			in[f] = true
		}
	}
	return ascending(in), nil
}

// Find gives the dimension on a part.
func (d *KeptDimension) Find(s *Surface) (Dimension, error) {
	out, err := d.measure(s)
	out.Name, out.ToleranceMM, out.ToleranceDeg = d.Name, d.ToleranceMM, d.ToleranceDeg
	if d.NominalMM > 0 && !d.What.IsZone() {
		out.NominalMM = d.NominalMM
	}
	if d.NominalDeg > 0 && d.What == Angle {
		out.NominalDeg = d.NominalDeg
	}
	return out, err
}

// measure takes the dimension off the part.
func (d *KeptDimension) measure(s *Surface) (Dimension, error) {
	round := d.What.Features()
	if len(d.Seeds) != len(round) {
		return Dimension{What: d.What}, fmt.Errorf("%s needs a place on each of %d faces", d.What, len(round))
	}
	var on []Feature
	for i, seed := range d.Seeds {
		f, err := s.feature(seed, seed.WithinDeg, round[i])
		if err != nil {
			return Dimension{What: d.What}, err
		}
		on = append(on, f)
	}
	return NewDimension(d.What, on...)
}

// SeedOn keeps the face around facet f by the middle of that facet.
func (s *Surface) SeedOn(f int, withinDeg float64) Seed {
	a, b, c := s.mesh.Corners(f)
	return s.SeedOf(f, r3.Scale(1.0/3, r3.Add(a, r3.Add(b, c))), withinDeg)
}

// Mesh gives the mesh that s was made from.
func (s *Surface) Mesh() *mesh.Mesh { return s.mesh }

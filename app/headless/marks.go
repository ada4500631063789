package headless

import (
	"fmt"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
	"kilnpoise/orient/mark"
)

// Marks in a brief file name faces by a point on them, in the frame of the file.
type (
	faceEntry struct {
		Kind      string     `toml:"kind"`
		Name      string     `toml:"name"`
		At        [3]float64 `toml:"at"`
		WithinDeg *float64   `toml:"within_deg"`
	}
	dimensionEntry struct {
		Name        string         `toml:"name"`
		BoreAt      *[3]float64    `toml:"bore_at"`
		Between     *[2][3]float64 `toml:"between"`
		NominalMM   float64        `toml:"nominal_mm"`
		ToleranceMM float64        `toml:"tolerance_mm"`
	}
	loadEntry struct {
		Name  string     `toml:"name"`
		Along [3]float64 `toml:"along"`
	}
)

// The angles at which a face ends: flats and bores are told from what joins them
// by an edge, marked faces may take their fillets along.
const (
	faceWithinDeg = 20
	boreWithinDeg = 30
)

// marks finds what the brief marks on the part.
func (f *briefFile) marks(m *mesh.Mesh) (mark.Marks, error) {
	var out mark.Marks
	if len(f.Faces)+len(f.Dimensions)+len(f.Loads) == 0 {
		return out, nil
	}
	s := mark.NewSurface(m)
	for i, e := range f.Faces {
		face, err := e.find(s)
		if err != nil {
			return out, fmt.Errorf("face no. %d of the brief: %w", i+1, err)
		}
		out.Faces = append(out.Faces, face)
	}
	for i, e := range f.Dimensions {
		d, err := e.find(s, m)
		if err != nil {
			return out, fmt.Errorf("dimension no. %d of the brief: %w", i+1, err)
		}
		out.Dimensions = append(out.Dimensions, d)
	}
	for i, e := range f.Loads {
		along := vector(e.Along)
		if along == (r3.Vec{}) {
			return out, fmt.Errorf("load no. %d of the brief: along needs a direction", i+1)
		}
		out.Loads = append(out.Loads, mark.Load{Name: e.Name, Along: r3.Unit(along)})
	}
	return out, nil
}

func (e faceEntry) find(s *mark.Surface) (mark.Face, error) {
	kind, ok := mark.KindOf(e.Kind)
	if !ok {
		return mark.Face{}, fmt.Errorf("kind %q: give keep_clean, smooth or rests_well", e.Kind)
	}
	within := float64(faceWithinDeg)
	override(&within, e.WithinDeg)
	facets, err := s.Find(mark.Seed{At: vector(e.At), WithinDeg: within})
	return mark.Face{Kind: kind, Name: e.Name, Facets: facets}, err
}

func (e dimensionEntry) find(s *mark.Surface, m *mesh.Mesh) (d mark.Dimension, err error) {
	switch {
	case (e.BoreAt == nil) == (e.Between == nil):
		return d, fmt.Errorf("give either bore_at or between")
	case e.BoreAt != nil:
		d, err = boreAt(s, m, vector(*e.BoreAt))
	default:
		d, err = between(s, m, vector(e.Between[0]), vector(e.Between[1]))
	}
	if err != nil {
		return d, err
	}
	d.Name, d.ToleranceMM = e.Name, e.ToleranceMM
	if e.NominalMM > 0 {
		d.NominalMM = e.NominalMM
	}
	return d, nil
}

func boreAt(s *mark.Surface, m *mesh.Mesh, at r3.Vec) (mark.Dimension, error) {
	facets, err := s.Find(mark.Seed{At: at, WithinDeg: boreWithinDeg})
	if err != nil {
		return mark.Dimension{}, err
	}
	bore, err := mark.FitBore(m, facets)
	return bore.Dimension(), err
}

func between(s *mark.Surface, m *mesh.Mesh, at ...r3.Vec) (mark.Dimension, error) {
	var planes [2]mark.Plane
	for i, p := range at {
		facets, err := s.Find(mark.Seed{At: p, WithinDeg: 1})
		if err != nil {
			return mark.Dimension{}, err
		}
		if planes[i], err = mark.FitPlane(m, facets); err != nil {
			return mark.Dimension{}, err
		}
	}
	return mark.Between(planes[0], planes[1])
}

func vector(v [3]float64) r3.Vec { return r3.Vec{X: v[0], Y: v[1], Z: v[2]} }

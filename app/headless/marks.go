package headless

import (
	"errors"
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

// faceWithinDeg is the angle at which a marked face ends where none is given: it
// takes its fillets along.
const faceWithinDeg = 20

// marks finds what the brief marks on the part.
func (f *briefFile) marks(m *mesh.Mesh) (mark.Marks, error) {
	kept, err := f.kept()
	if err != nil || kept.Empty() {
		return mark.Marks{}, err
	}
	found, lost := kept.Find(mark.NewSurface(m))
	if len(lost) > 0 {
		return found, fmt.Errorf("the brief's %w", lost[0])
	}
	return found, nil
}

// kept gives the marks as the brief tells them.
func (f *briefFile) kept() (mark.Kept, error) {
	var out mark.Kept
	for i, e := range f.Faces {
		face, err := e.kept()
		if err != nil {
			return out, fmt.Errorf("face no. %d of the brief: %w", i+1, err)
		}
		out.Faces = append(out.Faces, face)
	}
	for i, e := range f.Dimensions {
		d, err := e.kept()
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

func (e faceEntry) kept() (mark.KeptFace, error) {
	kind, ok := mark.KindOf(e.Kind)
	if !ok {
		return mark.KeptFace{}, fmt.Errorf("kind %q: give keep_clean, smooth or rests_well", e.Kind)
	}
	within := float64(faceWithinDeg)
	override(&within, e.WithinDeg)
	return mark.KeptFace{Kind: kind, Name: e.Name, Seeds: []mark.Seed{{At: vector(e.At), WithinDeg: within}}}, nil
}

func (e dimensionEntry) kept() (mark.KeptDimension, error) {
	d := mark.KeptDimension{Name: e.Name, NominalMM: e.NominalMM, ToleranceMM: e.ToleranceMM}
	switch {
	case (e.BoreAt == nil) == (e.Between == nil):
		return d, errors.New("give either bore_at or between")
	case e.BoreAt != nil:
		d.Seeds = []mark.Seed{{At: vector(*e.BoreAt), WithinDeg: mark.BoreWithinDeg}}
	default:
		for _, at := range e.Between {
			d.Seeds = append(d.Seeds, mark.Seed{At: vector(at), WithinDeg: mark.FlatWithinDeg})
		}
	}
	return d, nil
}

func vector(v [3]float64) r3.Vec { return r3.Vec{X: v[0], Y: v[1], Z: v[2]} }

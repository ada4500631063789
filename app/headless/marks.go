package headless

import (
	"errors"
	"fmt"
	"math"

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
	// A dimension is measured on a bore, from it to another bore or to a face, or
	// between two faces.
	dimensionEntry struct {
		Name        string         `toml:"name"`
		BoreAt      *[3]float64    `toml:"bore_at"`
		ToBoreAt    *[3]float64    `toml:"to_bore_at"`
		ToFaceAt    *[3]float64    `toml:"to_face_at"`
		Between     *[2][3]float64 `toml:"between"`
		NominalMM   float64        `toml:"nominal_mm"`
		ToleranceMM float64        `toml:"tolerance_mm"`
	}
	angleEntry struct {
		Name         string         `toml:"name"`
		Between      *[2][3]float64 `toml:"between"`
		NominalDeg   float64        `toml:"nominal_deg"`
		ToleranceDeg float64        `toml:"tolerance_deg"`
	}
	flatnessEntry struct {
		Name        string      `toml:"name"`
		At          *[3]float64 `toml:"at"`
		ToleranceMM float64     `toml:"tolerance_mm"`
	}
	parallelismEntry struct {
		Name        string      `toml:"name"`
		At          *[3]float64 `toml:"at"`
		To          *[3]float64 `toml:"to"`
		ToleranceMM float64     `toml:"tolerance_mm"`
	}
	stockEntry struct {
		Name string      `toml:"name"`
		At   *[3]float64 `toml:"at"`
		MM   float64     `toml:"mm"`
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
	printableNames(&kept)
	found, lost := kept.Find(mark.NewSurface(m))
	if len(lost) > 0 {
		return found, fmt.Errorf("the brief's %w", lost[0])
	}
	return found, nil
}

// printableNames makes the names of marks fit for the sheet and the terminal.
func printableNames(k *mark.Kept) {
	for i := range k.Faces {
		k.Faces[i].Name = mesh.PrintableName(k.Faces[i].Name)
	}
	for i := range k.Dimensions {
		k.Dimensions[i].Name = mesh.PrintableName(k.Dimensions[i].Name)
	}
	for i := range k.Loads {
		k.Loads[i].Name = mesh.PrintableName(k.Loads[i].Name)
	}
}

// farthestMM bounds places and sizes of marks: a kilometre is no part, and what is near
// the largest number there is would come out as infinite (judgement).
const farthestMM = 1e6

// withinReach says which mark lies or measures beyond that.
func withinReach(k *mark.Kept) error {
	check := func(name string, seeds []mark.Seed, values ...float64) error {
		for _, s := range seeds {
			values = append(values, s.At.X, s.At.Y, s.At.Z)
		}
		for _, v := range values {
			if !(math.Abs(v) <= farthestMM) {
				return fmt.Errorf("the mark %q has the place or size %g; give up to %g mm", mesh.PrintableName(name), v, float64(farthestMM))
			}
		}
		return nil
	}
	for _, f := range k.Faces {
		if err := check(f.Name, f.Seeds); err != nil {
			return err
		}
	}
	for _, d := range k.Dimensions {
		if err := check(d.Name, d.Seeds, d.NominalMM, d.ToleranceMM, d.NominalDeg, d.ToleranceDeg); err != nil {
			return err
		}
	}
	return nil
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
	var err error
	if out.Dimensions, err = f.dimensions(); err != nil {
		return out, err
	}
	for i, e := range f.Stock {
		if e.At == nil {
			return out, fmt.Errorf("stock no. %d of the brief: give at, a point on the face", i+1)
		}
		out.Stock = append(out.Stock, mark.KeptStock{Name: e.Name, Seed: mark.Seed{At: vector(*e.At)}, MM: e.MM})
	}
	for i, e := range f.Loads {
		along, ok := direction(e.Along)
		if !ok {
			return out, fmt.Errorf("load no. %d of the brief: along needs a direction", i+1)
		}
		out.Loads = append(out.Loads, mark.Load{Name: e.Name, Along: along})
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

// dimensions gives all that has to be true, lengths first.
func (f *briefFile) dimensions() ([]mark.KeptDimension, error) {
	var out []mark.KeptDimension
	for i, e := range f.Dimensions {
		d, err := e.kept()
		if err == nil {
			err = notNegative(d.NominalMM, d.ToleranceMM)
		}
		if err != nil {
			return nil, fmt.Errorf("dimension no. %d of the brief: %w", i+1, err)
		}
		out = append(out, d)
	}
	for i, e := range f.Angles {
		d := mark.KeptDimension{Name: or(e.Name, "angle", i), What: mark.Angle, NominalDeg: e.NominalDeg, ToleranceDeg: e.ToleranceDeg}
		if e.Between == nil {
			return nil, fmt.Errorf("angle no. %d of the brief: give between, a point on each of two faces", i+1)
		}
		if err := notNegative(e.NominalDeg, e.ToleranceDeg); err != nil {
			return nil, fmt.Errorf("angle no. %d of the brief: %w", i+1, err)
		}
		d.Seeds = placesOf(mark.Angle, e.Between[0], e.Between[1])
		out = append(out, d)
	}
	for i, e := range f.Flatness {
		if e.At == nil || e.ToleranceMM < 0 {
			return nil, fmt.Errorf("flatness no. %d of the brief: give at, a point on the face, and a tolerance_mm above 0 or none", i+1)
		}
		out = append(out, mark.KeptDimension{
			Name: or(e.Name, "flatness", i), What: mark.Flatness, Seeds: placesOf(mark.Flatness, *e.At), ToleranceMM: e.ToleranceMM,
		})
	}
	for i, e := range f.Parallelism {
		if e.At == nil || e.To == nil || e.ToleranceMM < 0 {
			return nil, fmt.Errorf("parallelism no. %d of the brief: give at, a point on the face, to, one on the face that it is held against, and a tolerance_mm above 0 or none", i+1)
		}
		out = append(out, mark.KeptDimension{
			Name: or(e.Name, "parallelism", i), What: mark.Parallelism, Seeds: placesOf(mark.Parallelism, *e.At, *e.To), ToleranceMM: e.ToleranceMM,
		})
	}
	return out, nil
}

// or gives a name, or what stands in for one.
func or(name, what string, i int) string {
	if name != "" {
		return name
	}
	return fmt.Sprintf("%s %d", what, i+1)
}

func notNegative(values ...float64) error {
	for _, v := range values {
		if !(v >= 0) {
			return fmt.Errorf("%g: a nominal size and a tolerance are above 0, or left out", v)
		}
	}
	return nil
}

func (e dimensionEntry) kept() (mark.KeptDimension, error) {
	d := mark.KeptDimension{Name: e.Name, NominalMM: e.NominalMM, ToleranceMM: e.ToleranceMM}
	switch {
	case (e.BoreAt == nil) == (e.Between == nil):
		return d, errors.New("give either bore_at or between")
	case e.BoreAt == nil && (e.ToBoreAt != nil || e.ToFaceAt != nil), e.ToBoreAt != nil && e.ToFaceAt != nil:
		return d, errors.New("to_bore_at or to_face_at, one of them, goes with bore_at")
	case e.Between != nil:
		d.What, d.Seeds = mark.Distance, placesOf(mark.Distance, e.Between[0], e.Between[1])
	case e.ToBoreAt != nil:
		d.What, d.Seeds = mark.BoreToBore, placesOf(mark.BoreToBore, *e.BoreAt, *e.ToBoreAt)
	case e.ToFaceAt != nil:
		d.What, d.Seeds = mark.BoreToFace, placesOf(mark.BoreToFace, *e.BoreAt, *e.ToFaceAt)
	default:
		d.What, d.Seeds = mark.Diameter, placesOf(mark.Diameter, *e.BoreAt)
	}
	return d, nil
}

// placesOf keeps the faces of a dimension by points on them.
func placesOf(what mark.Characteristic, at ...[3]float64) []mark.Seed {
	var out []mark.Seed
	for i, within := range what.WithinDeg() {
		out = append(out, mark.Seed{At: vector(at[i]), WithinDeg: within})
	}
	return out
}

// direction gives a vector the length one, however long or short it is; false where it
// points nowhere.
func direction(v [3]float64) (r3.Vec, bool) {
	largest := max(math.Abs(v[0]), math.Abs(v[1]), math.Abs(v[2]))
	if !(largest > 0) || math.IsInf(largest, 0) {
		return r3.Vec{}, false
	}
	for i := range v {
		v[i] /= largest // else the square of a small one is zero, that of a large one infinite
	}
	return r3.Unit(vector(v)), true
}

func vector(v [3]float64) r3.Vec { return r3.Vec{X: v[0], Y: v[1], Z: v[2]} }

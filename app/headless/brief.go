package headless

import (
	"bytes"
	"fmt"
	"io"
	"path/filepath"
	"slices"
	"strings"

	"kilnpoise/app/tomlfile"
	"kilnpoise/assets"
	"kilnpoise/mesh"
	"kilnpoise/mesh/regular"
	"kilnpoise/orient"
	"kilnpoise/orient/process"
	"kilnpoise/orient/support"
)

// briefFile is the brief as it is written in a TOML file; DEVELOPERS.md and the
// README show one. What is left out stays as the records have it.
type briefFile struct {
	Material         string             `toml:"material"`
	Printer          string             `toml:"printer"`
	Furnace          string             `toml:"furnace"`
	Shrinkage        *[3]float64        `toml:"shrinkage"`
	OverhangLimitDeg *float64           `toml:"overhang_limit_deg"`
	LayerHeightMM    *float64           `toml:"layer_height_mm"`
	Candidates       int                `toml:"candidates"`
	Cutter           *cutterEntry       `toml:"cutter"`
	Priorities       map[string]float64 `toml:"priorities"`
	Faces            []faceEntry        `toml:"face"`
	Dimensions       []dimensionEntry   `toml:"dimension"`
	Angles           []angleEntry       `toml:"angle"`
	Flatness         []flatnessEntry    `toml:"flatness"`
	Parallelism      []parallelismEntry `toml:"parallelism"`
	Loads            []loadEntry        `toml:"load"`
	Stock            []stockEntry       `toml:"stock"`
}

// cutterEntry is the tool that takes supports out in the green state.
type cutterEntry struct {
	DiameterMM float64 `toml:"diameter_mm"`
	LengthMM   float64 `toml:"length_mm"`
	HolderMM   float64 `toml:"holder_mm"`
}

// mostWeight is the largest weight of a priority; 0 is the least.
const mostWeight = 5

// brief puts the brief for a part together: that kept in a job, where there is one,
// or the default records, then the brief file, then the flags.
func (o *Options) brief(library *process.Library, file *briefFile, m *mesh.Mesh, kept *orient.Brief) (orient.Brief, error) {
	b := orient.Brief{Priorities: orient.DefaultPriorities()}
	if kept != nil {
		b = *kept
	}
	b.Directions = append(slices.Clone(b.Directions), o.Up...)
	b.OnlyGiven = b.OnlyGiven || o.OnlyGiven
	b.Seed = first(o.Seed, b.Seed)
	b.Candidates = first(o.Candidates, file.Candidates, b.Candidates)
	if err := o.takeRecords(&b, library, file); err != nil {
		return b, err
	}
	b.OtherPrinters, b.OtherFurnaces = library.Printers.List(), library.Furnaces.List()
	record := b.Material
	override(&b.Material.Shrinkage, file.Shrinkage, o.Shrink)
	override(&b.Material.OverhangLimitDeg, file.OverhangLimitDeg, o.Overhang)
	override(&b.Material.LayerHeightMM, file.LayerHeightMM)
	if err := b.Material.Validate(); err != nil {
		return b, fmt.Errorf("the process as asked for: %w", err)
	}
	o.overrideCreep(&b.Material.Creep) // may leave the limits of a record: references are not 316L
	b.Material.Name = library.Materials.Renamed(record, b.Material)
	if file.Cutter != nil {
		b.Cutter = support.Cutter{DiameterMM: file.Cutter.DiameterMM, LengthMM: file.Cutter.LengthMM, HolderMM: file.Cutter.HolderMM}
	}
	if c := b.Cutter; c != (support.Cutter{}) {
		if err := (&cutterEntry{c.DiameterMM, c.LengthMM, c.HolderMM}).check(); err != nil {
			return b, err
		}
	}
	marks, err := file.marks(m)
	if err != nil {
		return b, err
	}
	if !marks.Empty() {
		b.Marks = marks
	}
	return b, file.weigh(&b.Priorities)
}

// takeRecords takes the records that flags or file name, and the usual ones where
// the brief has none yet.
func (o *Options) takeRecords(b *orient.Brief, library *process.Library, file *briefFile) (err error) {
	usual := [3]string{assets.DefaultMaterial, assets.DefaultPrinter, assets.DefaultFurnace}
	if b.Material.Name != "" {
		usual = [3]string{}
	}
	if name := first(o.Material, file.Material, usual[0]); name != "" {
		if b.Material, err = record(library.Materials, "material", name); err != nil {
			return err
		}
	}
	if name := first(o.Printer, file.Printer, usual[1]); name != "" {
		if b.Printer, err = record(library.Printers, "printer", name); err != nil {
			return err
		}
	}
	if name := first(o.Furnace, file.Furnace, usual[2]); name != "" {
		b.Furnace, err = record(library.Furnaces, "furnace", name)
	}
	return err
}

// overrideCreep sets what the flags say; the range of the compliance keeps its
// width.
func (o *Options) overrideCreep(c *process.Creep) {
	if o.Compliance != nil {
		scale := *o.Compliance / c.CompliancePerPa
		c.ComplianceLowPerPa *= scale
		c.ComplianceHighPerPa *= scale
		c.CompliancePerPa = *o.Compliance
	}
	override(&c.Poisson, o.Poisson)
	override(&c.DensityKGM3, o.FurnaceDensity)
}

// weigh sets the priorities that the file names.
func (f *briefFile) weigh(p *orient.Priorities) error {
	left := len(f.Priorities)
	for _, q := range orient.AllPriorities() {
		w, ok := f.Priorities[q.Key()]
		if !ok {
			continue
		}
		left--
		if !(w >= 0 && w <= mostWeight) {
			return fmt.Errorf("priorities.%s = %g: a weight is 0 (never mind) to %d (above all)", q.Key(), w, mostWeight)
		}
		p[q] = w
	}
	if left > 0 {
		var keys []string
		for _, q := range orient.AllPriorities() {
			keys = append(keys, q.Key())
		}
		return fmt.Errorf("the brief has a priority of another name; those known are %s", strings.Join(keys, ", "))
	}
	return nil
}

// largestBrief is far above any brief written by hand.
const largestBrief = 1 << 20

// readBrief reads and checks a brief file; a key it does not know is an error with its
// line.
func readBrief(path string) (briefFile, error) {
	var f briefFile
	data, err := regular.Read(path, largestBrief)
	if err != nil {
		return f, fmt.Errorf("the brief %s cannot be read: %w", filepath.Base(path), err)
	}
	name := filepath.Base(path)
	if err := decodeBrief(name, bytes.NewReader(data), &f); err != nil {
		return f, err
	}
	if err := f.check(); err != nil {
		return f, fmt.Errorf("%s: %w", name, err)
	}
	return f, nil
}

func decodeBrief(name string, r io.Reader, f *briefFile) error {
	data, err := io.ReadAll(r)
	if err == nil {
		err = tomlfile.Decode(data, f, "see the README for those that are")
	}
	if err != nil {
		return fmt.Errorf("%s: %w", name, err)
	}
	return nil
}

// check says what can be told to be wrong without the part.
func (f *briefFile) check() error {
	if f.Candidates < 0 || f.Candidates > mostCandidates {
		return fmt.Errorf("candidates = %d: give 1 to %d", f.Candidates, mostCandidates)
	}
	if f.Cutter != nil {
		if err := f.Cutter.check(); err != nil {
			return err
		}
	}
	if err := f.weigh(new(orient.Priorities)); err != nil {
		return err
	}
	kept, err := f.kept()
	if err != nil {
		return err
	}
	return withinReach(&kept)
}

// The sizes of a cutter that are taken, mm (judgement): slips, not unusual tools.
const leastCutter, mostCutter = 0.1, 1000

func (c *cutterEntry) check() error {
	for _, v := range []struct {
		key   string
		value float64
		least float64
	}{{"diameter_mm", c.DiameterMM, leastCutter}, {"length_mm", c.LengthMM, leastCutter}, {"holder_mm", c.HolderMM, 0}} {
		if !(v.value >= v.least && v.value <= mostCutter) {
			return fmt.Errorf("cutter, %s = %g: give %g to %d mm", v.key, v.value, v.least, mostCutter)
		}
	}
	return nil
}

// record takes a record by ID, by name, or from a file.
func record[T any](shelf *process.Shelf[T], kind, name string) (T, error) {
	if strings.HasSuffix(name, ".toml") {
		return shelf.Load(name)
	}
	r, err := shelf.Get(name)
	if err != nil {
		return r, fmt.Errorf("--%s: %w", kind, err)
	}
	return r, nil
}

// first gives the first value that is not zero.
func first[T comparable](values ...T) T {
	var zero T
	for _, v := range values {
		if v != zero {
			return v
		}
	}
	return zero
}

// override sets to to the last of the values that is there.
func override[T any](to *T, values ...*T) {
	for _, v := range values {
		if v != nil {
			*to = *v
		}
	}
}

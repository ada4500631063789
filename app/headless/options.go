// Package headless is Kilnpoise without a window: one part in, the advice, the
// pictures, the mesh and the sheet out.
package headless

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"

	"github.com/spf13/pflag"
	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
)

// Options are what the command line asks for.
type Options struct {
	// Part is the path of the part, or the ID of a built-in one; "" means the default
	// part.
	Part string
	// Out is the folder for the files; "" with JSON and NoFiles writes none.
	Out string
	// JSON also writes the advice to standard output; NoFiles leaves out all
	// files but advice.json.
	JSON, NoFiles bool
	// OnlyGiven leaves out the search.
	OnlyGiven bool
	Unit      mesh.Unit
	Item      int // build item of a 3MF, counted from 1; 0 takes all
	// Up are the directions to measure as given.
	Up         []r3.Vec
	Candidates int
	Seed       uint64
	// Shrink and Overhang override the record where set.
	Shrink   *[3]float64
	Overhang *float64
	// Compliance (1/Pa), Poisson and FurnaceDensity (kg/m3) override the creep of
	// the record where set.
	Compliance, Poisson, FurnaceDensity *float64
	// NoFurnace leaves out the solver: sag stays a beam estimate. FurnaceGrid is
	// its size budget in elements; 0 lets the thinnest wall decide.
	NoFurnace   bool
	FurnaceGrid int
	// Friction is that between foot and setter; 0 slides freely.
	Friction float64
	// Material, Printer, Furnace and Brief name records and the brief file.
	Material, Printer, Furnace, Brief string
	// Letter prints the sheet on US Letter instead of A4; SinteredSize hands
	// the mesh over at finished size.
	Letter, SinteredSize bool
	// Bodies also builds the planned supports and setter blocks, Raft a raft below
	// them, as objects of their own.
	Bodies, Raft bool
	// Force replaces files in Out that Kilnpoise did not write for this part, or that
	// were changed since.
	Force bool
}

// DefaultOut is the folder that files go to when none is named.
const DefaultOut = "kilnpoise-out"

// mostCandidates bounds --candidates to what a person could still look through.
const mostCandidates = 100

// mostElements bounds --furnace-grid to what fits in the memory of a large workstation;
// see fitsMemory.
const mostElements = 10_000_000

// AddFlags adds the options to a set of flags.
func (o *Options) AddFlags(f *pflag.FlagSet) {
	f.StringVar(&o.Out, "out", "", "folder for the files (default "+DefaultOut+")")
	f.BoolVar(&o.JSON, "json", false, "also write the advice to standard output")
	f.BoolVar(&o.NoFiles, "no-files", false, "write advice.json only: no pictures, mesh or sheet")
	f.BoolVar(&o.OnlyGiven, "no-search", false, "measure only the given directions and the part as loaded")
	f.Var((*unitFlag)(&o.Unit), "unit", "unit of a file that has none: mm, cm, m, inch, foot or micron")
	f.IntVar(&o.Item, "item", 0, "build item of a 3MF file, counted from 1 (default: all as one part)")
	f.Var((*directionsFlag)(&o.Up), "up", "build direction in the frame of the file, to measure as given; may be repeated")
	f.IntVar(&o.Candidates, "candidates", 0, "how many orientations the search hands over (default 6)")
	f.Uint64Var(&o.Seed, "seed", 0, "turns the directions that the search starts from")
	f.Var(&shrinkFlag{&o.Shrink}, "shrink", "shrinkage along X, Y and Z of the print frame, as fractions: 0.16,0.16,0.2")
	f.Var(&numberFlag{&o.Overhang, 0, 89, "deg"}, "overhang", "downskin angle from the plate below which a face needs support, degrees")
	f.Var(&numberFlag{&o.Compliance, 1e-12, 1, "1/Pa"}, "compliance", "creep compliance of the firing; its range scales along")
	f.Var(&numberFlag{&o.Poisson, 0, 0.499, "ratio"}, "poisson", "viscous Poisson ratio while the part is soft")
	f.Var(&numberFlag{&o.FurnaceDensity, 1, 30000, "kg/m3"}, "furnace-density", "density that weighs on the part while it is soft")
	f.BoolVar(&o.NoFurnace, "no-furnace", false, "do not solve the furnace: sag stays a beam estimate")
	f.IntVar(&o.FurnaceGrid, "furnace-grid", 0, "size of the furnace's grid in elements (default: what the thinnest wall needs)")
	f.Float64Var(&o.Friction, "friction", 0, "friction between foot and setter: 0 slides freely (default), 0.2 to 1 is likely, inf is stuck")
	f.StringVar(&o.Material, "material", "", "material record, by name or TOML file")
	f.StringVar(&o.Printer, "printer", "", "printer record, by name or TOML file")
	f.StringVar(&o.Furnace, "furnace", "", "furnace record, by name or TOML file")
	f.StringVar(&o.Brief, "brief", "", "brief with records, limits and priorities, TOML file")
	f.BoolVar(&o.Letter, "letter", false, "print the sheet on US Letter instead of A4")
	f.BoolVar(&o.Bodies, "bodies", false, "build the planned supports and setter blocks too, as objects of the 3MF and as STL")
	f.BoolVar(&o.Raft, "raft", false, "build a raft below the part too")
	f.BoolVar(&o.Force, "force", false, "replace files in the folder that were not written by Kilnpoise for this part or were changed since")
	f.BoolVar(&o.SinteredSize, "sintered-size", false, "hand over the mesh at finished size, to be scaled by the next program")
}

// Validate checks what the flags alone cannot.
func (o *Options) Validate() error {
	if o.Candidates < 0 || o.Candidates > mostCandidates {
		return fmt.Errorf("--candidates %d: give 1 to %d", o.Candidates, mostCandidates)
	}
	if o.FurnaceGrid != 0 && (o.FurnaceGrid < 100 || o.FurnaceGrid > mostElements) {
		return fmt.Errorf("--furnace-grid %d: give 100 to %d elements", o.FurnaceGrid, mostElements)
	}
	if !(o.Friction >= 0) {
		return fmt.Errorf("--friction %g: give 0 or more, or inf", o.Friction)
	}
	if o.SinteredSize && (o.Bodies || o.Raft) {
		return errors.New("--bodies and --raft are of green size and do not go with --sintered-size")
	}
	if o.Item < 0 {
		return fmt.Errorf("--item %d: items are counted from 1", o.Item)
	}
	if o.Out == "" && !(o.JSON && o.NoFiles) {
		o.Out = DefaultOut
	}
	return nil
}

// unitFlag reads --unit.
type unitFlag mesh.Unit

func (u *unitFlag) String() string { return string(*u) }
func (u *unitFlag) Type() string   { return "unit" }
func (u *unitFlag) Set(s string) error {
	unit, err := mesh.ParseUnit(s)
	*u = unitFlag(unit)
	return err
}

// directionsFlag reads --up, once for each direction.
type directionsFlag []r3.Vec

func (d *directionsFlag) String() string { return "" }
func (d *directionsFlag) Type() string   { return "X,Y,Z" }
func (d *directionsFlag) Set(s string) error {
	v, err := triple(s)
	if err != nil {
		return err
	}
	up, ok := direction(v)
	if !ok {
		return errors.New("a direction must point somewhere")
	}
	*d = append(*d, up)
	return nil
}

// shrinkFlag reads --shrink.
type shrinkFlag struct{ to **[3]float64 }

func (f *shrinkFlag) String() string { return "" }
func (f *shrinkFlag) Type() string   { return "X,Y,Z" }
func (f *shrinkFlag) Set(s string) error {
	v, err := triple(s)
	if err != nil {
		return err
	}
	for _, x := range v {
		if x < 0 || x > 0.4 {
			return fmt.Errorf("%g: a shrinkage is a fraction from 0 to 0.4, such as 0.16 for 16 %%", x)
		}
	}
	*f.to = &v
	return nil
}

// numberFlag reads a number within limits.
type numberFlag struct {
	to        **float64
	low, high float64
	unit      string
}

func (f *numberFlag) String() string { return "" }
func (f *numberFlag) Type() string   { return f.unit }
func (f *numberFlag) Set(s string) error {
	v, err := strconv.ParseFloat(s, 64)
	if err != nil || !(v >= f.low && v <= f.high) {
		return fmt.Errorf("give a number from %g to %g (%s)", f.low, f.high, f.unit)
	}
	*f.to = &v
	return nil
}

// triple reads three numbers with commas between.
func triple(s string) ([3]float64, error) {
	var v [3]float64
	fields := strings.Split(s, ",")
	if len(fields) != 3 {
		return v, fmt.Errorf("%q: give three numbers with commas between, such as 0,0,1", s)
	}
	for i, field := range fields {
		x, err := strconv.ParseFloat(strings.TrimSpace(field), 64)
		if err != nil || math.IsNaN(x) || math.IsInf(x, 0) {
			return v, fmt.Errorf("%q is not a number", field)
		}
		v[i] = x
	}
	return v, nil
}

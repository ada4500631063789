package headless

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"strings"
	"time"

	"github.com/spf13/pflag"

	"kilnpoise/app/book"
	"kilnpoise/assets"
	"kilnpoise/mesh/regular"
)

// defaultErrorMM is the standard uncertainty of a calliper in careful hands
// (judgement), as for creep coupons.
const defaultErrorMM = 0.02

// BookEntry is a firing to be entered.
type BookEntry struct {
	Book Book
	// File is a TOML file with the firing; flags add to it and win over it.
	File string
	// Firing is what the flags say.
	Firing book.Firing
	// PartFile gives name and hash of the part.
	PartFile string
	// ErrorMM is the standard uncertainty of readings that do not say their own.
	ErrorMM float64
}

// AddFlags adds the options to a set of flags.
func (e *BookEntry) AddFlags(f *pflag.FlagSet) {
	e.Book.AddFlags(f)
	f.StringVar(&e.File, "file", "", "TOML file with the firing; flags add to it")
	f.Var(&dayFlag{&e.Firing.Date}, "date", "day of the firing, year-month-day (default today)")
	f.StringVar(&e.Firing.Material, "material", "", "material record (default "+assets.DefaultMaterial+")")
	f.StringVar(&e.Firing.Furnace, "furnace", "", "furnace record (default "+assets.DefaultFurnace+")")
	f.StringVar(&e.Firing.Run, "run", "", "what the shop calls the run of the furnace; parts of one run count as one firing")
	f.StringVar(&e.Firing.Part, "part", "", "name of the part")
	f.StringVar(&e.PartFile, "part-file", "", "file of the part, for its name and hash")
	f.StringVar(&e.Firing.Job, "job", "", "where the job is kept")
	f.StringVar(&e.Firing.Peak, "peak", "", "what the furnace's log said, free text")
	f.StringVar(&e.Firing.Remarks, "remarks", "", "free text")
	f.Float64Var(&e.Firing.GreenMassG, "green-mass", 0, "mass of the green part, g")
	f.Float64Var(&e.Firing.SinteredMassG, "sintered-mass", 0, "mass of the sintered part, g")
	f.Float64Var(&e.Firing.GreenVolumeMM3, "green-volume", 0, "volume of the green mesh, mm3")
	f.Float64Var(&e.Firing.SinteredVolumeMM3, "sintered-volume", 0, "volume of the sintered part as measured, mm3")
	f.Float64Var(&e.ErrorMM, "uncertainty", defaultErrorMM, "standard uncertainty of the instrument, mm, where a reading has none of its own")
	f.Var((*readingFlag)(&e.Firing.Readings), "reading", "a dimension: name, direction in the print frame (X, Y, Z or x:y:z), green and sintered mm; then, if you like, the uncertainty in mm, and points for a length between points; may be repeated")
	f.Var((*sagFlag)(&e.Firing.Sags), "sag", "a beam of a creep coupon: span, thickness, sag, mm; a fourth says how it is held; may be repeated")
}

// Validate checks what the flags alone cannot.
func (e *BookEntry) Validate() error {
	if e.File == "" && len(e.Firing.Readings) == 0 && len(e.Firing.Sags) == 0 && e.Firing.SinteredMassG == 0 && e.Firing.GreenMassG == 0 {
		return errors.New("give what was measured with --reading, --sag or the masses, or a --file")
	}
	if !(e.ErrorMM > 0) {
		return fmt.Errorf("--uncertainty %g: give millimetres above 0", e.ErrorMM)
	}
	return nil
}

// Run enters the firing.
func (e *BookEntry) Run(ctx context.Context, today time.Time, stdout, stderr io.Writer) error {
	say := &console{w: stderr}
	f, err := e.firing(today)
	if err != nil {
		return err
	}
	library := openLibrary(say)
	m, err := library.Materials.Get(f.Material) // a slip of the name would begin a fit of its own
	if err != nil {
		return fmt.Errorf("--material: %w", err)
	}
	q, err := library.Furnaces.Get(f.Furnace)
	if err != nil {
		return fmt.Errorf("--furnace: %w", err)
	}
	f.Material, f.Furnace = m.ID, q.ID
	b, err := e.Book.open(ctx, say)
	if err != nil {
		return err
	}
	defer b.Close()
	if f, err = b.Add(ctx, f); err != nil {
		return err
	}
	fmt.Fprintf(stdout, "firing %d of %s is in the book: %d readings, %d sags\n", f.ID, f.Date.Format(time.DateOnly), len(f.Readings), len(f.Sags))
	return nil
}

// firing puts file and flags together.
func (e *BookEntry) firing(today time.Time) (book.Firing, error) {
	var f book.Firing
	if e.File != "" {
		var err error
		if f, err = readFiring(e.File); err != nil {
			return f, err
		}
	}
	given := e.Firing
	if given.Date.IsZero() {
		given.Date = f.Date
	}
	if f.Date = given.Date; f.Date.IsZero() {
		f.Date = today
	}
	f.Material = first(given.Material, f.Material, assets.DefaultMaterial)
	f.Furnace = first(given.Furnace, f.Furnace, assets.DefaultFurnace)
	f.Run, f.Job, f.Peak, f.Remarks = first(given.Run, f.Run), first(given.Job, f.Job), first(given.Peak, f.Peak), first(given.Remarks, f.Remarks)
	f.GreenMassG, f.SinteredMassG = first(given.GreenMassG, f.GreenMassG), first(given.SinteredMassG, f.SinteredMassG)
	f.GreenVolumeMM3, f.SinteredVolumeMM3 = first(given.GreenVolumeMM3, f.GreenVolumeMM3), first(given.SinteredVolumeMM3, f.SinteredVolumeMM3)
	if e.PartFile != "" {
		name, sum, err := partOf(e.PartFile)
		if err != nil {
			return f, err
		}
		f.Part, f.PartSHA256 = name, sum
	}
	f.Part = first(given.Part, f.Part)
	f.Readings, f.Sags = append(f.Readings, given.Readings...), append(f.Sags, given.Sags...)
	for i := range f.Readings {
		f.Readings[i].ErrorMM = first(f.Readings[i].ErrorMM, e.ErrorMM)
	}
	return f, nil
}

// largestPart is what is taken for the file of a part, in bytes.
const largestPart = 2 << 30

// partOf gives the name of a part and the hash of its file.
func partOf(path string) (name, sum string, err error) {
	base := filepath.Base(path)
	f, _, err := regular.Open(path, largestPart)
	if err != nil {
		return "", "", fmt.Errorf("the part %s cannot be read: %w", base, err)
	}
	defer f.Close()
	h := sha256.New()
	if _, err := io.Copy(h, f); err != nil {
		return "", "", fmt.Errorf("the part %s cannot be read: %w", base, err)
	}
	return strings.TrimSuffix(base, filepath.Ext(base)), hex.EncodeToString(h.Sum(nil)), nil
}

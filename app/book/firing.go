package book

import (
	"fmt"
	"strings"
	"time"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/orient/furnace"
	"kilnpoise/orient/process"
)

// Firing is one part in one firing. Only Date and Material have to be given; a
// length, mass or volume of 0 and an empty text stand for "not known". It is plain
// data.
type Firing struct {
	// ID is the number that the book gives, counted from 1 and never used twice; 0
	// for a firing that is not in the book yet.
	ID int64
	// Key names the firing everywhere, also in another shop's book after an export;
	// the book makes one when it is empty.
	Key string
	// Revision counts the changes; see Book.Change.
	Revision int64

	// Date is the day of the firing; time and zone are dropped.
	Date time.Time
	// Material and Furnace are the IDs of the records; see process.Library.
	Material, Furnace string
	// Run is what the shop calls the run of the furnace, "2026-014" for instance:
	// parts with the same Furnace, Date and Run were fired together and count as one
	// firing in a fit. Empty means the part was in a run by itself.
	Run string
	// Part is the name of the part, PartSHA256 the hash of its file in hexadecimal,
	// Job where its job is kept; the latter two may be empty.
	Part, PartSHA256, Job string
	// Peak and Remarks are free text. Peak is for what the furnace's log said; the
	// program does nothing with it.
	Peak, Remarks string

	GreenMassG, SinteredMassG float64
	// GreenVolumeMM3 is that of the green mesh, SinteredVolumeMM3 as measured, by
	// water displaced for instance.
	GreenVolumeMM3, SinteredVolumeMM3 float64

	Sags     []Sag
	Readings []Reading
}

// Sag is what one beam of a creep coupon came down in the furnace; lengths are of
// sintered size.
type Sag struct {
	Hold                       furnace.Hold
	SpanMM, ThicknessMM, SagMM float64
}

// Reading is one dimension of the part.
type Reading struct {
	// Name is what the dimension is called on the drawing.
	Name string
	// PartDirection is its direction in the part frame; zero when not known.
	PartDirection r3.Vec
	// PrintDirection is the same turned into the print frame (before oversizing);
	// the book makes it a unit vector. See process.Reading.Direction.
	PrintDirection r3.Vec
	// Across is between what it was measured.
	Across process.Across
	// GreenNominalMM and SinteredNominalMM are what was wanted, GreenMM and
	// SinteredMM what was measured. A part may be entered green and completed when it
	// comes out of the furnace.
	GreenNominalMM, GreenMM, SinteredNominalMM, SinteredMM float64
	// Instrument is free text. ErrorMM is its standard uncertainty, one standard
	// deviation; GreenErrorMM the same on the green part, which is softer and
	// rougher, 0 when it is as good.
	Instrument            string
	ErrorMM, GreenErrorMM float64
	// LeftOut keeps the reading in the book but out of fits.
	LeftOut bool
}

// InPrintFrame turns a direction of the part frame into the print frame by the
// rotation of a candidate, row by row as advice.json has it.
func InPrintFrame(rotation [3][3]float64, direction r3.Vec) r3.Vec {
	row := func(i int) float64 {
		return rotation[i][0]*direction.X + rotation[i][1]*direction.Y + rotation[i][2]*direction.Z
	}
	return r3.Vec{X: row(0), Y: row(1), Z: row(2)}
}

// Day gives a day as firings carry it: midnight UTC.
func Day(t time.Time) time.Time {
	y, m, d := t.Date()
	return time.Date(y, m, d, 0, 0, 0, 0, time.UTC)
}

// group is what tells the firing of a part from others in a fit.
func (f *Firing) group() string {
	if f.Run == "" {
		return fmt.Sprint(f.ID)
	}
	return strings.Join([]string{f.Furnace, f.Date.Format(time.DateOnly), f.Run}, " ")
}

// Readings gives the readings of firings as a fit takes them; those not yet
// sintered are left out. Where several parts went together, the name of a reading
// begins with that of its part.
func Readings(firings []Firing) []process.Reading {
	var out []process.Reading
	for i := range firings {
		f := &firings[i]
		for _, r := range f.Readings {
			if r.SinteredMM == 0 {
				continue
			}
			name := r.Name
			if f.Run != "" && f.Part != "" {
				name = f.Part + ", " + name
			}
			out = append(out, process.Reading{
				Firing: f.group(), Name: name, Date: f.Date, Direction: r.PrintDirection, Across: r.Across,
				GreenMM: r.GreenMM, SinteredMM: r.SinteredMM, LeftOut: r.LeftOut,
				GreenErrorMM: orElse(r.GreenErrorMM, r.ErrorMM), SinteredErrorMM: r.ErrorMM,
			})
		}
	}
	return out
}

func orElse(v, otherwise float64) float64 {
	if v == 0 {
		return otherwise
	}
	return v
}

// Weighing gives the masses and volumes of a firing as process.CheckDensity takes
// them.
func (f *Firing) Weighing() process.Weighing {
	return process.Weighing{
		Firing: f.group(), GreenMassG: f.GreenMassG, SinteredMassG: f.SinteredMassG,
		GreenVolumeMM3: f.GreenVolumeMM3, SinteredVolumeMM3: f.SinteredVolumeMM3,
	}
}

// Coupons gives the sags of firings as furnace.Calibrate takes them.
func Coupons(firings []Firing) []furnace.Coupon {
	var out []furnace.Coupon
	for i := range firings {
		for _, s := range firings[i].Sags {
			out = append(out, furnace.Coupon{Hold: s.Hold, SpanMM: s.SpanMM, ThicknessMM: s.ThicknessMM, SagMM: s.SagMM})
		}
	}
	return out
}

package job

import (
	"context"
	"errors"
	"fmt"
	"time"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
	"kilnpoise/orient"
	"kilnpoise/orient/mark"
	"kilnpoise/orient/process"
	"kilnpoise/orient/support"
)

// Extension is that of job files.
const Extension = ".kilnpoise"

// Job is all that is kept of a job. It is a value: copies share their lists, so
// what a list, a record or the advice holds is never changed in place; a change
// puts a new list into a copy. Then copies may be used by several goroutines.
type Job struct {
	Part   Part
	Brief  Brief
	Choice Choice
	Sheet  Sheet
	// Notes are the user's own, any text in UTF-8.
	Notes string
	// Advice is the advice as last worked out, the bytes of advice.json; nil
	// before the first. See Report.
	Advice []byte
	// Thumbnail is a small picture as PNG, or nil.
	Thumbnail []byte
	// Created and Saved are when the job was begun and last saved, Program the
	// version of Kilnpoise that saved it; see Stamped.
	Created, Saved time.Time
	Program        string
}

// Part is the part file with what the user said about it.
type Part struct {
	// File is the name of the file, without folders.
	File string
	// Content is what the file holds; nil where there is no part.
	Content *Content
	// Unit is the unit that the user chose; "" takes the file's own.
	Unit mesh.Unit
	// Item is the number of the build item, from 0, or AllItems.
	Item int
	// Demo is the ID of the built-in part that it came from; "" for a file.
	Demo string
}

// AllItems takes all build items of a file as one part.
const AllItems = -1

// Read reads the part file anew; see mesh.Read.
func (p Part) Read(ctx context.Context) (*mesh.File, error) {
	if p.Content == nil {
		return nil, errNoPart()
	}
	return mesh.Read(ctx, p.File, p.Content.Reader(), p.Content.Size(), mesh.ReadOptions{Unit: p.Unit, Packed: p.Content.OnDisk()})
}

// Make makes the part of a file that Read gave: the chosen item, or all.
func (p Part) Make(ctx context.Context, f *mesh.File) (*mesh.Part, error) {
	if p.Item == AllItems {
		return f.Part(ctx)
	}
	return f.Part(ctx, p.Item)
}

func errNoPart() error { return errors.New("the job holds no part yet; open a part first") }

// fits reports why the part cannot be kept.
func (p Part) fits() error {
	if p.Content == nil {
		return errNoPart()
	}
	if size := p.Content.Size(); size > mostPart {
		return fmt.Errorf("the part is %d MB, more than a job keeps (%d MB); export it with a coarser tolerance", size>>20, int64(mostPart)>>20)
	}
	return nil
}

// Brief is what the user needs. It differs from orient.Brief in its marks, which
// are told by places and so outlive the mesh.
type Brief struct {
	// The records as they are used, with what the user changed in them.
	Material process.Material
	Printer  process.Printer
	Furnace  process.Furnace
	// The rest as in orient.Brief.
	Priorities orient.Priorities
	Directions []r3.Vec
	Cutter     support.Cutter
	Candidates int
	OnlyGiven  bool
	Seed       uint64
	Marks      mark.Kept
}

// BriefOf keeps a brief with the places of its marks.
func BriefOf(b orient.Brief, marks mark.Kept) Brief {
	return Brief{
		Material: b.Material, Printer: b.Printer, Furnace: b.Furnace, Priorities: b.Priorities,
		Directions: b.Directions, Cutter: b.Cutter, Candidates: b.Candidates, OnlyGiven: b.OnlyGiven, Seed: b.Seed,
		Marks: marks,
	}
}

// For gives the brief for a part on which the marks were found; see
// mark.Kept.Find.
func (b Brief) For(found mark.Marks) orient.Brief {
	return orient.Brief{
		Material: b.Material, Printer: b.Printer, Furnace: b.Furnace, Priorities: b.Priorities,
		Directions: b.Directions, Cutter: b.Cutter, Candidates: b.Candidates, OnlyGiven: b.OnlyGiven, Seed: b.Seed,
		Marks: found,
	}
}

// Choice is what the user takes of the advice.
type Choice struct {
	// Up is the build direction of the chosen candidate in the part frame; zero
	// takes the first, whichever that is. Name is what the candidate is called.
	Up   r3.Vec
	Name string
	// AsPrinted lays the part in the furnace as it was printed. Otherwise Down is
	// the direction of the part frame that points at the setter; zero takes the
	// pose of the advice.
	AsPrinted bool
	Down      r3.Vec
	// LeftOut are the support regions that are left out, each by a place on it.
	LeftOut []mark.Seed
	// Supports, Blocks and Raft say what is printed with the part.
	Supports, Blocks, Raft bool
}

// Sheet is what the user settled about the sheet.
type Sheet struct {
	// Letter takes that paper in place of A4.
	Letter bool
	// AtSinteredSize hands the mesh over at finished size.
	AtSinteredSize bool
	// Fields are texts that the user filled in, in order.
	Fields []Field
}

// Field is a text on the sheet; Key names its place.
type Field struct{ Key, Text string }

// Stamped gives the job with the time and the version of the program that saves
// it; a job without one gets the time of its beginning too.
func (j Job) Stamped(now time.Time, program string) Job {
	j.Saved, j.Program = inFile(now), program
	if j.Created.IsZero() {
		j.Created = j.Saved
	}
	return j
}

// inFile gives a time as a file keeps it.
func inFile(t time.Time) time.Time {
	t = t.UTC().Round(0)
	if t.IsZero() || t.Year() < 0 || t.Year() > 9999 { // the file has four digits
		return time.Time{}
	}
	return t
}

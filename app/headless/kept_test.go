package headless

import (
	"archive/zip"
	"bytes"
	"encoding/json"
	"flag"
	"io/fs"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/app/book"
	"kilnpoise/app/job"
	"kilnpoise/assets"
	"kilnpoise/mesh"
	"kilnpoise/mesh/meshtest"
	"kilnpoise/orient"
	"kilnpoise/orient/furnace"
	"kilnpoise/orient/mark"
	"kilnpoise/orient/orienttest"
	"kilnpoise/orient/process"
	"kilnpoise/orient/support"
)

// A release promises to read what those before it have written. testdata/kept holds, for
// each version, a job, a firing book and records as that version wrote them. They are
// never written anew: a version whose formats differ gets a folder of its own by
//
//	go test ./app/headless -run Kept -keep VERSION
var keep = flag.String("keep", "", "write the files of this version into testdata/kept")

const keptFolder = "../../testdata/kept"

// The files of one version.
const (
	keptJobFile     = "lid.kilnpoise"
	keptBookFile    = "firings.db"
	keptRecordsFile = "records"
)

// keptBrief are the records that are kept: the built-in ones, changed in a few figures.
func keptBrief(t *testing.T) orient.Brief {
	t.Helper()
	b := orienttest.BuiltInBrief(t)
	b.OtherPrinters, b.OtherFurnaces = nil, nil
	b.Priorities = orient.Priorities{5, 4, 3, 2, 1, 0.5}
	return b
}

// What the job and the book of each version hold.
const keptNotes = "The lid of the village pump’s priming cup.\nSecond print.\n"

func keptDay() time.Time { return time.Date(2026, 11, 30, 0, 0, 0, 0, time.UTC) }

func keptCutter() support.Cutter { return support.Cutter{DiameterMM: 3, LengthMM: 70, HolderMM: 20} }

func keptChoice() job.Choice {
	return job.Choice{Up: r3.Vec{Z: 1}, Name: "as loaded", Supports: true, Raft: true}
}

func keptMarks() mark.Kept {
	return mark.Kept{
		Faces: []mark.KeptFace{{Kind: mark.KeepClean, Name: "seat", Seeds: []mark.Seed{{At: r3.Vec{X: 6, Y: 4, Z: 3}, Normal: r3.Vec{Z: 1}, WithinDeg: 20, AreaMM2: 96}}}},
		Dimensions: []mark.KeptDimension{{
			Name: "length", What: mark.Distance, NominalMM: 12, ToleranceMM: 0.2,
			Seeds: []mark.Seed{{At: r3.Vec{Y: 4, Z: 1}, Normal: r3.Vec{X: -1}, WithinDeg: 1}, {At: r3.Vec{X: 12, Y: 4, Z: 1}, Normal: r3.Vec{X: 1}, WithinDeg: 1}},
		}},
		Loads: []mark.Load{{Name: "pull", Along: r3.Vec{X: 1}}},
		Stock: []mark.KeptStock{{Name: "underside", Seed: mark.Seed{At: r3.Vec{X: 6, Y: 4}, Normal: r3.Vec{Z: -1}, WithinDeg: 1}, MM: 0.5}},
	}
}

func keptFiring() book.Firing {
	return book.Firing{
		Key: "kept", Date: keptDay(), Material: "own-316l", Furnace: "own-setter", Run: "2026-014", Part: "lid", Peak: "as set", Remarks: "flat",
		GreenMassG: 2.5, SinteredMassG: 2.2,
		Sags: []book.Sag{{Hold: furnace.Cantilever, SpanMM: 12, ThicknessMM: 3, SagMM: 0.44}},
		Readings: []book.Reading{
			{Name: "length", PrintDirection: r3.Vec{X: 1}, GreenNominalMM: 14.286, GreenMM: 14.3, SinteredNominalMM: 12, SinteredMM: 12.02, Instrument: "caliper", ErrorMM: 0.02},
			{Name: "height", PrintDirection: r3.Vec{Z: 1}, GreenMM: 3.75, SinteredMM: 2.98, Instrument: "caliper", ErrorMM: 0.02, LeftOut: true},
		},
	}
}

// writeKept writes the files of this version.
func writeKept(t *testing.T, folder string) {
	t.Helper()
	if _, err := os.Stat(folder); err == nil {
		t.Fatalf("%s is there already; what a version has written is never changed", folder)
	}
	records := filepath.Join(folder, keptRecordsFile)
	if err := os.MkdirAll(records, 0o755); err != nil {
		t.Fatal(err)
	}
	own, b := process.OpenLibrary(os.DirFS(t.TempDir()), records), keptBrief(t)
	b.Material.ID, b.Material.Name, b.Material.Shrinkage = "own-316l", "Own 316L", [3]float64{0.161, 0.162, 0.203}
	b.Printer.ID, b.Printer.Name = "own-plate", "Own printer"
	b.Furnace.ID, b.Furnace.Name = "own-setter", "Own furnace"
	for _, err := range []error{own.Materials.Save(b.Material), own.Printers.Save(b.Printer), own.Furnaces.Save(b.Furnace)} {
		if err != nil {
			t.Fatal(err)
		}
	}
	var stl bytes.Buffer
	if err := mesh.WriteSTL(&stl, meshtest.Block(12, 8, 3), "a lid"); err != nil {
		t.Fatal(err)
	}
	b.Directions, b.Cutter, b.Candidates, b.Seed = []r3.Vec{{Z: 1}, {Z: -1}}, keptCutter(), 4, 7
	j := job.Job{
		Part:   job.Part{File: "lid.stl", Content: job.NewContent(stl.Bytes()), Unit: mesh.Millimetre, Item: job.AllItems},
		Brief:  job.BriefOf(b, keptMarks()),
		Choice: keptChoice(), Notes: keptNotes,
		Sheet: job.Sheet{Letter: true, Fields: []job.Field{{Key: "ordered_by", Text: "the village"}}},
	}.Stamped(keptDay(), *keep)
	claim, err := job.Create(t.Context(), filepath.Join(folder, keptJobFile), j)
	if err != nil {
		t.Fatal(err)
	}
	if err := claim.Release(); err != nil {
		t.Fatal(err)
	}
	firings, err := book.Open(t.Context(), filepath.Join(folder, keptBookFile))
	if err != nil {
		t.Fatal(err)
	}
	if _, err := firings.Add(t.Context(), keptFiring()); err != nil {
		t.Fatal(err)
	}
	if err := firings.Close(); err != nil {
		t.Fatal(err)
	}
}

// TestKeptFilesAreRead reads what every version has written, on a copy.
func TestKeptFilesAreRead(t *testing.T) {
	if *keep != "" {
		writeKept(t, filepath.Join(keptFolder, *keep))
	}
	versions, err := filepath.Glob(filepath.Join(keptFolder, "*"))
	if err != nil || len(versions) == 0 {
		t.Fatalf("no version is kept: %v", err)
	}
	for _, version := range versions {
		t.Run(filepath.Base(version), func(t *testing.T) {
			folder := t.TempDir()
			if err := os.CopyFS(folder, os.DirFS(version)); err != nil {
				t.Fatal(err)
			}
			readKeptJob(t, filepath.Join(folder, keptJobFile))
			readKeptBook(t, filepath.Join(folder, keptBookFile))
			readKeptRecords(t, filepath.Join(folder, keptRecordsFile))
			adviseKept(t, folder)
		})
	}
}

func readKeptJob(t *testing.T, path string) {
	t.Helper()
	j, notes, err := job.ReadFile(t.Context(), path)
	if err != nil || len(notes) > 0 {
		t.Fatal(notes, err)
	}
	if diff := cmp.Diff(keptMarks(), j.Brief.Marks); diff != "" {
		t.Errorf("the marks have changed:\n%s", diff)
	}
	if diff := cmp.Diff(keptChoice(), j.Choice); diff != "" {
		t.Errorf("the choice has changed:\n%s", diff)
	}
	if b := j.Brief; b.Cutter != keptCutter() || b.Candidates != 4 || b.Seed != 7 || len(b.Directions) != 2 ||
		b.Priorities[0] != 5 || b.Priorities[5] != 0.5 || b.Material.Shrinkage != [3]float64{0.161, 0.162, 0.203} || b.Printer.ID != "own-plate" || b.Furnace.ID != "own-setter" {
		t.Errorf("the brief is %+v", b)
	}
	if j.Notes != keptNotes || !j.Sheet.Letter || len(j.Sheet.Fields) != 1 || j.Sheet.Fields[0].Text != "the village" || !j.Saved.Equal(keptDay()) || j.Part.File != "lid.stl" {
		t.Errorf("the rest is %q, %+v, %v", j.Notes, j.Sheet, j.Saved)
	}
	file, err := j.Part.Read(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	part, err := j.Part.Make(t.Context(), file)
	if err != nil {
		t.Fatal(err)
	}
	found, lost := j.Brief.Marks.Find(mark.NewSurface(part.Mesh))
	if len(lost) > 0 || len(found.Faces) != 1 || len(found.Dimensions) != 1 || len(found.Stock) != 1 {
		t.Errorf("on the part %d faces are found, and lost are %v", len(found.Faces), lost)
	}
}

func readKeptBook(t *testing.T, path string) {
	t.Helper()
	firings, err := book.Open(t.Context(), path)
	if err != nil {
		t.Fatal(err)
	}
	defer firings.Close()
	got, err := firings.Get(t.Context(), 1)
	if err != nil {
		t.Fatal(err)
	}
	want := keptFiring()
	want.ID, want.Revision = got.ID, got.Revision
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("the firing has changed:\n%s", diff)
	}
}

func readKeptRecords(t *testing.T, folder string) {
	t.Helper()
	library := process.OpenLibrary(assets.Records(), folder)
	if err := library.Problems(); err != nil {
		t.Fatal(err)
	}
	material, err := library.Materials.Get("own-316l")
	if err != nil || material.Shrinkage != [3]float64{0.161, 0.162, 0.203} || material.Name != "Own 316L" || len(material.Figures()) < 20 {
		t.Errorf("the material is %+v, %v", material, err)
	}
	if printer, err := library.Printers.Get("own-plate"); err != nil || printer.Name != "Own printer" {
		t.Errorf("the printer is %+v, %v", printer, err)
	}
	if f, err := library.Furnaces.Get("own-setter"); err != nil || f.Name != "Own furnace" {
		t.Errorf("the furnace is %+v, %v", f, err)
	}
}

// adviseKept goes the whole way with them: the job is advised by its own records.
func adviseKept(t *testing.T, folder string) {
	t.Helper()
	var out, said bytes.Buffer
	o := Options{Part: filepath.Join(folder, keptJobFile), JSON: true, NoFiles: true, OnlyGiven: true, NoFurnace: true}
	if err := o.Validate(); err != nil {
		t.Fatal(err)
	}
	if err := Run(t.Context(), o, &out, &said); err != nil {
		t.Fatal(err, said.String())
	}
	var r orient.Report
	if err := json.Unmarshal(out.Bytes(), &r); err != nil {
		t.Fatal(err)
	}
	if r.Process.Shrinkage != (orient.Triple{0.161, 0.162, 0.203}) || len(r.Candidates) == 0 {
		t.Errorf("the advice is by a shrinkage of %v, with %d candidates", r.Process.Shrinkage, len(r.Candidates))
	}
}

// The formats of this program are among those kept: whoever raises one keeps files of it.
func TestKeptFilesAreOfThisFormat(t *testing.T) {
	jobs, err := filepath.Glob(filepath.Join(keptFolder, "*", keptJobFile))
	if err != nil {
		t.Fatal(err)
	}
	newest := 0
	for _, path := range jobs {
		z, err := zip.OpenReader(path)
		if err != nil {
			t.Fatal(err)
		}
		data, err := fs.ReadFile(z, "job.json")
		z.Close()
		var head struct{ Format int }
		if err == nil {
			err = json.Unmarshal(data, &head)
		}
		if err != nil {
			t.Fatal(err)
		}
		newest = max(newest, head.Format)
	}
	if newest != job.Format {
		t.Errorf("jobs up to format %d are kept, this program writes %d; keep one with -keep", newest, job.Format)
	}
	books, err := filepath.Glob(filepath.Join(keptFolder, "*", keptBookFile))
	if err != nil {
		t.Fatal(err)
	}
	older := 0
	for _, path := range books {
		copied := filepath.Join(t.TempDir(), keptBookFile)
		data, err := os.ReadFile(path)
		if err == nil {
			err = os.WriteFile(copied, data, 0o600)
		}
		if err != nil {
			t.Fatal(err)
		}
		b, err := book.Open(t.Context(), copied)
		if err != nil {
			t.Fatal(err)
		}
		if len(b.Notes()) > 0 { // it tells that it was brought up to date
			older++
		}
		b.Close()
	}
	if older == len(books) {
		t.Error("every book that is kept is of an older version; keep one with -keep")
	}
}

package job_test

import (
	"bytes"
	"context"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/app/job"
	"kilnpoise/assets"
	"kilnpoise/mesh"
	"kilnpoise/mesh/meshtest"
	"kilnpoise/orient"
	"kilnpoise/orient/mark"
	"kilnpoise/orient/process"
	"kilnpoise/orient/support"
)

// pixel is the smallest PNG there is: one white pixel.
const pixel = "\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR\x00\x00\x00\x01\x00\x00\x00\x01\x08\x00\x00\x00\x00:~\x9bU\x00\x00\x00\nIDATx\x9cc\xf8\x0f\x00\x01\x01\x01\x00\x1b\xb6\xeeV\x00\x00\x00\x00IEND\xaeB`\x82"

// stl gives a mesh as binary STL.
func stl(t testing.TB, m *mesh.Mesh) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := mesh.WriteSTL(&b, m, "a block"); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// sample is a job with something in every field.
func sample(t testing.TB) job.Job {
	t.Helper()
	library := process.OpenLibrary(assets.Records(), "")
	b := job.Brief{
		Directions: []r3.Vec{{Z: 1}, {X: 0.6, Y: -0.8}}, Cutter: support.Cutter{DiameterMM: 3, LengthMM: 70, HolderMM: 20},
		Priorities: orient.DefaultPriorities(), Candidates: 4, OnlyGiven: true, Seed: math.MaxUint64,
	}
	var err1, err2, err3 error
	b.Material, err1 = library.Materials.Get(assets.DefaultMaterial)
	b.Printer, err2 = library.Printers.Get(assets.DefaultPrinter)
	b.Furnace, err3 = library.Furnaces.Get(assets.DefaultFurnace)
	if err1 != nil || err2 != nil || err3 != nil {
		t.Fatal(err1, err2, err3)
	}
	seed := mark.Seed{At: r3.Vec{X: 1.5, Y: 1e-17, Z: 40}, Normal: r3.Vec{Z: 1}, WithinDeg: 20, AreaMM2: 600}
	b.Marks = mark.Kept{
		Faces:      []mark.KeptFace{{Kind: mark.Foot, Name: "Sitz für die Dichtung", Seeds: []mark.Seed{seed}, Without: []mark.Seed{seed, seed}, Rings: -2}},
		Dimensions: []mark.KeptDimension{{Name: "bore", Seeds: []mark.Seed{seed}, NominalMM: 12, ToleranceMM: 0.018}},
		Loads:      []mark.Load{{Name: "pull of the rod", Along: r3.Vec{X: 1}}},
	}
	return job.Job{
		Part:  job.Part{File: "rod clevis (2).stl", Content: job.NewContent(stl(t, meshtest.Block(20, 30, 40))), Unit: mesh.Inch, Item: job.AllItems, Demo: "rod-clevis"},
		Brief: b,
		Choice: job.Choice{
			Up: r3.Vec{X: 1}, Name: "XYZ", AsPrinted: true, Down: r3.Vec{Y: -1}, LeftOut: []mark.Seed{seed}, Supports: true, Blocks: true, Raft: true,
		},
		Sheet:   job.Sheet{Letter: true, AtSinteredSize: true, Fields: []job.Field{{Key: "batch", Text: "7"}, {Key: "furnace run", Text: ""}}},
		Notes:   "Second try.\r\nThe first leaned to the left…\n",
		Advice:  []byte("{\"part\": {}, \"elapsed_s\": {\"total\": 1}}\n"),
		Created: time.Date(2026, 3, 2, 8, 0, 0, 1, time.UTC), Saved: time.Date(2026, 3, 4, 17, 30, 10, 123456789, time.UTC), Program: "1.4",
		Thumbnail: []byte(pixel),
	}
}

// written gives the bytes of a job file.
func written(t testing.TB, j job.Job) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := job.Write(context.Background(), &b, j); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func read(data []byte) (job.Job, []string, error) {
	return job.Read(context.Background(), bytes.NewReader(data), int64(len(data)))
}

// difference tells how two jobs differ; a missing list is as good as an empty one.
func difference(want, got job.Job) string { return cmp.Diff(want, got, cmpopts.EquateEmpty()) }

func TestJobIsReadAsItWasWritten(t *testing.T) {
	full := sample(t)
	bare := job.Job{Part: job.Part{File: "x.obj", Content: job.NewContent([]byte("v 0 0 0\n"))}, Brief: job.Brief{
		Material: full.Brief.Material, Printer: full.Brief.Printer, Furnace: full.Brief.Furnace, Priorities: orient.DefaultPriorities(),
	}}
	unsound := full // in the middle of a change
	unsound.Brief.Material.Shrinkage = [3]float64{16, -1, math.MaxFloat64}
	unsound.Brief.Printer = process.Printer{}
	empty := full
	empty.Part.Content = job.NewContent(nil)
	other := full
	other.Part.File = "κρουνός №7.3mf"
	for name, want := range map[string]job.Job{"full": full, "bare": bare, "unsound records": unsound, "empty part": empty, "name not in ASCII": other} {
		t.Run(name, func(t *testing.T) {
			data := written(t, want)
			got, notes, err := read(data)
			if err != nil {
				t.Fatal(err)
			}
			if diff := difference(want, got); diff != "" || len(notes) > 0 {
				t.Errorf("read otherwise than written (-want +got), notes %q:\n%s", notes, diff)
			}
			if !bytes.Equal(written(t, got), data) {
				t.Error("the same job gives other bytes")
			}
		})
	}
	if err := unsound.Brief.Check(); err == nil || !strings.Contains(err.Error(), "shrinkage") {
		t.Errorf("Check says %v of an unsound record", err)
	}
	if err := full.Brief.Check(); err != nil {
		t.Errorf("Check says %v of sound records", err)
	}
}

func TestPartOfAJobIsReadAnew(t *testing.T) {
	j := sample(t)
	f, err := j.Part.Read(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	if f.SHA256 != j.Part.Content.SHA256() || f.Unit != mesh.Inch {
		t.Errorf("the part is read as %s in %s", f.SHA256, f.Unit)
	}
	p, err := j.Part.Make(context.Background(), f)
	if err != nil {
		t.Fatal(err)
	}
	if want := 20.0 * 30 * 40 * math.Pow(25.4, 3); math.Abs(p.Mesh.Volume()/want-1) > 1e-5 { // STL holds single precision
		t.Errorf("the part has %g mm3, want %g", p.Mesh.Volume(), want)
	}
}

// A job is opened with a changed part, as when the design was altered after the first
// print: the marks are found on it.
func TestMarksOfAJobAreFoundOnAChangedPart(t *testing.T) {
	m := meshtest.Block(20, 30, 40)
	s := mark.NewSurface(m)
	top := s.Nearest(r3.Vec{X: 10, Y: 15, Z: 40}, r3.Vec{Z: 1})
	j := sample(t)
	j.Brief.Marks = mark.Kept{Faces: []mark.KeptFace{{Kind: mark.Smooth, Seeds: []mark.Seed{s.SeedOn(top, 20)}}}}
	j, _, err := read(written(t, j))
	if err != nil {
		t.Fatal(err)
	}
	found, lost := j.Brief.Marks.Find(mark.NewSurface(meshtest.Block(20.1, 30, 40.1)))
	if len(lost) > 0 || len(found.Faces) != 1 || len(found.Faces[0].Facets) != 2 {
		t.Fatalf("found %v, lost %v", found, lost)
	}
	if b := j.Brief.For(found); b.Marks.Empty() || b.Seed != j.Brief.Seed {
		t.Errorf("the brief for the part is %v", b)
	}
	if diff := cmp.Diff(j.Brief, job.BriefOf(j.Brief.For(found), j.Brief.Marks)); diff != "" {
		t.Errorf("the brief goes and comes back otherwise:\n%s", diff)
	}
}

func TestWhatCannotBeReadAgainIsNotWritten(t *testing.T) {
	for name, spoil := range map[string]func(*job.Job){
		"no part":             func(j *job.Job) { j.Part.Content = nil },
		"a place not on it":   func(j *job.Job) { j.Choice.Up.X = math.NaN() },
		"direction of zero":   func(j *job.Job) { j.Brief.Directions = []r3.Vec{{}} },
		"load of zero":        func(j *job.Job) { j.Brief.Marks.Loads = []mark.Load{{}} },
		"unit that is none":   func(j *job.Job) { j.Part.Unit = "cubit" },
		"notes without end":   func(j *job.Job) { j.Notes = strings.Repeat("n", 5<<20) },
		"endless wishes":      func(j *job.Job) { j.Brief.Candidates = 1 << 30 },
		"build item below 0":  func(j *job.Job) { j.Part.Item = -2 },
		"priority like no":    func(j *job.Job) { j.Brief.Priorities[1] = 1e300 },
		"rows without number": func(j *job.Job) { j.Brief.Marks.Faces = []mark.KeptFace{{Rings: math.MaxInt32}} },
	} {
		t.Run(name, func(t *testing.T) {
			j := sample(t)
			spoil(&j)
			err := job.Write(context.Background(), &bytes.Buffer{}, j)
			if err == nil || !strings.Contains(err.Error(), ";") || strings.Contains(err.Error(), "\n") {
				t.Errorf("it says %v; want one sentence with what to do", err)
			}
		})
	}
}

func TestTextThatIsNoTextIsMadeText(t *testing.T) {
	j := sample(t)
	j.Notes, j.Brief.Material.Note, j.Choice.Name = "a\xffb", "c\xffd", "e\xfff"
	got, _, err := read(written(t, j))
	if err != nil {
		t.Fatal(err)
	}
	if got.Notes != "a\uFFFDb" || !utf8.ValidString(got.Brief.Material.Note) || got.Choice.Name != "e\uFFFDf" {
		t.Errorf("got %q, %q and %q", got.Notes, got.Brief.Material.Note, got.Choice.Name)
	}
}

func TestStampedKeepsTheBeginning(t *testing.T) {
	now := time.Date(2026, 5, 1, 9, 0, 0, 0, time.FixedZone("", 7200))
	first := job.Job{}.Stamped(now, "1.0")
	later := first.Stamped(now.Add(time.Hour), "1.1")
	if !first.Created.Equal(now) || !later.Created.Equal(now) || !later.Saved.Equal(now.Add(time.Hour)) || later.Program != "1.1" {
		t.Errorf("first %v, later %v", first, later)
	}
}

// An unzipper that is none of ours has to agree with the file.
func TestOtherUnzippersReadTheFile(t *testing.T) {
	tool, err := exec.LookPath("unzip")
	if err != nil {
		t.Skip("needs unzip")
	}
	path := filepath.Join(t.TempDir(), "a.zip")
	j := sample(t)
	if err := os.WriteFile(path, written(t, j), 0o666); err != nil {
		t.Fatal(err)
	}
	if out, err := exec.Command(tool, "-t", path).CombinedOutput(); err != nil || !strings.Contains(string(out), "No errors detected") {
		t.Errorf("unzip says %v:\n%s", err, out)
	}
	out, err := exec.Command(tool, "-p", path, "part/"+j.Part.File).Output()
	if err != nil || !bytes.Equal(out, j.Part.Content.Bytes()) {
		t.Errorf("unzip gives %d bytes of the part (%v), want %d", len(out), err, j.Part.Content.Size())
	}
	head, err := os.ReadFile(path)
	if err != nil || string(head[30:38]) != "mimetype" || !strings.HasPrefix(string(head[38:]), "application/x-kilnpoise-job") {
		t.Errorf("the file begins with %q (%v)", head[:70], err)
	}
}

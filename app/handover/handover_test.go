package handover_test

import (
	"context"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"testing"
	"time"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/app/handover"
	"kilnpoise/assets"
	"kilnpoise/mesh"
	"kilnpoise/mesh/meshtest"
	"kilnpoise/orient"
	"kilnpoise/orient/process"
	"kilnpoise/render"
)

// order gives an order for a small part turned onto its side.
func order(t *testing.T, size handover.Size) handover.Order {
	t.Helper()
	return orderUp(t, size, r3.Vec{X: 1})
}

// orderUp is order for another way up.
func orderUp(t *testing.T, size handover.Size, up r3.Vec) handover.Order {
	t.Helper()
	library := process.OpenLibrary(assets.Records(), "")
	b := orient.Brief{OnlyGiven: true, Directions: []r3.Vec{up}}
	var err error
	if b.Material, err = library.Materials.Get(assets.DefaultMaterial); err != nil {
		t.Fatal(err)
	}
	if b.Printer, err = library.Printers.Get(assets.DefaultPrinter); err != nil {
		t.Fatal(err)
	}
	if b.Furnace, err = library.Furnaces.Get(assets.DefaultFurnace); err != nil {
		t.Fatal(err)
	}
	m := meshtest.Blocks([]float64{0, 10, 30}, []float64{0, 8, 14}, []float64{0, 6, 12}, func(i, j, k int) bool { return i == 0 || j == 0 && k == 0 })
	part := &mesh.Part{Name: "lug", File: "lug.stl", SHA256: "0f", Mesh: m, Health: mesh.Health{Watertight: true}}
	a, err := orient.Advise(context.Background(), part, b, nil)
	if err != nil {
		t.Fatal(err)
	}
	for i := range a.Candidates {
		if a.Candidates[i].Origin == orient.Given {
			return handover.Order{Advice: a, Candidate: &a.Candidates[i], Size: size, Folder: t.TempDir(), Name: "lug"}
		}
	}
	t.Fatal("the given orientation is missing")
	return handover.Order{}
}

func TestMeshesReadBack(t *testing.T) {
	for _, tt := range []struct {
		size   handover.Size
		ending string
		want   r3.Vec
	}{
		{handover.Green, "green", r3.Vec{X: 14 / 0.84, Y: 12 / 0.84, Z: 30 / 0.8}},
		{handover.Sintered, "turned", r3.Vec{X: 14, Y: 12, Z: 30}},
	} {
		o := order(t, tt.size)
		for _, write := range []func() (string, error){o.Write3MF, o.WriteSTL} {
			path, err := write()
			if err != nil {
				t.Fatal(err)
			}
			f, err := mesh.ReadFile(context.Background(), path, mesh.ReadOptions{})
			if err != nil {
				t.Fatal(err)
			}
			p, err := f.Part(context.Background())
			if err != nil {
				t.Fatal(err)
			}
			if d := r3.Norm(r3.Sub(p.Mesh.Bounds().Size(), tt.want)); d > 1e-4 || !p.Health.Watertight {
				t.Errorf("%s measures %v, closed %v, want %v", filepath.Base(path), p.Mesh.Bounds().Size(), p.Health.Watertight, tt.want)
			}
			if want := o.Mesh().Volume(); math.Abs(p.Mesh.Volume()-want) > 1e-5*want {
				t.Errorf("%s holds %g mm3, want %g", filepath.Base(path), p.Mesh.Volume(), want)
			}
			if name := filepath.Base(path); name[:4+len(tt.ending)] != "lug-"+tt.ending {
				t.Errorf("the file is called %s", name)
			}
		}
	}
}

// The bodies of the plan are objects of their own in the 3MF, in their place above
// the raft, closed and apart from the part.
func TestBodiesGoWithThePart(t *testing.T) {
	o := order(t, handover.Green)
	planned, err := o.Advice.PlanSupports(context.Background(), nil)
	if err != nil {
		t.Fatal(err)
	}
	o.Advice, o.Candidate = planned, &planned.Candidates[0]
	if o.Bodies, err = planned.Bodies(context.Background(), o.Candidate, true, nil); err != nil {
		t.Fatal(err)
	}
	path, err := o.Write3MF()
	if err != nil {
		t.Fatal(err)
	}
	f, err := mesh.ReadFile(context.Background(), path, mesh.ReadOptions{})
	if err != nil {
		t.Fatal(err)
	}
	if len(f.Items) != 1+len(o.Bodies) {
		t.Fatalf("%d objects, want the part and %d bodies", len(f.Items), len(o.Bodies))
	}
	lowest := math.Inf(1)
	for i, item := range f.Items {
		lowest = min(lowest, item.Mesh.Bounds().Min.Z)
		p, err := f.Part(context.Background(), i)
		if err != nil {
			t.Fatal(err)
		}
		if !p.Health.Watertight {
			t.Errorf("%s is not closed", item.Name)
		}
	}
	if math.Abs(lowest) > 1e-6 || f.Items[0].Mesh.Bounds().Min.Z < 1 {
		t.Errorf("the lowest object stands at %g mm, the part at %g, want the raft below it", lowest, f.Items[0].Mesh.Bounds().Min.Z)
	}
	paths, err := o.WriteBodies()
	if err != nil || len(paths) != len(o.Bodies) {
		t.Errorf("%d files for %d bodies: %v", len(paths), len(o.Bodies), err)
	}
}

func TestSheetIsWritten(t *testing.T) {
	o := order(t, handover.Sintered)
	path, err := o.WriteSheet(context.Background(), render.Letter, time.Date(2026, 5, 4, 0, 0, 0, 0, time.UTC), "lug-turned.3mf")
	if err != nil {
		t.Fatal(err)
	}
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if string(data[:4]) != "%PDF" {
		t.Errorf("the sheet begins with %q", data[:4])
	}
}

// With supports planned the sheet has a page for them.
func TestSheetHasAPageForSupports(t *testing.T) {
	o := orderUp(t, handover.Green, r3.Vec{X: -1})
	o.Candidate.Resting = nil // fired as printed: nothing else asks for the page
	for _, planned := range []bool{false, true} {
		want := 3 // with what is to be measured
		if planned {
			plan, err := o.Advice.Plan(context.Background(), o.Candidate)
			if err != nil {
				t.Fatal(err)
			}
			if len(plan.Items) == 0 {
				t.Fatal("the lug needs no support: the test tests nothing")
			}
			o.Candidate.Plan, want = plan, 4
			o.LeftOut = func(item int) bool { return item == 0 }
		}
		path, err := o.WriteSheet(context.Background(), render.A4, time.Date(2026, 5, 4, 0, 0, 0, 0, time.UTC), "")
		if err != nil {
			t.Fatal(err)
		}
		data, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		if got := len(regexp.MustCompile(`/Type /Page\b[^s]`).FindAll(data, -1)); got != want {
			t.Errorf("planned %v: %d pages, want %d", planned, got, want)
		}
	}
}

// What cannot be written leaves nothing behind and says where.
func TestMissingFolderIsAnError(t *testing.T) {
	o := order(t, handover.Green)
	o.Folder = filepath.Join(o.Folder, "missing")
	if _, err := o.Write3MF(); err == nil {
		t.Error("a mesh was written into a missing folder")
	}
	if _, err := os.Stat(o.Folder); err == nil {
		t.Error("the folder was made")
	}
}

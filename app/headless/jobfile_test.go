package headless

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/app/job"
	"kilnpoise/assets"
	"kilnpoise/orient"
	"kilnpoise/orient/mark"
	"kilnpoise/orient/process"
)

// jobFile saves a job of a built-in part with a mark, a limit of its own and a
// direction, and gives its path.
func jobFile(t *testing.T) string {
	t.Helper()
	demo := assets.DemoParts()[1]
	data, err := demo.Mesh()
	if err != nil {
		t.Fatal(err)
	}
	library := process.OpenLibrary(assets.Records(), "")
	var b orient.Brief
	b.Priorities = orient.DefaultPriorities()
	if b.Material, err = library.Materials.Get(assets.DefaultMaterial); err != nil {
		t.Fatal(err)
	}
	if b.Printer, err = library.Printers.Get(assets.DefaultPrinter); err != nil {
		t.Fatal(err)
	}
	if b.Furnace, err = library.Furnaces.Get(assets.DefaultFurnace); err != nil {
		t.Fatal(err)
	}
	b.Material.OverhangLimitDeg = 52
	b.Directions = []r3.Vec{{X: 1}}
	j := job.Job{
		Part:  job.Part{File: demo.File, Content: job.NewContent(data), Unit: "mm", Item: job.AllItems, Demo: demo.ID},
		Brief: job.BriefOf(b, mark.Kept{Loads: []mark.Load{{Along: r3.Vec{Z: 1}}}}),
	}
	path := filepath.Join(t.TempDir(), "pump.kilnpoise")
	claim, err := job.Create(t.Context(), path, j)
	if err != nil {
		t.Fatal(err)
	}
	if err := claim.Release(); err != nil {
		t.Fatal(err)
	}
	return path
}

func TestAdviseTakesAJob(t *testing.T) {
	path := jobFile(t)
	before, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	var out, said bytes.Buffer
	o := Options{Part: path, JSON: true, NoFiles: true, OnlyGiven: true, NoFurnace: true}
	if err := o.Validate(); err != nil {
		t.Fatal(err)
	}
	if err := Run(t.Context(), o, &out, &said); err != nil {
		t.Fatal(err)
	}
	var r orient.Report
	if err := json.Unmarshal(out.Bytes(), &r); err != nil {
		t.Fatal(err)
	}
	if r.Process.OverhangLimitDeg != 52 {
		t.Errorf("the limit is %g, want that of the job", r.Process.OverhangLimitDeg)
	}
	given := 0
	for _, c := range r.Candidates {
		if c.Origin == orient.Given {
			given++
		}
		if c.Measures.LoadStrength == 1 && c.Up[2] > 0.99 {
			t.Error("the load of the job does not count")
		}
	}
	if given != 1 {
		t.Errorf("%d given directions, want the one of the job", given)
	}
	after, err := os.ReadFile(path)
	if err != nil || !bytes.Equal(before, after) {
		t.Errorf("the job file was changed (%v)", err)
	}
}

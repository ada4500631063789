package orienttest

import (
	"context"
	"testing"

	"kilnpoise/assets"
	"kilnpoise/mesh"
	"kilnpoise/orient"
	"kilnpoise/orient/process"
)

// BuiltInBrief is the brief of the built-in records, with the others at hand.
func BuiltInBrief(t testing.TB) orient.Brief {
	t.Helper()
	library := process.OpenLibrary(assets.Records(), "")
	var b orient.Brief
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
	b.OtherPrinters, b.OtherFurnaces = library.Printers.List(), library.Furnaces.List()
	return b
}

// WholeAdvice advises on a closed surface, solves the furnace on a coarse grid and
// plans the supports, as the command line does.
func WholeAdvice(t testing.TB, name string, m *mesh.Mesh) *orient.Advice {
	t.Helper()
	ctx := context.Background()
	b := BuiltInBrief(t)
	b.Candidates = 3
	whole, health, err := mesh.Mend(ctx, m)
	if err != nil {
		t.Fatal(err)
	}
	a, err := orient.Advise(ctx, &mesh.Part{Name: name, File: name + ".stl", Mesh: whole, Health: health}, b, nil)
	if err != nil {
		t.Fatal(err)
	}
	if a, err = a.Fire(ctx, orient.FiringOptions{Elements: 3000}, nil); err != nil {
		t.Fatal(err)
	}
	if a, err = a.PlanSupports(ctx, nil); err != nil {
		t.Fatal(err)
	}
	return a
}

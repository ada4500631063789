package process

import "testing"

// Names follow the figures that they state, and only those.
func TestNamesFollowFigures(t *testing.T) {
	lib, _ := openUser(t)
	printer := func(x, y, z float64) Printer {
		return Printer{PlateMM: [2]float64{x, y}, HeightMM: z, NozzleMM: 0.4}
	}
	material := func(x, y, z float64) Material {
		return Material{Shrinkage: [3]float64{x, y, z}, LayerHeightMM: 0.15}
	}
	for _, c := range []struct {
		name        string
		before, now Printer
		want        string
	}{
		{"plate 250 x 210, height 210", printer(250, 210, 210), printer(250, 210, 180), "plate 250 x 210, height 180, changed"},
		{"plate 250 x 210, height 210", printer(250, 210, 210), printer(250, 200, 210), "plate 250 x 200, height 210, changed"},
		{"plate 250 x 210, height 210", printer(250, 210, 210), printer(250, 210, 210), "plate 250 x 210, height 210"},
		{"machine 250", printer(250, 210, 210), printer(240, 210, 210), "machine 250, changed"},
		{"bench, 0.4 mm nozzle, own", printer(250, 210, 210), Printer{PlateMM: [2]float64{250, 210}, HeightMM: 210, NozzleMM: 0.6}, "bench, 0.6 mm nozzle, changed"},
	} {
		c.before.Name = c.name
		if got := lib.Printers.Renamed(c.before, c.now); got != c.want {
			t.Errorf("%q becomes %q, want %q", c.name, got, c.want)
		}
	}
	for _, c := range []struct {
		name        string
		before, now Material
		want        string
	}{
		{"316L filament, 16/16/20", material(0.16, 0.16, 0.20), material(0.171, 0.1685, 0.194), "316L filament, 17.1/16.85/19.4, changed"},
		{"17-4 filament, 17/17/17", material(0.17, 0.17, 0.17), material(0.18, 0.17, 0.17), "17-4 filament, 18/17/17, changed"},
		{"316L, 0.15 mm layers", material(0.16, 0.16, 0.20), Material{Shrinkage: [3]float64{0.16, 0.16, 0.20}, LayerHeightMM: 0.2}, "316L, 0.2 mm layers, changed"},
	} {
		c.before.Name = c.name
		if got := lib.Materials.Renamed(c.before, c.now); got != c.want {
			t.Errorf("%q becomes %q, want %q", c.name, got, c.want)
		}
	}
}

// What is kept with other figures than the built-in record has never bears its
// name; put back, it bears it again.
func TestSavedRecordsHaveNamesOfTheirOwn(t *testing.T) {
	lib, again := openUser(t)
	m := steel(t)
	builtin := m.Name
	m.Shrinkage = [3]float64{0.171, 0.17, 0.19}
	for range 2 { // the second saving changes nothing
		if err := lib.Materials.Save(m); err != nil {
			t.Fatal(err)
		}
	}
	for _, lib := range []*Library{lib, again()} {
		if got, _ := lib.Materials.Get(m.ID); got.Name != "316L filament, 17.1/17/19, own" {
			t.Errorf("kept as %q", got.Name)
		}
	}
	own, _ := lib.Materials.Get(m.ID)
	own.Shrinkage[2] = 0.195
	if err := lib.Materials.Save(own); err != nil {
		t.Fatal(err)
	}
	if got, _ := lib.Materials.Get(m.ID); got.Name != "316L filament, 17.1/17/19.5, own" {
		t.Errorf("changed again, kept as %q", got.Name)
	}
	one, err := lib.Materials.SaveAs(own, "")
	if err != nil {
		t.Fatal(err)
	}
	two, err := lib.Materials.SaveAs(own, "")
	if err != nil || one.ID == two.ID || one.Name == two.Name || one.Name == builtin || one.ID == m.ID {
		t.Errorf("two more are %q as %q and %q as %q (%v)", one.ID, one.Name, two.ID, two.Name, err)
	}
}

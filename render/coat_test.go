package render

import (
	"context"
	"image"
	"slices"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/orient"
	marking "kilnpoise/orient/mark"
)

// markedTable is the table with its top to keep clean and smooth, its legs' feet
// resting, one side smooth, and the front of the top picked.
func markedTable() *orient.Detail {
	d := detailOf(table())
	d.Marked = make([]orient.MarkSet, len(d.Green.Facets))
	for i := range d.Green.Facets {
		n, at := r3.Unit(d.Green.AreaVector(i)), middleOf(d.Green, i)
		switch {
		case n.Z > 0.9 && at.Z > 20:
			d.Marked[i] = orient.MarkSet(0).With(marking.KeepClean).With(marking.Smooth)
		case n.Z < -0.9 && at.Z < 1:
			d.Marked[i] = orient.MarkSet(0).With(marking.Foot)
		case n.X > 0.9 && at.X > 20:
			d.Marked[i] = orient.MarkSet(0).With(marking.Smooth)
		case n.Y < -0.9 && at.Z > 20:
			d.Marked[i] = orient.MarkSet(0).WithPick()
		}
	}
	return d
}

// regionedTable is the table with the two halves of its underside as regions.
func regionedTable() *orient.Detail {
	d := detailOf(table())
	d.RegionOf = make([]int32, len(d.Green.Facets))
	for i, over := range d.Overhang {
		if over {
			d.RegionOf[i] = 1
			if middleOf(d.Green, i).X > 0 {
				d.RegionOf[i] = 2
			}
		}
	}
	return d
}

func TestGoldenMarksAndRegions(t *testing.T) {
	marked, regions := markedTable(), regionedTable()
	for _, c := range []struct {
		name  string
		scene *Scene
		shot  Shot
	}{
		{"marks.png", NewScene(marked, plateStage()), Shot{Camera: DefaultCamera(), Overlays: Overlays{Overhang: true, Marks: true}}},
		{"marks-dark.png", NewScene(marked, plateStage()), Shot{Camera: BelowCamera(), Overlays: Overlays{Overhang: true, Marks: true}, Palette: DarkPalette()}},
		{"marks-setter.png", NewScene(marked, setterStage()), Shot{Camera: DefaultCamera(), Overlays: Overlays{Sag: true, Marks: true}}},
		{"regions.png", NewScene(regions, plateStage()), Shot{Camera: BelowCamera(), Overlays: Overlays{Overhang: true, Regions: true}}},
		{"region-2.png", NewScene(regions, plateStage()), Shot{Camera: DefaultCamera(), Overlays: Overlays{Regions: true, Region: 2}, Palette: DarkPalette()}},
	} {
		t.Run(c.name, func(t *testing.T) {
			c.shot.Width, c.shot.Height, c.shot.Samples = 320, 240, 2
			sameAsGolden(t, c.name, c.scene.Frame(context.Background(), c.shot))
		})
	}
}

func TestGoldenMarkLegend(t *testing.T) {
	p := LightPalette()
	all := NewScene(markedTable(), plateStage()).Legend(Overlays{Marks: true}, p)
	all = append(all, NewScene(regionedTable(), plateStage()).Legend(Overlays{Regions: true, Region: 2}, p)...)
	sameAsGolden(t, "legend-marks.png", DrawLegend(all, 420, 1, p))
}

// differ counts the pixels that are not alike.
func differ(a, b *image.RGBA) int {
	n := 0
	for i := 0; i < len(a.Pix); i += 4 {
		if !slices.Equal(a.Pix[i:i+3], b.Pix[i:i+3]) {
			n++
		}
	}
	return n
}

// A scene with other marks draws as one made with them, and the one it came from
// stays as it was; marks of another part are passed over.
func TestWithMarks(t *testing.T) {
	marked := markedTable()
	plain := detailOf(table())
	for _, stage := range []Stage{plateStage(), setterStage()} {
		if stage.Machine == OnSetter {
			for _, d := range []*orient.Detail{marked, plain} {
				d.Sag = nil
				d.Sintered, d.SinteredFrom = d.Sintered.Refine(4, 10_000)
			}
		}
		shot := Shot{Camera: DefaultCamera(), Width: 160, Height: 120, Overlays: Overlays{Marks: true}}
		draw := func(s *Scene) *image.RGBA { return s.Frame(context.Background(), shot) }
		from := NewScene(plain, stage)
		before, want := draw(from), draw(NewScene(marked, stage))
		if differ(before, want) < 200 {
			t.Fatal("the marks are not drawn: the test tests nothing")
		}
		if n := differ(draw(from.WithMarks(marked.Marked)), want); n > 0 {
			t.Errorf("%v: %d pixels differ from a scene made with the marks", stage.Machine, n)
		}
		if n := differ(draw(from), before); n > 0 {
			t.Errorf("%v: the scene itself has changed, in %d pixels", stage.Machine, n)
		}
		if n := differ(draw(from.WithMarks(marked.Marked[1:])), before); n > 0 {
			t.Errorf("%v: marks of another part are drawn", stage.Machine)
		}
		if n := differ(draw(NewScene(marked, stage).WithMarks(nil)), before); n > 0 {
			t.Errorf("%v: marks taken away are drawn", stage.Machine)
		}
	}
}

func TestMarkLegendNamesTheKinds(t *testing.T) {
	got := NewScene(markedTable(), plateStage()).Legend(Overlays{Marks: true}, LightPalette())
	want := []string{"marked: keep clean", "marked: smooth", "marked: rests well", "picked"}
	if len(got) != len(want) {
		t.Fatalf("%d entries, want %d", len(got), len(want))
	}
	for i, e := range got {
		if e.Text != want[i] {
			t.Errorf("entry %d says %q, want %q", i, e.Text, want[i])
		}
	}
	if got := NewScene(detailOf(table()), plateStage()).Legend(Overlays{Marks: true, Regions: true}, LightPalette()); len(got) > 0 {
		t.Errorf("without marks and plan the legend says %v", got)
	}
}

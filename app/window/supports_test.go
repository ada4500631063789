package window

import (
	"context"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
	"kilnpoise/orient"
	"kilnpoise/orient/support"
)

// planned opens the tee as loaded, whose plate hangs over, with its supports
// planned and the furnace left out.
func planned(t *testing.T) *bench {
	t.Helper()
	plan := func(ctx context.Context, a *orient.Advice, r func(orient.Progress)) (*orient.Advice, error) {
		return a.PlanSupports(ctx, r)
	}
	b := newBench(t, &scripted{fire: plan}, 1280, 770)
	b.begin(stlFile(t, "tee.stl", tee()))
	b.waitAdvised()
	all := b.desk.candidates()
	b.choose(asLoadedOf(all).Rank - 1)
	b.until("the plan", func() bool { return b.desk.candidate().Plan != nil })
	return b
}

func TestARegionIsShownFromBelow(t *testing.T) {
	b := planned(t)
	if len(b.desk.candidate().Plan.Items) == 0 {
		t.Fatal("the tee as loaded has no region")
	}
	b.lookAtRegion(0)
	if c := b.machines.Camera; c.PitchDeg >= 0 || b.machines.Region != 1 {
		t.Errorf("camera %+v, region %d, want one from below on the first", c, b.machines.Region)
	}
	b.choose(0)
	if b.machines.Region != 0 {
		t.Error("another candidate keeps the region of the last")
	}
}

// Regions that are left out are not written; those taken back are.
func TestBodiesOfThePlanAreWritten(t *testing.T) {
	b := planned(t)
	c := b.desk.candidate()
	prints := slices.IndexFunc(c.Plan.Items, func(i support.Item) bool { return i.Prints })
	if prints < 0 {
		t.Fatalf("nothing of the plan is printed: %+v", c.Plan.Items[0].Advice)
	}
	written := func() []string {
		b.beginHandOver()
		b.hand.bodies.SetChecked(true)
		b.hand.raft.SetChecked(true)
		b.hand.SetFolder(t.TempDir())
		choice := b.hand.Choice()
		choice.sheet = false
		o, err := b.order(choice)
		if err != nil {
			t.Fatal(err)
		}
		out, err := b.engine.Write(t.Context(), o)
		if err != nil {
			t.Fatal(err)
		}
		f, err := mesh.ReadFile(t.Context(), out.files[0], mesh.ReadOptions{})
		if err != nil {
			t.Fatal(err)
		}
		var names []string
		for _, item := range f.Items {
			names = append(names, item.Name)
		}
		if want := 1 + len(names); len(out.files) != want { // 3MF, STL of the part and of each body
			t.Errorf("%d files for %d objects: %v", len(out.files), len(names), out.files)
		}
		for _, path := range out.files {
			if !exists(path) {
				t.Errorf("%s is empty", filepath.Base(path))
			}
		}
		return names
	}
	all := written()
	if !strings.Contains(plainSpaces(b.hand.extras.Text), "supports for 1 region") {
		t.Errorf("the hand-over says %q", b.hand.extras.Text)
	}
	b.toggleLeft(prints)
	without := written()
	if len(without) != len(all)-1 {
		t.Errorf("with the region left out %v are written, with it %v", without, all)
	}
	b.toggleLeft(prints)
	if got := written(); !slices.Equal(got, all) {
		t.Errorf("taken back %v are written, want %v", got, all)
	}
}

// Bodies are for the green size alone.
func TestNoBodiesAtFinishedSize(t *testing.T) {
	b := planned(t)
	b.beginHandOver()
	b.hand.bodies.SetChecked(true)
	b.hand.size.Choose(sizeSintered)
	if c := b.hand.Choice(); c.bodies || !b.hand.bodies.Disabled() {
		t.Error("bodies can be asked for at finished size")
	}
}

func TestCameraLooksFromTheSideOfTheRegion(t *testing.T) {
	b := planned(t)
	c := b.desk.candidate()
	r := c.Plan.Items[0].Region
	for _, tt := range []struct {
		at  r3.Vec
		yaw float64
	}{{r3.Vec{X: 9}, 90}, {r3.Vec{Y: -9}, 0}, {r3.Vec{X: -9}, -90}} {
		r.Centroid = tt.at
		if got := cameraOn(&r, c, b.desk.part.Mesh.AreaVector).YawDeg; got < tt.yaw-0.1 || got > tt.yaw+0.1 {
			t.Errorf("a region at %v is looked at with yaw %g, want %g", tt.at, got, tt.yaw)
		}
	}
}

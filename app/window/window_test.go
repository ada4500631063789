package window

import (
	"strings"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/test"
	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/app/window/kit"
	"kilnpoise/app/window/machines"
	"kilnpoise/mesh"
	"kilnpoise/mesh/meshtest"
	"kilnpoise/orient"
)

// tee is a part that is better printed on its head: a stem under a plate.
func tee() *mesh.Mesh {
	return meshtest.Blocks([]float64{0, 12, 20, 32}, []float64{0, 12, 20, 32}, []float64{0, 24, 30},
		func(i, j, k int) bool { return k == 1 || i == 1 && j == 1 })
}

// advised opens a file in a window with the furnace left out.
func advised(t *testing.T, name string, m *mesh.Mesh) *bench {
	t.Helper()
	b := newBench(t, &scripted{}, 1280, 770)
	b.begin(stlFile(t, name, m))
	b.waitAdvised()
	return b
}

func TestOpensAdvisedAndSaysWhatToDo(t *testing.T) {
	b := newBench(t, &scripted{search: true}, 1280, 770)
	b.begin(stlFile(t, "tee.stl", tee()))
	b.waitAdvised()
	if got := b.win.Title(); got != "Kilnpoise - tee - fired" {
		t.Errorf("title = %q", got)
	}
	first := b.desk.candidate()
	if up := first.Pose.Up(); up.Z > -0.999 {
		t.Errorf("the first choice builds along %v, want the plate down (0, 0, -1)", up)
	}
	verdict := plainSpaces(b.head.verdict.Text)
	if !strings.Contains(verdict, "broad side down: no support, where as loaded it needs") {
		t.Errorf("verdict = %q", verdict)
	}
	if got := b.head.part.Text; !strings.Contains(got, "The mesh is sound.") || !strings.Contains(got, "Millimetres are assumed;") {
		t.Errorf("part line = %q", got)
	}
	if len(b.shelf.row.Objects) != len(b.desk.advice.Candidates) {
		t.Errorf("%d cards for %d candidates", len(b.shelf.row.Objects), len(b.desk.advice.Candidates))
	}
	if b.why.hand.Disabled() {
		t.Error("the hand-over is held although there is advice")
	}
}

func TestCandidatesAreChosenByKeyAndMouse(t *testing.T) {
	b := advised(t, "tee.stl", tee())
	b.key(fyne.KeyRight)
	if b.desk.index() != 1 || !b.shelf.cards[1].selected || b.shelf.cards[0].selected {
		t.Fatalf("after Right candidate %d is chosen", b.desk.index())
	}
	if !strings.HasPrefix(b.head.verdict.Text, "Second choice. ") {
		t.Errorf("verdict = %q", b.head.verdict.Text)
	}
	b.key(fyne.Key3)
	if b.desk.index() != 2 {
		t.Errorf("after 3 candidate %d is chosen", b.desk.index())
	}
	test.Tap(b.shelf.cards[0])
	if b.desk.index() != 0 {
		t.Errorf("after a click on the first card candidate %d is chosen", b.desk.index())
	}
	b.key(fyne.KeyEnd) // the shelf has the focus since the click
	if want := len(b.desk.advice.Candidates) - 1; b.desk.index() != want {
		t.Errorf("after End candidate %d is chosen, want %d", b.desk.index(), want)
	}
	b.key(fyne.KeyHome)
	if b.desk.index() != 0 {
		t.Errorf("after Home candidate %d is chosen", b.desk.index())
	}
}

func TestBothMachinesShowTheChoice(t *testing.T) {
	b := advised(t, "tee.stl", tee())
	b.until("both pictures", func() bool {
		b.win.Canvas().Capture() // paints, which tells the views their size
		return b.machines.Views[0].Frame != nil && b.machines.Views[1].Frame != nil
	})
	plate, setter := b.machines.Last[0], b.machines.Last[1]
	if plate.Shot.MMPerPixel != setter.Shot.MMPerPixel {
		t.Errorf("scales differ: %v and %v mm per pixel", plate.Shot.MMPerPixel, setter.Shot.MMPerPixel)
	}
	was := b.machines.Camera
	test.Drag(b.win.Canvas(), fyne.NewPos(200, 300), 40, 10)
	if b.machines.Camera == was {
		t.Error("a drag does not turn the part")
	}
	b.key(fyne.KeyP)
	if b.machines.Views[1].Visible() || !b.machines.Views[0].Visible() {
		t.Error("P does not give the plate the whole space")
	}
	b.key(fyne.KeyP)
	if !b.machines.Views[1].Visible() {
		t.Error("P does not give the space back")
	}
}

func TestOwnFaceBecomesACandidate(t *testing.T) {
	b := advised(t, "tee.stl", tee())
	before := len(b.desk.advice.Candidates)
	facet := -1
	for i := range b.desk.part.Mesh.Facets {
		if n := r3.Unit(b.desk.part.Mesh.AreaVector(i)); n.X > 0.99 {
			facet = i
		}
	}
	b.togglePicking()
	if !b.machines.Picking() || b.title.hint.Text != pickHint {
		t.Fatal("picking has not begun")
	}
	b.restOnFacet(facet)
	b.waitAdvised()
	c := b.desk.candidate()
	if c.Origin != orient.Given || c.Pose.Up().X > -0.999 {
		t.Errorf("chosen is %s along %v, want the given one along (-1, 0, 0)", c.Origin, c.Pose.Up())
	}
	if got := len(b.desk.advice.Candidates); got < before {
		t.Errorf("%d candidates, had %d", got, before)
	}
	if b.machines.Picking() {
		t.Error("picking goes on")
	}
	b.restOnFacet(facet) // once more changes nothing
	if len(b.desk.brief.Directions) != 1 {
		t.Errorf("%d directions of the user's own, want 1", len(b.desk.brief.Directions))
	}
}

func TestOverlaysToggleByClickAndMenu(t *testing.T) {
	b := advised(t, "tee.stl", tee())
	on := b.machines.Overlay(machines.OverlayFootprint)
	b.until("the scenes", func() bool { return b.machines.Scenes[0] != nil })
	test.Tap(b.machines.Toggles[machines.OverlayFootprint])
	if b.machines.Overlay(machines.OverlayFootprint) == on {
		t.Error("a click on the legend does not toggle the footprint")
	}
	b.menu.overlays[machines.OverlayFootprint].Action()
	if b.machines.Overlay(machines.OverlayFootprint) != on || b.menu.overlays[machines.OverlayFootprint].Checked != on {
		t.Error("the menu does not toggle it back")
	}
	if b.machines.Toggles[machines.OverlayOverhang].Entry.Text == "" {
		t.Error("an overlay has no legend")
	}
}

func TestEscapeLeavesTheInnermost(t *testing.T) {
	b := advised(t, "tee.stl", tee())
	b.openBrief()
	b.editRecord(materialRecord)
	b.togglePicking()
	for i, left := range []func() bool{
		func() bool { return !b.machines.Picking() },
		func() bool { return !b.brief.Inside() && b.page.BriefOut() },
		func() bool { return !b.page.BriefOut() },
	} {
		b.escape()
		if !left() {
			t.Errorf("Esc number %d did not leave", i+1)
		}
	}
}

func TestClosingEndsTheWorkAndKeepsTheSize(t *testing.T) {
	b := advised(t, "tee.stl", tee())
	b.close()
	if b.ctx.Err() == nil {
		t.Error("workers are not told that the window is closed")
	}
	if got := b.prefs.windowSize(); got.Width < 1200 {
		t.Errorf("size kept is %v", got)
	}
}

func TestForcedDarkRecolours(t *testing.T) {
	b := advised(t, "tee.stl", tee())
	b.setMode(kit.AlwaysLight)
	light := machines.PicturePalette().Background
	b.setMode(kit.AlwaysDark)
	b.recolour()
	if b.machines.Palette.Background == light {
		t.Error("the pictures stay light")
	}
	if !b.menu.modes[kit.AlwaysDark].Checked {
		t.Error("the menu does not tell that dark is forced")
	}
}

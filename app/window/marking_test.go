package window

import (
	"reflect"
	"strings"
	"testing"

	"fyne.io/fyne/v2"
	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
	"kilnpoise/mesh/meshtest"
	"kilnpoise/orient"
	"kilnpoise/orient/mark"
)

// facetFacing gives the lowest facet of m that looks along d.
func facetFacing(t *testing.T, m *mesh.Mesh, d r3.Vec) int {
	t.Helper()
	best := -1
	for i := range m.Facets {
		if r3.Dot(r3.Unit(m.AreaVector(i)), d) < 0.999 {
			continue
		}
		a, _, _ := m.Corners(i)
		if best < 0 {
			best = i
		}
		if b, _, _ := m.Corners(best); a.Z < b.Z {
			best = i
		}
	}
	if best < 0 {
		t.Fatalf("no facet looks along %v", d)
	}
	return best
}

// marking opens the marks of an advised part.
func marked(t *testing.T, name string, m *mesh.Mesh) *bench {
	t.Helper()
	b := advised(t, name, m)
	b.beginMarking()
	b.until("the part to be ready for picking", func() bool { return b.desk.surface != nil })
	return b
}

func ranking(a *orient.Advice) []string {
	var out []string
	for i := range a.Candidates {
		out = append(out, a.Candidates[i].Name)
	}
	return out
}

// A name that is too long to be shown is refused with a sentence, and what is picked
// stays picked.
func TestLongNamesOfMarksAreRefused(t *testing.T) {
	b := marked(t, "tee.stl", tee())
	b.facePicked(0)
	b.keepMark(strings.Repeat("ü", 121), 0, 0)
	if said := b.brief.marks.status.Text; !strings.Contains(said, "has 121 characters; up to 120") || len(b.desk.kept.Faces) != 0 || len(b.marking.facets) == 0 {
		t.Errorf("it says %q, %d marks are kept", said, len(b.desk.kept.Faces))
	}
	b.keepMark(strings.Repeat("ü", 110)+"\nx", 0, 0)
	if len(b.desk.kept.Faces) != 1 || strings.Contains(b.desk.kept.Faces[0].Name, "\n") {
		t.Errorf("kept are %+v", b.desk.kept.Faces)
	}
}

// The underside of the plate must stay clean: as loaded it is all supports, and
// the ranking says so. Without the mark it is as it was.
func TestMarkedFaceChangesTheMeasuresAndGoesAgain(t *testing.T) {
	b := marked(t, "tee.stl", tee())
	before := ranking(b.desk.advice)
	costs := func() (out []float64) {
		for i := range b.desk.advice.Candidates {
			out = append(out, b.desk.advice.Candidates[i].Cost)
		}
		return out
	}
	was := costs()
	under := -1
	for i := range b.desk.part.Mesh.Facets { // the plate's underside lies at z = 24
		if a, _, _ := b.desk.part.Mesh.Corners(i); a.Z == 24 && b.desk.part.Mesh.AreaVector(i).Z < 0 {
			under = i
		}
	}
	b.facePicked(under)
	if got := len(b.marking.facets); got != 16 {
		t.Errorf("the click took %d facets, want the 16 of the underside", got)
	}
	p := b.brief.marks
	if p.keep.Disabled() || !strings.Contains(p.status.Text, "mm²") {
		t.Fatalf("the mark cannot be kept; the panel says %q", p.status.Text)
	}
	p.name.SetText("seat")
	p.keepIt()
	b.until("the advice with the mark", func() bool { return len(b.desk.advice.Brief.Marks.Faces) == 1 && !b.advising.running() })
	c := asLoadedOf(b.desk.advice.Candidates)
	if want := (32*32 - 8*8) / (0.84 * 0.84); c.Measures.MarkedScarMM2 < 0.99*want || c.Measures.MarkedScarMM2 > 1.01*want {
		t.Errorf("as loaded the mark is scarred over %g mm2, want %g", c.Measures.MarkedScarMM2, want)
	}
	if !strings.Contains(b.brief.marked.Text, "Keep clean “seat”") {
		t.Errorf("the brief says %q", b.brief.marked.Text)
	}
	b.removeMark(0)
	b.until("the advice without", func() bool { return b.desk.advice.Brief.Marks.Empty() && !b.advising.running() })
	if got := ranking(b.desk.advice); !reflect.DeepEqual(got, before) || !reflect.DeepEqual(costs(), was) {
		t.Errorf("without the mark the ranking is %v, was %v", got, before)
	}
}

func TestClickingTwiceLeavesAFaceOut(t *testing.T) {
	b := marked(t, "block.stl", meshtest.Block(20, 30, 40))
	m := b.desk.part.Mesh
	top, side := facetFacing(t, m, r3.Vec{Z: 1}), facetFacing(t, m, r3.Vec{X: 1})
	b.facePicked(top)
	b.facePicked(side)
	if got := b.desk.surface.Area(b.marking.facets); got != 20*30+30*40 {
		t.Errorf("two clicks took %g mm2, want 1800", got)
	}
	b.facePicked(side)
	if got := b.desk.surface.Area(b.marking.facets); got != 20*30 {
		t.Errorf("a second click on the side left %g mm2, want 600", got)
	}
	b.takeRings(1)
	if got := b.desk.surface.Area(b.marking.facets); got <= 600 {
		t.Errorf("grown it is %g mm2", got)
	}
	b.clearMark()
	if len(b.marking.facets) != 0 || !b.brief.marks.keep.Disabled() {
		t.Error("starting over leaves something picked")
	}
}

func TestDimensionsAndLoadsAreTakenOffThePart(t *testing.T) {
	b := marked(t, "rod.stl", meshtest.Cylinder(6, 40, 48))
	m := b.desk.part.Mesh
	top, bottom := facetFacing(t, m, r3.Vec{Z: 1}), facetFacing(t, m, r3.Vec{Z: -1})
	b.takeWhat(markDistance)
	b.facePicked(top)
	if !b.brief.marks.keep.Disabled() {
		t.Error("one flat makes a distance")
	}
	b.facePicked(bottom)
	b.brief.marks.tolerance.SetText("0,1")
	b.brief.marks.keepIt()
	wall := -1
	for i := range m.Facets {
		if n := m.AreaVector(i); n.Z > -1e-9 && n.Z < 1e-9 {
			wall = i
		}
	}
	b.takeWhat(markBore)
	b.facePicked(wall)
	b.brief.marks.keepIt()
	b.takeWhat(markLoad)
	b.facePicked(top)
	b.brief.marks.keepIt()
	got := b.desk.brief.Marks
	if len(got.Dimensions) != 2 || got.Dimensions[0].NominalMM != 40 || got.Dimensions[0].ToleranceMM != 0.1 {
		t.Fatalf("dimensions %+v", got.Dimensions)
	}
	if d := got.Dimensions[1]; d.What != mark.Diameter || d.NominalMM < 11.9 || d.NominalMM > 12.001 {
		t.Errorf("the pin is %+v, want 12 mm", d)
	}
	if len(got.Loads) != 1 || got.Loads[0].Along.Z < 0.999 {
		t.Errorf("loads %+v, want one along Z", got.Loads)
	}
	if n := len(b.keptLines()); n != 3 {
		t.Errorf("%d marks are listed, want 3", n)
	}
}

// Marks are found again when the file is read anew, and those that are gone are
// named.
func TestMarksOutliveAChangedFile(t *testing.T) {
	b := marked(t, "block.stl", meshtest.Block(20, 30, 40))
	b.facePicked(facetFacing(t, b.desk.part.Mesh, r3.Vec{Z: 1}))
	b.brief.marks.keepIt()
	path := b.desk.from.path
	reopen := func(m *mesh.Mesh) {
		writeSTL(t, path, m)
		was := b.desk.part
		b.openPath(path)
		b.until("the file to be read anew", func() bool { return b.desk.part != was })
		b.waitAdvised()
	}
	reopen(meshtest.Block(20, 30, 40.2))
	if got := len(b.desk.advice.Brief.Marks.Faces); got != 1 {
		t.Fatalf("%d marked faces on the changed part, want 1", got)
	}
	reopen(meshtest.Block(20, 30, 70))
	if got := len(b.desk.brief.Marks.Faces); got != 0 {
		t.Errorf("%d marked faces on another part, want none", got)
	}
	said := false
	for _, n := range b.board.notices {
		said = said || strings.Contains(plainSpaces(n.text), "1 mark not found on this part: face 1")
	}
	if !said {
		t.Error("the window does not say that the mark is lost")
	}
	if b.desk.kept.Faces[0].Kind != mark.KeepClean {
		t.Error("the lost mark is not kept for a better file")
	}
}

func TestEscapeLeavesMarking(t *testing.T) {
	b := marked(t, "tee.stl", tee())
	b.until("the focus to move", func() bool { return b.win.Canvas().Focused() != nil })
	b.escape()
	if b.marking.on || b.machines.Picking() || b.brief.Inside() {
		t.Error("Esc does not leave the marks")
	}
	b.key(fyne.KeyM)
	if !b.marking.on {
		t.Error("M does not open the marks")
	}
}

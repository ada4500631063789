package window

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/app/job"
	"kilnpoise/mesh"
	"kilnpoise/orient"
)

// worked opens a part and does one of everything to its job.
func worked(t *testing.T) *bench {
	t.Helper()
	b := marked(t, "tee.stl", tee())
	b.facePicked(facetFacing(t, b.desk.part.Mesh, r3.Vec{Z: 1}))
	b.brief.marks.name.SetText("seat")
	b.brief.marks.keepIt()
	b.endMarking()
	b.takeFigure("overhang_limit_deg", "", 50)
	w := b.desk.brief.Priorities
	w[orient.ShorterPrint] = 5
	b.takePriorities(w)
	b.until("the advice", func() bool {
		return b.desk.advice.Brief.Material.OverhangLimitDeg == 50 && len(b.desk.advice.Brief.Marks.Faces) == 1 && !b.busy() &&
			b.desk.advice.Brief.Priorities == w
	})
	b.choose(1)
	b.takeNotes("by the north furnace")
	return b
}

// keepIn has the job kept by itself in a folder, and lets go of it before the folder
// is removed.
func (b *bench) keepIn(folder string) {
	b.keepJobsIn(folder)
	b.t.Cleanup(b.letGo)
}

// letGo lets the job go and waits until that is done.
func (b *bench) letGo() {
	b.t.Helper()
	b.endSitting()
	b.settle()
}

// settle waits until all that was given to the disk is done.
func (b *bench) settle() {
	b.t.Helper()
	if err := b.errands.settled(context.Background()); err != nil {
		b.t.Fatal(err)
	}
}

// save saves the job to a new file and waits for it.
func (b *bench) save(path string) {
	b.t.Helper()
	b.saveJobTo(path)
	b.until("the job to be saved", func() bool { return !b.savingJob.running() })
	if b.keeping.claim == nil {
		b.t.Fatalf("the job is not saved: %s", b.board.Text(noticeJob))
	}
}

func TestAJobOpensAsItWasSaved(t *testing.T) {
	b := worked(t)
	path := filepath.Join(t.TempDir(), "pump")
	b.save(path)
	path += job.Extension
	if got := b.win.Title(); !strings.HasPrefix(got, "Kilnpoise - pump.kilnpoise - ") {
		t.Errorf("title %q", got)
	}
	chosen, rows := b.desk.candidate().Name, ranking(b.desk.advice)
	b.letGo()

	c := newBench(t, &scripted{}, 1280, 770)
	c.openPath(path)
	c.until("the job", func() bool { return c.keeping.claim != nil })
	c.waitAdvised()
	if got := ranking(c.desk.advice); strings.Join(got, ";") != strings.Join(rows, ";") {
		t.Errorf("the ranking is %v, was %v", got, rows)
	}
	if got := c.desk.candidate().Name; got != chosen {
		t.Errorf("chosen is %q, was %q", got, chosen)
	}
	if c.desk.notes != "by the north furnace" || c.desk.brief.Material.OverhangLimitDeg != 50 || c.desk.kept.Faces[0].Name != "seat" {
		t.Errorf("notes %q, limit %g, marks %+v", c.desk.notes, c.desk.brief.Material.OverhangLimitDeg, c.desk.kept)
	}
	if c.keeping.history.Changed() {
		t.Error("a job just opened counts as changed")
	}
	if text := c.board.Text(noticeJob); text != "" {
		t.Errorf("the window says %q", text)
	}
}

func TestEveryStepIsUndoneAndRedone(t *testing.T) {
	b := worked(t)
	end := b.jobNow()
	var labels []string
	for {
		label, ok := b.keeping.history.CanUndo()
		if !ok {
			break
		}
		labels = append(labels, label)
		b.undo()
	}
	b.until("the advice", func() bool {
		return b.desk.advice.Brief.Marks.Empty() && b.desk.advice.Brief.Material.OverhangLimitDeg == 45 && !b.busy()
	})
	if len(labels) != 5 || labels[4] != "mark the part" {
		t.Errorf("undone are %q", labels)
	}
	if !b.desk.kept.Empty() || b.desk.notes != "" || b.desk.index() != 0 || b.desk.brief.Priorities != orient.DefaultPriorities() {
		t.Errorf("with all undone: marks %+v, notes %q, candidate %d", b.desk.kept, b.desk.notes, b.desk.index())
	}
	for {
		if _, ok := b.keeping.history.CanRedo(); !ok {
			break
		}
		b.redo()
	}
	now := b.jobNow()
	if now.Notes != end.Notes || now.Choice.Up != end.Choice.Up || now.Brief.Priorities != end.Brief.Priorities || len(now.Brief.Marks.Faces) != 1 {
		t.Errorf("redone is %+v, was %+v", now.Brief, end.Brief)
	}
}

func TestAnotherUnitIsAStep(t *testing.T) {
	b := advised(t, "tee.stl", tee())
	b.readInUnit(mesh.Centimetre)
	b.until("centimetres", func() bool { return b.desk.part.Unit == mesh.Centimetre })
	b.waitAdvised()
	if label, ok := b.keeping.history.CanUndo(); !ok || label != "read it in centimetres" {
		t.Errorf("undo offers %q", label)
	}
	b.undo()
	b.until("millimetres", func() bool { return b.desk.part.Unit.MM() == 1 })
	b.waitAdvised()
	b.redo()
	b.until("centimetres again", func() bool { return b.desk.part.Unit == mesh.Centimetre })
}

// A job open in one window opens in another only as a copy, and what another program
// wrote is not saved over.
func TestTwoWindowsOnOneJob(t *testing.T) {
	b := worked(t)
	path := filepath.Join(t.TempDir(), "pump.kilnpoise")
	b.save(path)
	c := newBench(t, &scripted{}, 1280, 770)
	c.openPath(path)
	c.until("the refusal", func() bool { return c.board.Text(noticeOpen) != "" })
	if n := c.board.notices[len(c.board.notices)-1]; n.actions[0].label != "Open a copy" {
		t.Fatalf("offered is %q: %s", n.actions[0].label, n.text)
	}
	c.openCopy(path)
	c.until("the copy", func() bool { return c.desk.notes != "" })
	if c.keeping.claim != nil {
		t.Error("the copy claims the file")
	}
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, append(data, 0), 0o644); err != nil {
		t.Fatal(err)
	}
	b.saveJob()
	b.until("the refusal", func() bool { return b.board.Text(noticeJob) != "" })
	after, err := os.ReadFile(path)
	if err != nil || len(after) != len(data)+1 {
		t.Errorf("the file has %d bytes, want the %d that another wrote (%v)", len(after), len(data)+1, err)
	}
}

// What was not saved is offered at the next start.
func TestAnUnsavedJobIsOfferedAgain(t *testing.T) {
	folder := t.TempDir()
	b := worked(t)
	b.keepIn(folder)
	b.takeNotes("cut before firing")
	b.close()
	b.settle()

	c := newBench(t, &scripted{}, 1280, 770)
	c.keepIn(folder)
	c.until("the offer", func() bool { return c.board.Text(noticeLeftover) != "" })
	n := c.board.notices[0]
	if !strings.Contains(n.text, "tee.stl") || n.actions[0].label != "Go on with it" {
		t.Fatalf("offered is %q %+v", n.text, n.actions)
	}
	n.actions[0].do()
	c.until("the job", func() bool { return c.desk.notes == "cut before firing" })
	c.waitAdvised()
	if !c.keeping.history.Changed() {
		t.Error("the job counts as saved")
	}
	c.until("the old autosave to go", func() bool {
		left, err := job.Leftovers(folder)
		return err == nil && len(left) == 0
	})
}

func TestASavedJobLeavesNothingBehind(t *testing.T) {
	folder := t.TempDir()
	b := worked(t)
	b.keepIn(folder)
	b.keep()
	b.save(filepath.Join(t.TempDir(), "pump.kilnpoise"))
	b.close()
	b.settle()
	if left, err := job.Leftovers(folder); err != nil || len(left) != 0 {
		t.Errorf("left are %+v (%v)", left, err)
	}
}

// Opening another part does not drop what was done with the last one.
func TestAnotherPartSetsTheJobAside(t *testing.T) {
	b := worked(t)
	b.keepIn(t.TempDir())
	b.openPath(stlFile(t, "other.stl", tee()))
	b.until("the other part", func() bool { return b.desk.part.Name == "other" })
	b.until("the offer", func() bool { return strings.Contains(b.board.Text(noticeLeftover), "tee.stl") })
	for _, n := range b.board.notices {
		if n.key == noticeLeftover {
			n.actions[0].do()
		}
	}
	b.until("the first job", func() bool { return b.desk.notes == "by the north furnace" && b.desk.part.Name == "tee" })
}

// Looking at candidates is not work that is asked about.
func TestBrowsingIsNotKept(t *testing.T) {
	b := advised(t, "tee.stl", tee())
	b.keepIn(t.TempDir())
	b.choose(2)
	if b.worthKeeping() {
		t.Error("another candidate chosen is kept for the next sitting")
	}
	b.takeNotes("thin wall")
	if !b.worthKeeping() {
		t.Error("remarks are not kept")
	}
}

package window

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/app/job"
	"kilnpoise/orient"
	"kilnpoise/orient/mark"
)

// A part that was only looked at is no unsaved job, whatever was opened, tried and
// taken back meanwhile.
func TestWhatWasOnlyLookedAtIsNotOffered(t *testing.T) {
	state := t.TempDir()
	b := advised(t, "tee.stl", tee())
	b.keepIn(state)
	path := b.desk.from.path
	b.choose(2)
	b.keep()
	b.facePickedAndRemoved(t)
	b.takeNotes("a thought")
	b.until("it to be kept", func() bool { return b.keeping.keeper.Flush() == nil })
	b.undo()
	b.openPath(path) // once more
	b.until("the part again", func() bool { return !b.opening.running() })
	b.waitAdvised()
	b.openPath(stlFile(t, "other.stl", tee()))
	b.until("the other part", func() bool { return b.desk.part.Name == "other" })
	b.close()
	if err := b.end(); err != nil {
		t.Fatal(err)
	}
	if left, err := job.Leftovers(state); err != nil || len(left) > 0 {
		t.Errorf("offered are %+v (%v)", left, err)
	}
}

// facePickedAndRemoved makes a mark and takes it away again.
func (b *bench) facePickedAndRemoved(t *testing.T) {
	b.beginMarking()
	b.until("the part to be ready for marks", func() bool { return b.desk.surface != nil })
	b.facePicked(facetFacing(t, b.desk.part.Mesh, r3.Vec{Z: 1}))
	b.brief.marks.keepIt()
	b.until("the mark", func() bool { return !b.desk.kept.Empty() })
	b.desk.kept = mark.Kept{Faces: b.desk.kept.Faces[:0]}
	b.desk.brief.Marks = mark.Marks{}
	b.did("remove the mark")
	b.endMarking()
}

// Both buttons of the question say what becomes of the job.
func TestTheQuestionSaysWhatBecomesOfTheJob(t *testing.T) {
	state := t.TempDir()
	b := advised(t, "tee.stl", tee())
	b.keepIn(state)
	b.takeNotes("precious")
	b.close()
	b.settle()
	c := newBench(t, &scripted{}, 1280, 770)
	c.keepIn(state)
	c.until("the offer", func() bool { return c.board.Text(noticeLeftover) != "" })
	n := c.board.notices[0]
	if n.dismiss != "Ask at the next start" || n.actions[1].label != "Delete it for good" {
		t.Errorf("the buttons say %q and %q", n.dismiss, n.actions[1].label)
	}
	c.board.Clear(noticeLeftover) // as the first does
	c.settle()
	if left, err := job.Leftovers(state); err != nil || len(left) != 1 {
		t.Fatalf("put off, there are %+v (%v)", left, err)
	}
	n.actions[1].do()
	c.settle()
	if left, err := job.Leftovers(state); err != nil || len(left) != 0 {
		t.Errorf("deleted, there are %+v (%v)", left, err)
	}
}

// An autosave that cannot be read is set aside, not deleted, and told of; the next one
// is offered.
func TestADamagedAutosaveIsSetAside(t *testing.T) {
	state := filepath.Join(t.TempDir(), "sittings")
	for _, notes := range []string{"sound", "damaged"} {
		b := advised(t, notes+".stl", tee())
		b.keepIn(state)
		b.takeNotes(notes)
		b.close()
		b.settle()
	}
	found, err := filepath.Glob(filepath.Join(state, "*", "job"))
	if err != nil || len(found) != 2 {
		t.Fatal(found, err)
	}
	for _, path := range found {
		data, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		if strings.Contains(string(data), "damaged") || path == found[1] {
			if err := os.WriteFile(path, data[:len(data)/2], 0o600); err != nil {
				t.Fatal(err)
			}
			break
		}
	}
	c := newBench(t, &scripted{}, 1280, 770)
	c.keepIn(state)
	c.until("both to be told", func() bool { return c.board.Text(noticeDamaged) != "" && c.board.Text(noticeLeftover) != "" })
	aside, err := filepath.Glob(filepath.Join(filepath.Dir(state), "set-aside", "*"))
	if err != nil || len(aside) != 1 || !strings.Contains(c.board.Text(noticeDamaged), aside[0]) {
		t.Errorf("set aside are %q (%v), and it says %q", aside, err, c.board.Text(noticeDamaged))
	}
}

// The advice of one brief is not held against that of the next: a job that ended while
// new advice was worked out says nothing of a difference when it is taken up again.
func TestAdviceOfAnotherBriefIsNotCompared(t *testing.T) {
	state := t.TempDir()
	b := advised(t, "tee.stl", tee())
	b.keepIn(state)
	b.takeFigure("overhang_limit_deg", "", 60)
	if j := b.jobToSave(); j.Advice != nil {
		t.Error("the advice for the brief before is saved with this one")
	}
	b.close()
	b.settle()
	c := newBench(t, &scripted{}, 1280, 770)
	c.keepIn(state)
	c.until("the offer", func() bool { return c.board.Text(noticeLeftover) != "" })
	c.board.notices[0].actions[0].do()
	c.until("the job", func() bool { return c.desk.part != nil && c.desk.brief.Material.OverhangLimitDeg == 60 })
	c.waitAdvised()
	if text := c.board.Text(noticeJob); text != "" {
		t.Errorf("the window says %q", text)
	}
	if c.jobToSave().Advice == nil {
		t.Error("the advice of now is not saved")
	}
}

func TestTheDifferenceIsNamed(t *testing.T) {
	report := func(change func(*orient.Report)) orient.Report {
		r := orient.Report{Candidates: []orient.CandidateReport{{Name: "a"}, {Name: "b"}}}
		r.Candidates[1].Measures.SupportVolumeMM3 = 100
		change(&r)
		return r
	}
	was := report(func(*orient.Report) {})
	for want, change := range map[string]func(*orient.Report){
		"":                              func(*orient.Report) {},
		"no. 1 was “a” and is “b”":      func(r *orient.Report) { r.Candidates[0].Name = "b" },
		"it had 2 candidates and has 1": func(r *orient.Report) { r.Candidates = r.Candidates[:1] },
		"the support of no. 2 was 100 mm³ and is 100.001 mm³": func(r *orient.Report) { r.Candidates[1].Measures.SupportVolumeMM3 = 100.001 },
		"the cost of no. 1 was 0 and is 0.5":                  func(r *orient.Report) { r.Candidates[0].Cost = 0.5 },
	} {
		if got := plainSpaces(difference(was, report(change))); got != want {
			t.Errorf("it names %q, want %q", got, want)
		}
	}
}

package window

import (
	"reflect"
	"slices"
	"time"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/app/job"
	"kilnpoise/orient"
	"kilnpoise/orient/mark"
)

// keeping is what the window knows of the job as a whole: its steps, its file, and
// the autosave.
type keeping struct {
	history *job.History[job.Job]
	// claim is the job file; nil while the job was never saved. Errands alone may use
	// it, but for its path.
	claim *job.Claim
	// origin is what the file was when it was last read or saved.
	origin job.Origin
	// saving is the last saving of this job; nil where there was none.
	saving *saving
	// keeper saves what is not yet saved, in folder; nil where it cannot.
	keeper *job.Keeper
	folder string
	// begun is the job as it was laid on the desk.
	begun job.Job
	// carried is the job as it was opened: what of it the window does not show goes
	// on from there.
	carried job.Job
	// saved is the advice that the job file was saved with, until it is compared.
	saved []byte
}

// jobNow gives all that is on the desk as a job. It shares what never changes in
// place.
func (w *mainWindow) jobNow() job.Job {
	d := &w.desk
	j := w.keeping.carried
	j.Part = job.Part{Content: d.content, Unit: d.from.unit, Item: d.item, Demo: d.from.demo.ID, File: d.from.fileName()}
	j.Brief = job.BriefOf(d.brief, d.kept)
	j.Choice.Up, j.Choice.Name = d.chosen, ""
	j.Choice.LeftOut = w.leftSeeds()
	if c := d.candidate(); c != nil {
		j.Choice.Name = c.Name
	}
	j.Choice.Supports, j.Choice.Blocks, j.Choice.Raft = d.hand.bodies, d.hand.bodies, d.hand.raft
	j.Sheet.Letter, j.Sheet.AtSinteredSize = d.hand.letter, d.hand.sintered
	j.Notes = d.notes
	return j
}

// leftSeeds tells the regions of the chosen candidate that are left out by places
// on the part.
func (w *mainWindow) leftSeeds() []mark.Seed {
	var out []mark.Seed
	for _, l := range w.desk.left {
		if l.up == w.desk.chosen {
			out = append(out, mark.Seed{At: l.at, WithinDeg: mark.FlatWithinDeg})
		}
	}
	return out
}

// did notes a step that can be undone, told in words that follow "undo: ".
func (w *mainWindow) did(label string) { w.note(label, w.keeping.history.Do) }

// slid notes a step of a slider; those that follow each other closely are one.
func (w *mainWindow) slid(label string) { w.note(label, w.keeping.history.Slide) }

func (w *mainWindow) note(label string, take func(string, job.Job)) {
	if w.desk.part == nil {
		return
	}
	now := w.jobNow()
	if now.Same(w.keeping.history.Now()) {
		return
	}
	take(label, now)
	w.keep()
	w.refreshMenu()
	w.retitle()
}

// keep has the job saved by itself, soon, where it differs from the file.
func (w *mainWindow) keep() {
	k := &w.keeping
	if k.keeper == nil {
		return
	}
	if !w.worthKeeping() {
		k.keeper.Forget()
		return
	}
	k.keeper.Keep(k.origin, w.jobToSave())
}

// worthKeeping reports whether the job holds what its file does not. While it has no
// file, looking at one candidate or the other is not worth a question later on.
func (w *mainWindow) worthKeeping() bool {
	k := &w.keeping
	if !k.history.Changed() || k.claim != nil {
		return k.history.Changed()
	}
	done := func(j job.Job) job.Job {
		j.Choice, j.Sheet = job.Choice{LeftOut: j.Choice.LeftOut}, job.Sheet{}
		return j
	}
	return !done(w.jobNow()).Same(done(k.begun))
}

// setAside keeps what is not saved of the job on the desk before another takes its
// place, and offers to go back to it.
func (w *mainWindow) setAside() {
	k := &w.keeping
	if k.keeper == nil || w.desk.part == nil || !w.worthKeeping() {
		return
	}
	w.keep()
	w.endKeeper()
	w.keepJobsIn(k.folder)
}

// endKeeper ends the autosave of the job. Where a saving that is on its way saves the
// job as it is now, nothing of it is kept besides.
func (w *mainWindow) endKeeper() {
	k := &w.keeping
	keeper, last, now := k.keeper, k.saving, k.history.Now()
	k.keeper = nil
	if keeper == nil {
		return
	}
	w.errand("ending the autosave", func() {
		if last.saved(now) {
			keeper.Forget()
		}
		w.post(w.errands.failed(keeper.Close())) // while there is a window, its report tells
	})
}

// jobToSave gives the job with the advice of now.
func (w *mainWindow) jobToSave() job.Job {
	j := w.jobNow().Stamped(time.Now(), w.version)
	j.Advice = nil
	if a := w.desk.advice; a != nil && w.adviceIsOfNow() {
		if with, err := j.SetAdvice(orient.NewReport(a)); err == nil {
			j = with
		}
	}
	return j
}

// adviceIsOfNow reports whether the advice is of the brief as it is, and not of one
// before: then it is not saved.
func (w *mainWindow) adviceIsOfNow() bool { return reflect.DeepEqual(w.desk.brief, w.desk.advisedFor) }

// undo takes the last step back.
func (w *mainWindow) undo() {
	if j, ok := w.keeping.history.Undo(); ok {
		w.restore(j)
	}
}

// redo takes the step again that was undone last.
func (w *mainWindow) redo() {
	if j, ok := w.keeping.history.Redo(); ok {
		w.restore(j)
	}
}

// restore brings the desk to the state of a job of the same part.
func (w *mainWindow) restore(j job.Job) {
	was := w.jobNow()
	w.endMarking()
	if j.Part.Unit != was.Part.Unit || j.Part.Item != was.Part.Item || !j.Part.Content.Equal(was.Part.Content) {
		w.reread(j)
		return
	}
	lost := w.desk.take(j)
	w.prefs.setRecordIDs(w.desk.ids)
	w.prefs.setPriorities(w.desk.brief.Priorities)
	w.tellLost(lost)
	w.keep()
	w.refreshMenu()
	w.retitle()
	w.tint()
	if reflect.DeepEqual(j.Brief, was.Brief) {
		w.show()
		return
	}
	w.rework()
}

// take brings brief, marks, choice and wishes to those of a job; the part is the
// same. It gives the marks that are not found.
func (d *desk) take(j job.Job) []*mark.Lost {
	var found mark.Marks
	var lost []*mark.Lost
	if !j.Brief.Marks.Empty() {
		if d.surface == nil {
			d.surface = mark.NewSurface(d.part.Mesh)
		}
		found, lost = j.Brief.Marks.Find(d.surface)
	}
	d.kept, d.brief = j.Brief.Marks, j.Brief.For(found)
	d.ids = [recordKinds]string{j.Brief.Material.ID, j.Brief.Printer.ID, j.Brief.Furnace.ID}
	d.chosen, d.wanted = j.Choice.Up, r3.Vec{}
	d.notes = j.Notes
	d.hand = handWishes{
		bodies: j.Choice.Supports || j.Choice.Blocks, raft: j.Choice.Raft,
		letter: j.Sheet.Letter, sintered: j.Sheet.AtSinteredSize,
	}
	d.left = slices.DeleteFunc(slices.Clone(d.left), func(l leftOut) bool { return l.up == d.chosen })
	for _, s := range j.Choice.LeftOut {
		d.left = append(d.left, d.leftAt(d.chosen, s.At))
	}
	return lost
}

// handWishes are what the user asked for in the hand-over, kept with the job.
type handWishes struct{ bodies, raft, letter, sintered bool }

// begun starts the steps of a part that was just laid on the desk.
func (w *mainWindow) begun(j job.Job) {
	w.keeping.history.Reset(j)
	w.keeping.begun = j
	if w.keeping.keeper != nil {
		w.keeping.keeper.Forget()
	}
	w.refreshMenu()
	w.retitle()
}

// stepLabel names a candidate in the label of a step.
func stepLabel(c *orient.Candidate) string { return "choose “" + cardTitle(c) + "”" }

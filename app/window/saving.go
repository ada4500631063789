package window

import (
	"context"
	"errors"
	"path/filepath"

	"kilnpoise/app/job"
	"kilnpoise/app/window/kit"
)

// saving is one saving of a job. Errands alone look at what came of it, in their
// order.
type saving struct {
	// state is the job that is saved, among the steps.
	state job.Job
	// claim is where it was saved, nil where it was not.
	claim *job.Claim
}

// saved reports whether it saved the job in that state.
func (s *saving) saved(state job.Job) bool {
	return s != nil && s.claim != nil && s.state.Same(state)
}

// save saves the job in the background; one saving at a time. It is carried through
// whatever happens meanwhile, and write gives the file that the job has from then on.
func (w *mainWindow) save(doing string, write func(context.Context, job.Job) (*job.Claim, error)) {
	if w.desk.part == nil {
		return
	}
	if w.savingJob.running() {
		w.title.SetHint("The job is still being saved; save it again when that is done.")
		return
	}
	if w.desk.content == nil {
		w.jobNotSaved(errors.New("the part file could not be kept while it was read; open it again, then save"))
		return
	}
	j, s := w.jobToSave(), &saving{state: w.keeping.history.Now()}
	w.keeping.saving = s
	ctx, ticket := w.savingJob.begin(context.WithoutCancel(w.ctx))
	w.title.SetHint(doing)
	name := w.desk.part.Name
	w.errand("saving the job", func() {
		var origin job.Origin
		err := w.faults.Catch("saving the job", func() error {
			claim, err := write(ctx, j)
			if err == nil {
				s.claim, origin = claim, claim.Origin()
			}
			return err
		})
		told := w.errands.failed(err)
		w.post(func() {
			told()
			switch {
			case !w.savingJob.done(ticket):
				w.tellLeft(name, err)
			case err != nil:
				w.title.SetHint("")
				w.jobNotSaved(err)
			default:
				w.jobSaved(s, j, origin)
			}
		})
	})
}

// jobSaved notes where the job is kept now.
func (w *mainWindow) jobSaved(s *saving, j job.Job, origin job.Origin) {
	k := &w.keeping
	if was := k.claim; was != s.claim {
		w.errand("letting the job file go", func() { _ = was.Release() })
	}
	k.claim, k.origin, k.carried.Created = s.claim, origin, j.Created
	if s.state.Same(k.history.Now()) { // else it was changed meanwhile
		k.history.Saved()
	}
	w.prefs.addRecent(origin.Path)
	w.board.Clear(noticeJob)
	w.keep()
	w.refreshMenu()
	w.retitle()
	w.title.SetHint("Saved: " + filepath.Base(origin.Path))
}

// tellLeft says that a job which is no longer on the desk could not be saved.
func (w *mainWindow) tellLeft(name string, err error) {
	if err != nil {
		w.board.Put(notice{key: noticeJob, kind: kit.MarkFails, text: "The job of " + name + ", which was being saved when it was left, was not: " + kit.Sentence(err) +
			" What was changed in it is kept by itself and offered here."})
	}
}

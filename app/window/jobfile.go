package window

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"strings"

	"kilnpoise/app/handover"
	"kilnpoise/app/job"
	"kilnpoise/app/window/kit"
	"kilnpoise/assets"
	"kilnpoise/mesh"
	"kilnpoise/orient/mark"
)

// openedJob is a job that was read, with its part made.
type openedJob struct {
	job   job.Job
	claim *job.Claim // nil for a copy
	// origin is the claimed file as it was read.
	origin job.Origin
	part   *mesh.Part
	facts  partFacts
	notes  []string
	// leftover is the autosave that it was found in; it holds what the file does not.
	leftover *job.Leftover
	// again is true for the job that lies on the desk already, whose part is read
	// in another way.
	again bool
}

// isJob tells a job file from a part by its name.
func isJob(path string) bool { return strings.EqualFold(filepath.Ext(path), job.Extension) }

// openJob opens a job file and claims it, so that no other window saves over it.
func (w *mainWindow) openJob(path string) {
	w.readJob(filepath.Base(path), func(ctx context.Context) (openedJob, error) {
		claim, j, notes, err := job.Open(ctx, path)
		o := openedJob{job: j, claim: claim, notes: notes}
		if err == nil {
			o.origin = claim.Origin()
		}
		return o, err
	}, func(err error) { w.jobRefused(path, err) })
	w.prefs.addRecent(path)
}

// openCopy opens a job file that another window has; it can only be saved under
// another name.
func (w *mainWindow) openCopy(path string) {
	w.readJob(filepath.Base(path), func(ctx context.Context) (openedJob, error) {
		j, notes, err := job.ReadFile(ctx, path)
		return openedJob{job: j, notes: notes}, err
	}, func(err error) { w.jobRefused(path, err) })
}

// readJob reads a job in the background and lays it on the desk.
func (w *mainWindow) readJob(name string, read func(context.Context) (openedJob, error), refuse func(error)) {
	ctx, ticket := w.opening.begin(w.ctx)
	w.board.Clear(noticeOpen)
	w.board.Clear(noticeJob)
	w.head.SetBusy("reading "+name, 0)
	w.setTitle("opening")
	var o openedJob
	w.background("reading the job", func() (err error) {
		if err = w.errands.settled(ctx); err != nil { // the job may still be on its way to the disk
			return err
		}
		if o, err = read(ctx); err != nil {
			return err
		}
		return o.make(ctx)
	}, func(err error) {
		current := w.opening.done(ticket)
		if err != nil || !current {
			w.errand("letting the job file go", o.release)
		}
		switch {
		case !current:
		case err != nil:
			refuse(err)
		default:
			w.layJob(&o)
		}
	})
}

// release lets others have the file that was claimed for the job.
func (o *openedJob) release() {
	if o.claim != nil {
		_ = o.claim.Release() // it ends with the program anyhow
		o.claim = nil
	}
}

// make makes the part of the job; it is worker's work.
func (o *openedJob) make(ctx context.Context) error {
	f, err := o.job.Part.Read(ctx)
	if err != nil {
		return err
	}
	if o.part, err = o.job.Part.Make(ctx, f); err != nil {
		return err
	}
	o.facts = factsOf(o.part)
	if !o.job.Brief.Marks.Empty() {
		o.facts.surface = mark.NewSurface(o.part.Mesh)
	}
	return nil
}

// jobRefused says why a job cannot be opened, and offers what can be done.
func (w *mainWindow) jobRefused(path string, err error) {
	if errors.Is(err, context.Canceled) {
		return
	}
	n := notice{key: noticeOpen, kind: kit.MarkFails, text: kit.Sentence(err), actions: []noticeAction{{"Open another…", w.askForFile}}}
	var elsewhere *job.OpenElsewhereError
	if errors.As(err, &elsewhere) {
		n.actions = []noticeAction{{"Open a copy", func() { w.openCopy(path) }}}
	}
	w.showIdle()
	if w.desk.part == nil {
		w.open(source{demo: defaultDemo()}) // rather than an empty page
	}
	w.board.Put(n)
}

// layJob lays a job on the desk and begins to work on it.
func (w *mainWindow) layJob(o *openedJob) {
	w.clearDesk()
	if !o.again {
		w.setAside()
		w.release()
		k := &w.keeping
		k.claim, k.origin, k.carried, k.saved = o.claim, o.origin, o.job, o.job.Advice
	}
	demo, _ := assets.PartNamed(o.job.Part.Demo) // none for a file
	from := source{content: o.job.Part.Content, file: o.job.Part.File, unit: o.job.Part.Unit, demo: demo}
	if o.again {
		from.path = w.desk.from.path
	}
	w.desk.kept = mark.Kept{}
	w.desk.put(from, o.part, o.facts)
	w.desk.content, w.desk.item = o.job.Part.Content, o.job.Part.Item
	lost := w.desk.take(o.job)
	if !o.again {
		w.begun(w.jobNow())
	}
	if o.leftover != nil {
		w.keeping.history.Do("go on with it", w.jobNow())
		w.takeOver(*o.leftover)
	}
	w.keep()
	w.retitle()
	w.tellLost(lost)
	if len(o.notes) > 0 {
		w.board.Put(notice{key: noticeJob, kind: kit.MarkNote, text: strings.Join(o.notes, " ")})
	}
	w.show()
	w.advise()
}

// reread makes the part of the same job anew, in another unit or of another item.
func (w *mainWindow) reread(j job.Job) {
	w.readJob(w.desk.from.name(), func(context.Context) (openedJob, error) {
		return openedJob{job: j, again: true}, nil
	}, func(err error) { w.openFailed(w.desk.from, err) })
}

// saveJob saves the job to its file, or asks for one.
func (w *mainWindow) saveJob() {
	if w.keeping.claim == nil {
		w.saveJobAs()
		return
	}
	w.saveWith((*job.Claim).Save)
}

// overwriteJob saves over what another program wrote.
func (w *mainWindow) overwriteJob() { w.saveWith((*job.Claim).Overwrite) }

// saveWith saves the job to the file that it has now, whatever is opened meanwhile.
func (w *mainWindow) saveWith(save func(*job.Claim, context.Context, job.Job) error) {
	claim := w.keeping.claim
	if claim == nil {
		return // the job was left meanwhile
	}
	w.save("Saving the job …", func(ctx context.Context, j job.Job) (*job.Claim, error) {
		return claim, save(claim, ctx, j)
	})
}

// saveJobAs asks where to save the job.
func (w *mainWindow) saveJobAs() {
	if w.desk.part == nil {
		return
	}
	w.askToSave(w.win, saveAsk{
		title: "Save the job", ending: job.Extension, place: savePlace{w.handFolder(), handover.FileName(w.desk.part.Name) + job.Extension}, save: w.saveJobTo,
	})
}

// saveJobTo saves the job under another name; the file that it had is let go.
func (w *mainWindow) saveJobTo(path string) {
	if !isJob(path) {
		path += job.Extension
	}
	claim := w.keeping.claim
	w.save("Saving the job …", func(ctx context.Context, j job.Job) (*job.Claim, error) {
		if claim != nil && samePath(claim.Path(), path) { // it has that file already
			return claim, claim.Overwrite(ctx, j)
		}
		return job.Create(ctx, path, j)
	})
}

// samePath reports whether both paths lead to the same file.
func samePath(a, b string) bool {
	x, errX := os.Stat(a)
	y, errY := os.Stat(b)
	return errX == nil && errY == nil && os.SameFile(x, y)
}

// release lets others have the job file, once what is on its way to it is written.
func (w *mainWindow) release() {
	k := &w.keeping
	claim, last := k.claim, k.saving
	k.claim, k.origin, k.saving = nil, job.Origin{}, nil
	w.savingJob.leave()
	w.errand("letting the job file go", func() {
		if last != nil && last.claim != claim {
			_ = last.claim.Release() // it ends with the program anyhow
		}
		_ = claim.Release()
	})
}

// jobNotSaved says why, and offers what can be done.
func (w *mainWindow) jobNotSaved(err error) {
	if errors.Is(err, context.Canceled) {
		return
	}
	n := notice{key: noticeJob, kind: kit.MarkFails, text: kit.Sentence(err), actions: []noticeAction{{"Save it as…", w.saveJobAs}}}
	if errors.Is(err, job.ErrChangedOnDisk) {
		n.actions = append(n.actions, noticeAction{"Save over it", w.overwriteJob})
	}
	w.board.Put(n)
}

// offerLeftovers has it looked up what was not saved when the program last ended, and
// offers it.
func (w *mainWindow) offerLeftovers(folder string) {
	w.errand("looking after the autosave", func() {
		left, err := job.Leftovers(folder)
		w.post(func() {
			if err == nil {
				w.offer(folder, left)
			}
		})
	})
}

// offer offers the first of what was not saved.
func (w *mainWindow) offer(folder string, left []job.Leftover) {
	if len(left) == 0 {
		return
	}
	l := left[0]
	if l.Fault != nil {
		w.putAside(folder, l)
		return
	}
	text := "The job of " + l.Part + ", last worked on at " + l.Kept.Local().Format("15:04 on 2006-01-02") + ", was not saved."
	w.board.Put(notice{key: noticeLeftover, kind: kit.MarkNote, text: text, dismiss: "Ask at the next start", actions: []noticeAction{
		{"Go on with it", func() { w.goOn(l) }},
		{"Delete it for good", func() { w.discard(folder, l) }},
	}})
}

// putAside puts what was kept and cannot be read out of the way, without deleting it,
// and offers what else there is.
func (w *mainWindow) putAside(folder string, l job.Leftover) {
	w.errand("setting an autosave aside", func() {
		to, err := l.SetAside()
		w.post(func() {
			text := "What was kept of a job by itself at " + l.Kept.Local().Format("15:04 on 2006-01-02") + " cannot be read: " + kit.Sentence(l.Fault)
			if err != nil {
				w.board.Put(notice{key: noticeDamaged, kind: kit.MarkFails, text: text + " It could not be set aside: " + kit.Sentence(err)})
				return
			}
			w.board.Put(notice{key: noticeDamaged, kind: kit.MarkNote, text: text + " It was set aside in " + to + "."})
			w.offerLeftovers(folder)
		})
	})
}

// discard removes what was not saved for good, and offers what else there is.
func (w *mainWindow) discard(folder string, l job.Leftover) {
	w.errand("looking after the autosave", func() { _ = l.Discard() }) // another window may have taken it
	w.offerLeftovers(folder)
}

// goOn opens a job that was not saved.
func (w *mainWindow) goOn(l job.Leftover) {
	w.readJob(l.Part, func(ctx context.Context) (openedJob, error) {
		j, notes, err := l.Job(ctx)
		o := openedJob{job: j, notes: notes, leftover: &l}
		if err == nil && l.Origin != (job.Origin{}) {
			if claim, e := job.Reclaim(l.Origin); e == nil {
				o.claim, o.origin = claim, claim.Origin()
			} else {
				o.notes = append(o.notes, kit.Sentence(e))
			}
		}
		return o, err
	}, func(err error) { w.jobRefused(l.Part, err) })
}

// takeOver keeps the job on the desk in place of the autosave that it was found in.
func (w *mainWindow) takeOver(l job.Leftover) {
	w.keep()
	keeper := w.keeping.keeper
	if keeper == nil {
		return // better offered once more than lost
	}
	w.errand("looking after the autosave", func() {
		if keeper.Flush() == nil {
			_ = l.Discard()
		}
	})
}

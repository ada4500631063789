package window

import (
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/app/job"
	"kilnpoise/app/window/kit"
	"kilnpoise/assets"
	"kilnpoise/mesh"
	"kilnpoise/orient/mark"
)

// The matters that notices are about.
const (
	noticeOpen     = "open"
	noticeItems    = "items"
	noticeUnit     = "unit"
	noticeAdvice   = "advice"
	noticeRecord   = "record"
	noticeMarks    = "marks"
	noticeJob      = "job"
	noticeLeftover = "leftover"
	noticeDamaged  = "damaged"
	noticeFault    = "fault"
	noticePrefs    = "preferences"
)

// partExtensions are the files that can be opened: parts and jobs.
func partExtensions() []string { return []string{".stl", ".3mf", ".obj", job.Extension} }

func defaultDemo() assets.Demo { return assets.DefaultPart() }

// openPath opens the part file at path: the one way for the command line, drop,
// dialog and recent files alike.
func (w *mainWindow) openPath(path string) {
	if isJob(path) {
		w.openJob(path)
		return
	}
	w.open(source{path: path})
}

// open reads a part in the background. What is on the desk stays until the new
// part is there, and for good when it cannot be read.
func (w *mainWindow) open(from source) {
	ctx, ticket := w.opening.begin(w.ctx)
	w.board.Clear(noticeOpen)
	w.board.Clear(noticeItems)
	w.head.SetBusy("reading "+from.name(), 0)
	w.setTitle("opening")
	var file *mesh.File
	var content *job.Content
	w.background("reading the part", func() (err error) {
		file, content, err = w.engine.Open(ctx, from)
		return err
	}, func(err error) { w.opened(ticket, from, file, content, err) })
}

// name gives what to call a source before it is read.
func (s source) name() string {
	if s.path == "" && s.content == nil {
		return s.demo.Title
	}
	return s.fileName()
}

// same reports whether both are the same file or built-in part, perhaps read in
// another unit.
func (s source) same(o source) bool {
	return s.path == o.path && s.demo.ID == o.demo.ID && s.content == o.content
}

// opened takes a file that was read; where it holds several build items the user
// is asked which.
func (w *mainWindow) opened(ticket int, from source, file *mesh.File, content *job.Content, err error) {
	if !w.opening.current(ticket) {
		return
	}
	if err != nil {
		w.opening.done(ticket)
		w.openFailed(from, err)
		return
	}
	if from.path != "" {
		w.prefs.addRecent(from.path)
		w.refreshMenu()
	}
	if len(file.Items) > 1 {
		w.opening.done(ticket)
		w.showIdle()
		w.askForItem(from, file, content)
		return
	}
	w.opening.done(ticket)
	w.makePart(from, file, content, allItems)
}

// openFailed tells why in one sentence; the old part stays.
func (w *mainWindow) openFailed(from source, err error) {
	if errors.Is(err, fs.ErrNotExist) {
		w.prefs.dropRecent(from.path)
		w.refreshMenu()
	}
	text := kit.Sentence(err)
	if w.desk.part != nil {
		text += " " + w.desk.part.Name + " stays open."
	}
	w.showIdle()
	if w.desk.part == nil && from.path != "" {
		w.open(source{demo: defaultDemo()}) // rather than an empty page
	}
	w.board.Put(notice{key: noticeOpen, kind: kit.MarkFails, text: text, actions: []noticeAction{
		{"Open another…", w.askForFile},
	}})
}

// askForItem asks which of several build items is the part.
func (w *mainWindow) askForItem(from source, file *mesh.File, content *job.Content) {
	options := []string{fmt.Sprintf("all %d as one part", len(file.Items))}
	for i, item := range file.Items {
		name := item.Name
		if name == "" {
			name = "without a name"
		}
		options = append(options, fmt.Sprintf("%d: %s, %s", i+1, name, kit.Plural(len(item.Mesh.Facets), "facet")))
	}
	w.board.Put(notice{
		key: noticeItems, kind: kit.MarkNote,
		text:    fmt.Sprintf("%s holds %d build items. Which one is the part?", filepath.Base(file.Path), len(file.Items)),
		choices: &noticeChoice{options, func(i int) { w.makePart(from, file, content, i-1) }},
	})
}

// makePart makes the part in the background and lays it on the desk.
func (w *mainWindow) makePart(from source, file *mesh.File, content *job.Content, item int) {
	ctx, ticket := w.opening.begin(w.ctx)
	w.head.SetBusy("checking "+from.name(), 0)
	marked := from.same(w.desk.from) && !w.desk.kept.Empty()
	var part *mesh.Part
	var facts partFacts
	w.background("checking the part", func() (err error) {
		if part, err = w.engine.Part(ctx, file, item); err != nil {
			return err
		}
		facts = factsOf(part)
		facts.suggested = file.SuggestedUnit
		if marked {
			facts.surface = mark.NewSurface(part.Mesh)
		}
		return nil
	}, func(err error) {
		switch {
		case !w.opening.done(ticket):
		case err != nil:
			w.openFailed(from, err)
		default:
			w.lay(from, part, facts, content, item)
		}
	})
}

// lay puts a new part on the desk and begins to work on it. The same file, changed,
// in another unit, or another item of it, is a step of the same job.
func (w *mainWindow) lay(from source, part *mesh.Part, facts partFacts, content *job.Content, item int) {
	w.clearDesk()
	again, changed := w.desk.part != nil && from.same(w.desk.from), !w.desk.content.Equal(content)
	if !again {
		w.setAside()
		w.release()
		w.keeping.carried, w.keeping.saved = job.Job{}, nil
	}
	lost := w.desk.put(from, part, facts)
	w.desk.content, w.desk.item = content, item
	switch {
	case !again:
		w.begun(w.jobNow())
	case changed:
		w.did("read the changed file")
	default:
		w.did("read it in " + unitName(part.Unit))
	}
	w.suggestUnit()
	w.tellLost(lost)
	w.show()
	w.advise()
}

// clearDesk ends what was being done with the part on the desk, and its pictures.
func (w *mainWindow) clearDesk() {
	w.endHandOver()
	w.dropHandOut()
	w.endMarking()
	if w.besides.on() {
		w.leaveBesides()
	}
	w.machines.SetPicking(false)
	w.title.SetHint("")
	w.mapping.stop()
	w.sphere.of, w.sphere.drawn, w.sphere.picked = nil, nil, r3.Vec{}
	w.scenes.clear()
	clear(w.thumbs)
	clear(w.agreements)
	w.machines.SetScenes(nil, nil)
	w.machines.ResetCamera()
	w.machines.SetSagDrawn(min(w.machines.SagDrawn, 1)) // the next part is drawn true
	w.board.Clear(noticeUnit)
	w.board.Clear(noticeAdvice)
	w.board.Clear(noticeJob)
}

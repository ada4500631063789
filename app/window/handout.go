package window

import (
	"context"
	"fmt"
	"path/filepath"
	"strings"
	"sync"

	"kilnpoise/app/handover"
	"kilnpoise/app/window/kit"
	"kilnpoise/mesh"
	"kilnpoise/orient"
)

// handOut is a hand-over on its way: its files are written beside their places, and
// take them all together.
type handOut struct {
	order  handoverOrder
	inputs []string
	// then does something with what was handed over, and says so.
	then func(context.Context, handed) (string, error)
	// again is true for what this window handed over last: its own files may be
	// replaced by the same ones unasked.
	again bool

	// working is done once no worker is at it.
	working sync.WaitGroup
	set     *handover.Set
	out     handed
	outlook handover.Outlook
	// placed are the files that took their places, said what was done then.
	placed []string
	said   string
}

// handedLast tells what was handed over last.
type handedLast struct {
	folder, name string
	part         *mesh.Part
	pose         orient.Pose
}

func (h *handOut) last() handedLast {
	return handedLast{h.order.Folder, h.order.Name, h.order.Advice.Part, h.order.Candidate.Pose}
}

// write writes the files and hands them over, unless that has to be asked about; it
// is worker's work.
func (h *handOut) write(ctx context.Context, e engine) (err error) {
	if err = folderThere(h.order.Folder); err != nil {
		return err
	}
	if h.set, err = handover.Begin(h.order.Folder, h.order.Name, h.inputs...); err != nil {
		return err
	}
	staged := h.order
	staged.Folder = h.set.Stage()
	if h.out, err = e.Write(ctx, staged); err != nil {
		return err
	}
	var names []string
	for _, f := range h.out.files {
		names = append(names, filepath.Base(f))
	}
	if h.outlook, err = h.set.Look(names...); err != nil || h.asks() {
		return err
	}
	return h.finish(ctx)
}

// asks reports whether the user has to say that files may be replaced.
func (h *handOut) asks() bool {
	o := h.outlook
	return h.placed == nil && (len(o.InTheWay)+len(o.Removed) > 0 || len(o.Replaced) > 0 && !h.again)
}

// finish has the files take their places, and does what is to be done then; it is
// worker's work.
func (h *handOut) finish(ctx context.Context) error {
	if err := ctx.Err(); err != nil {
		return err
	}
	paths, err := h.set.Put(true)
	h.set.Drop()
	if err != nil {
		return err
	}
	h.placed = paths
	if h.out.sheet != "" {
		h.out.sheet = filepath.Join(h.order.Folder, filepath.Base(h.out.sheet))
	}
	h.said, err = h.then(ctx, h.out)
	return err
}

// drop gives up what was not handed over, once no worker is at it any more.
func (h *handOut) drop() {
	h.working.Wait()
	if h.set != nil {
		h.set.Drop()
	}
}

// question says what would be replaced.
func (h *handOut) question() string {
	o := h.outlook
	var said []string
	if len(o.Replaced) > 0 {
		said = append(said, "Replaced: "+named(o.Replaced)+".")
	}
	if len(o.Removed) > 0 {
		said = append(said, "Removed, since it goes with what is replaced: "+named(o.Removed)+".")
	}
	if len(o.InTheWay) > 0 {
		said = append(said, "Replaced although Kilnpoise did not write it for this part, or it was changed since: "+named(o.InTheWay)+".")
	}
	return "Files of these names are in the folder already. " + strings.Join(said, " ")
}

// named lists names of files, the first few of many.
func named(files []string) string {
	const most = 6
	if more := len(files) - most; more > 0 {
		return strings.Join(files[:most], ", ") + fmt.Sprintf(" and %d more", more)
	}
	return strings.Join(files, ", ")
}

// writeFiles writes what is asked for.
func (w *mainWindow) writeFiles(c handChoice) {
	w.handOut(c, "Writing the files …", func(context.Context, handed) (string, error) { return "Written:", nil })
}

// openSheet hands over with the sheet, which it opens with the system's own viewer.
// The meshes that are asked for go with it: what lies in the folder is what the sheet
// speaks of.
func (w *mainWindow) openSheet(c handChoice) {
	c.sheet = true
	w.handOut(c, "Making the sheet …", func(_ context.Context, h handed) (string, error) {
		u, err := fileURL(h.sheet)
		if err != nil {
			return "", err
		}
		if err := w.app.OpenURL(u); err != nil {
			return "", fmt.Errorf("the sheet is written, but this system has nothing to open it with: %w", err)
		}
		return "Opened, and written:", nil
	})
}

// printSheet hands over with the sheet, which it sends to the system's printer.
func (w *mainWindow) printSheet(c handChoice) {
	c.sheet = true
	w.handOut(c, "Printing the sheet …", func(ctx context.Context, h handed) (string, error) {
		path, err := filepath.Abs(h.sheet)
		if err != nil {
			return "", err
		}
		return "Sent to the printer, and written:", printFile(ctx, path)
	})
}

// handOut writes files in the background and then does something with them; of a way
// up that fails gates the user has to say so first.
func (w *mainWindow) handOut(c handChoice, doing string, then func(context.Context, handed) (string, error)) {
	w.dropHandOut()
	w.asked = agreement{}
	o, err := w.order(c)
	if err != nil {
		w.hand.SetDone(kit.MarkFails, kit.Sentence(err), nil)
		return
	}
	if !w.agreed(&o) {
		w.askToHandOver(&o, func() { w.handOut(c, doing, then) })
		return
	}
	w.prefs.setHandover(c.letter, o.Folder)
	w.hand.SetBusy(doing)
	h := &handOut{order: o, then: then}
	if path := w.desk.from.path; path != "" {
		h.inputs = append(h.inputs, path)
	}
	h.again = h.last() == w.handedLast
	w.handOutWith(h, h.write, func(err error) {
		if err == nil && h.asks() {
			w.askToReplace(h, doing)
			return
		}
		w.handedOut(h, err)
	})
}

// handOutWith has a worker do a step of a hand-over.
func (w *mainWindow) handOutWith(h *handOut, step func(context.Context, engine) error, take func(error)) {
	ctx, ticket := w.handing.begin(w.ctx)
	w.handOutNow = h
	h.working.Add(1)
	w.background("writing the files", func() error {
		defer h.working.Done()
		return step(ctx, w.engine)
	}, func(err error) {
		if w.handing.done(ticket) {
			take(err)
		}
	})
}

// askToReplace asks whether files may be replaced.
func (w *mainWindow) askToReplace(h *handOut, doing string) {
	w.hand.Ask(h.question(), nil, "Replace them", func() { w.replace(h, doing) }, "Leave them", func() {
		w.dropHandOut()
		w.hand.SetDone(kit.MarkNote, "Nothing was written. Another folder or name leaves the files there as they are.", nil)
	})
}

// replace hands over what was asked about.
func (w *mainWindow) replace(h *handOut, doing string) {
	if w.handOutNow != h {
		return // it was given up
	}
	w.hand.SetBusy(doing)
	w.handOutWith(h, func(ctx context.Context, _ engine) error { return h.finish(ctx) }, func(err error) { w.handedOut(h, err) })
}

// dropHandOut gives up the hand-over that is on its way or being asked about.
func (w *mainWindow) dropHandOut() {
	if h := w.handOutNow; h != nil {
		w.handing.stop()
		w.handOutNow = nil
		w.errand("giving up a hand-over", h.drop)
	}
}

// handedOut tells what was written and what went wrong.
func (w *mainWindow) handedOut(h *handOut, err error) {
	w.dropHandOut()
	if len(h.placed) > 0 {
		w.handedLast = h.last()
	}
	if err == nil {
		w.hand.SetDone(kit.MarkPasses, h.said, h.placed)
		return
	}
	text := kit.Sentence(err)
	if len(h.placed) > 0 {
		text += " Written before that:"
	}
	w.hand.SetDone(kit.MarkFails, text, h.placed)
}

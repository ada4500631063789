package window

import (
	"context"
	"errors"
	"fmt"
	"image"
	"path/filepath"
	"time"

	"kilnpoise/app/handover"
	"kilnpoise/app/window/kit"
	"kilnpoise/app/window/machines"
	"kilnpoise/orient"
	"kilnpoise/render"
)

// pauser delays work until the user has stopped changing things.
type pauser struct{ timer *time.Timer }

// after runs f on the UI goroutine after d, unless it is called again before.
func (p *pauser) after(d time.Duration, post func(func()), f func()) {
	p.stop()
	p.timer = time.AfterFunc(d, func() { post(f) })
}

func (p *pauser) stop() {
	if p.timer != nil {
		p.timer.Stop()
	}
}

// progressPause is the shortest time between two progress reports: more often
// than the eye follows would only fill the queue.
const progressPause = 60 * time.Millisecond

// advise works the advice out for the part and the brief on the desk, in the
// background; what is running already is given up. The last advice stays to be
// seen meanwhile.
func (w *mainWindow) advise() {
	if w.desk.part == nil {
		return
	}
	w.pause.stop()
	ctx, ticket := w.advising.begin(w.ctx)
	w.firing.stop()
	w.planning.stop()
	w.thumbing.stop()
	part, brief, last := w.desk.part, w.desk.brief, w.desk.advice
	asked := brief
	asked.Coupon = handover.CouponOf(part.SHA256)
	asked.OtherPrinters, asked.OtherFurnaces = w.records.Printers.List(), w.records.Furnaces.List()
	w.board.Clear(noticeAdvice)
	w.head.SetBusy("making the part ready", 0)
	w.setTitle("advising")
	report := w.reporter(func(p orient.Progress) {
		if w.advising.current(ticket) {
			w.progressed(p)
		}
	})
	var advice *orient.Advice
	w.background("working out the advice", func() (err error) {
		if last != nil {
			advice, err = w.engine.Revise(ctx, last, asked, report)
		} else {
			advice, err = w.engine.Advise(ctx, part, asked, report)
		}
		return err
	}, func(err error) {
		if err == nil && w.advising.current(ticket) {
			w.desk.advisedFor = brief
		}
		w.advised(ticket, advice, err)
	})
}

// reporter passes progress on to the UI goroutine, not too often.
func (w *mainWindow) reporter(take func(orient.Progress)) func(orient.Progress) {
	var last time.Time
	return func(p orient.Progress) {
		if p.Leaders == nil && time.Since(last) < progressPause {
			return
		}
		last = time.Now()
		p.Leaders = append([]orient.Candidate(nil), p.Leaders...)
		w.post(func() { take(p) })
	}
}

// progressed shows the stage, and the best so far where nothing better is known.
func (w *mainWindow) progressed(p orient.Progress) {
	w.head.SetBusy(p.Stage, p.Fraction)
	if len(p.Leaders) > 0 && w.desk.advice == nil {
		w.desk.leaders = p.Leaders
		w.show()
		w.drawThumbs()
	}
}

// advised takes the finished advice.
func (w *mainWindow) advised(ticket int, a *orient.Advice, err error) {
	if !w.advising.done(ticket) {
		return
	}
	if err != nil {
		w.adviceFailed(err)
		return
	}
	if w.desk.advice == nil || processChanged(w.desk.advice.Brief, a.Brief) {
		w.scenes.clear()
		clear(w.thumbs)
	}
	w.desk.settle(a)
	if w.desk.part != nil {
		w.keeping.history.Amend(w.jobNow()) // the choice may have moved
	}
	w.title.SetHint("")
	w.show()
	w.showIdle()
	w.drawThumbs()
	w.fire()
}

// adviceFailed says why there is no advice; the last one stays.
func (w *mainWindow) adviceFailed(err error) {
	if errors.Is(err, context.Canceled) {
		return
	}
	w.board.Put(notice{key: noticeAdvice, kind: kit.MarkFails, text: kit.Sentence(err), actions: []noticeAction{
		{"Try again", w.advise}, {"Change the brief", w.openBrief},
	}})
	w.head.SetIdle("no advice")
	w.setTitle("failed")
}

// processChanged reports whether pictures made for one brief are wrong for
// another.
func processChanged(a, b orient.Brief) bool {
	return a.Material.Shrinkage != b.Material.Shrinkage || a.Material.OverhangLimitDeg != b.Material.OverhangLimitDeg ||
		a.Material.Creep != b.Material.Creep || a.Printer.PlateMM != b.Printer.PlateMM || a.Furnace.SetterMM != b.Furnace.SetterMM
}

// showIdle says how the last work ended.
func (w *mainWindow) showIdle() {
	switch a := w.desk.advice; {
	case w.advising.running() || w.opening.running():
	case a == nil:
		w.head.SetIdle("")
	default:
		took := (a.Elapsed.Search + a.Elapsed.Furnace).Seconds()
		w.head.SetIdle(fmt.Sprintf("%s, worked out in %s", kit.Plural(len(a.Candidates), "candidate"), kit.Quantity(took, "s")))
		w.setTitle("advised")
	}
}

// setTitle names the part or job and the state of the work in the title bar.
func (w *mainWindow) setTitle(state string) {
	w.state = state
	w.retitle()
}

// retitle writes the title anew after the job has changed.
func (w *mainWindow) retitle() {
	name := "no part"
	switch c := w.keeping.claim; {
	case c != nil:
		name = filepath.Base(c.Path())
		if w.keeping.history.Changed() {
			name += " (changed)"
		}
	case w.desk.part != nil:
		name = w.desk.part.Name
	}
	w.win.SetTitle("Kilnpoise - " + name + " - " + w.state)
}

// The size of a card's picture, in units; device pixels follow from the screen.
const thumbWidth, thumbHeight = cardWidth - 4, mostPicture

// drawThumbs draws the missing pictures of the cards, best first.
func (w *mainWindow) drawThumbs() {
	missing := w.missingThumbs()
	if len(missing) == 0 {
		return
	}
	ctx, ticket := w.thumbing.begin(w.ctx)
	desk, palette := w.desk, machines.PicturePalette() // a copy: what it points to never changes
	scale := w.win.Canvas().Scale()
	width, height := int(thumbWidth*scale), int(thumbHeight*scale)
	w.background("drawing the pictures of the cards", func() error {
		for i := range missing {
			c := &missing[i]
			detail := w.thumbDetail(ctx, &desk, c)
			if detail == nil || ctx.Err() != nil {
				break
			}
			img := render.Thumbnail(ctx, detail, width, height, palette)
			w.post(func() { w.thumbDrawn(ticket, c.Pose, img) })
		}
		return nil
	}, w.tellFault)
}

// thumbDetail gives what the picture needs: with overhang where there is advice.
func (w *mainWindow) thumbDetail(ctx context.Context, d *desk, c *orient.Candidate) *orient.Detail {
	if d.advice == nil {
		return plainDetail(d, c)
	}
	detail, err := w.engine.Detail(ctx, d.advice, c)
	if err != nil {
		return nil
	}
	return detail
}

// missingThumbs lists the candidates without a picture.
func (w *mainWindow) missingThumbs() []orient.Candidate {
	var missing []orient.Candidate
	for _, c := range w.desk.candidates() {
		if w.thumbs[c.Pose] == nil {
			missing = append(missing, c)
		}
	}
	return missing
}

func (w *mainWindow) thumbDrawn(ticket int, pose orient.Pose, img *image.RGBA) {
	if img == nil || !w.thumbing.current(ticket) {
		return
	}
	w.thumbs[pose] = img
	w.showShelf()
}

package window

import (
	"kilnpoise/app/window/kit"
	"kilnpoise/orient"
)

// fire solves the furnace for the candidates in the background. The advice can
// be used meanwhile; when the answers arrive it is ranked anew.
func (w *mainWindow) fire() {
	advice := w.desk.advice
	if advice == nil || w.advising.running() {
		return
	}
	ctx, ticket := w.firing.begin(w.ctx)
	w.head.SetBusy("solving the furnace", 0)
	report := w.reporter(func(p orient.Progress) {
		if w.firing.current(ticket) {
			w.head.SetBusy(p.Stage, p.Fraction)
		}
	})
	var fired *orient.Advice
	w.background("solving the furnace", func() (err error) {
		fired, err = w.engine.Fire(ctx, advice, report)
		return err
	}, func(err error) { w.fired(ticket, fired, err) })
}

// fired takes the advice with the furnace solved. Where it could not be solved
// the estimates stay, and the sheet says so.
func (w *mainWindow) fired(ticket int, a *orient.Advice, err error) {
	if !w.firing.done(ticket) {
		return
	}
	if err != nil {
		w.showIdle()
		w.board.Put(notice{key: noticeAdvice, kind: kit.MarkNote, text: "The furnace was not solved; sag stays a beam estimate. " + kit.Sentence(err)})
		return
	}
	w.scenes.clear()
	w.desk.advice = a
	w.show()
	w.showIdle()
	w.setTitle("fired")
	if w.planChosen(); !w.planning.running() {
		w.compareSaved()
	}
	w.mapSphere()
}

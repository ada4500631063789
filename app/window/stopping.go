package window

import (
	"gonum.org/v1/gonum/spatial/r3"
	"kilnpoise/app/window/kit"
)

// stopWork stops what is being worked on; what is known stays.
func (w *mainWindow) stopWork() {
	reading, advising, firing := w.opening.running(), w.advising.running(), w.firing.running()
	w.opening.stop()
	w.advising.stop()
	w.firing.stop()
	w.planning.stop()
	w.pause.stop()
	if !reading && !advising && !firing {
		return
	}
	w.head.SetIdle("stopped; what was found so far stays")
	w.setTitle("stopped")
	w.title.SetHint("")
	if advising {
		w.adviceStopped()
	}
}

// adviceStopped says what the page shows now, and offers to go on.
func (w *mainWindow) adviceStopped() {
	n := notice{key: noticeAdvice, kind: kit.MarkNote, actions: []noticeAction{{"Go on", w.advise}}}
	n.text = "The work was stopped before the advice was finished."
	if a := w.desk.advice; a != nil {
		n.text = "The work was stopped: the advice shown is for the brief as it was before."
		w.desk.brief.Directions, w.desk.wanted = a.Brief.Directions, r3.Vec{}
	}
	w.board.Put(n)
}

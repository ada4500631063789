package window

import (
	"kilnpoise/render"
)

// pickHint says how a face is picked.
const pickHint = "Click the face to rest on; by keyboard arrows, then Enter."

// facePicked takes a click on the part for what is being done with it.
func (w *mainWindow) facePicked(facet int) {
	if w.marking.on {
		w.markFacet(facet)
		return
	}
	w.restOnFacet(facet)
}

// togglePicking begins or ends the picking of a face to rest the part on.
func (w *mainWindow) togglePicking() {
	w.endMarking()
	if w.machines.Picking() {
		w.leavePicking()
		return
	}
	if w.desk.advice == nil {
		return
	}
	w.machines.SetPicking(true)
	w.title.SetHint(pickHint)
	view := w.machines.Views[render.OnPlate]
	if !view.Visible() {
		view = w.machines.Views[render.OnSetter]
	}
	w.win.Canvas().Focus(view)
}

func (w *mainWindow) leavePicking() {
	w.machines.SetPicking(false)
	w.title.SetHint("")
}

// restOnFacet makes a candidate of the user's own, resting on that facet.
func (w *mainWindow) restOnFacet(facet int) {
	if w.desk.part == nil || facet < 0 || facet >= len(w.desk.part.Mesh.Facets) {
		return
	}
	w.leavePicking()
	if w.desk.restOn(w.desk.part.Mesh.AreaVector(facet)) {
		w.did("rest it on a face")
		w.title.SetHint("Measuring your own …")
		w.advise()
		return
	}
	w.show()
}

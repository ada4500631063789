package window

import (
	"time"

	"fyne.io/fyne/v2"

	"kilnpoise/app/window/kit"
	"kilnpoise/assets"
	"kilnpoise/orient"
	"kilnpoise/orient/process"
)

// briefPause is how long the user must rest before the work begins anew.
const briefPause = 250 * time.Millisecond

// openRecords opens the built-in records and the user's own.
func openRecords() *process.Library {
	folder, err := process.UserFolder()
	if err != nil {
		folder = "" // no home folder, no records of one's own: the built-in ones do
	}
	return process.OpenLibrary(assets.Records(), folder)
}

// takeBrief makes the brief of the last sitting.
func (w *mainWindow) takeBrief() {
	ids := w.prefs.recordIDs()
	d := &w.desk
	d.ids = ids
	d.brief.Priorities = w.prefs.priorities()
	d.hand.letter = w.prefs.letter()
	d.brief.Material, d.ids[materialRecord] = recordOr(w.records.Materials, ids[materialRecord], assets.DefaultMaterial)
	d.brief.Printer, d.ids[printerRecord] = recordOr(w.records.Printers, ids[printerRecord], assets.DefaultPrinter)
	d.brief.Furnace, d.ids[furnaceRecord] = recordOr(w.records.Furnaces, ids[furnaceRecord], assets.DefaultFurnace)
	if err := w.records.Problems(); err != nil {
		w.board.Put(notice{key: noticeRecord, kind: kit.MarkFails, text: kit.Sentence(err)})
	}
	w.showBrief()
}

// recordOr gives the record of that ID, or the usual one where it is gone.
func recordOr[T any](shelf *process.Shelf[T], id, usual string) (T, string) {
	if r, err := shelf.Get(id); err == nil {
		return r, id
	}
	r, err := shelf.Get(usual)
	if err != nil {
		if all := shelf.List(); len(all) > 0 {
			return all[0], usual
		}
	}
	return r, usual
}

// showBrief brings the brief panel up to the state of the desk.
func (w *mainWindow) showBrief() {
	d := &w.desk
	v := briefView{priorities: d.brief.Priorities}
	v.names[materialRecord], v.chosen[materialRecord] = recordNames(w.records.Materials.List(), d.ids[materialRecord],
		func(m process.Material) (string, string) { return m.ID, m.Name })
	v.names[printerRecord], v.chosen[printerRecord] = recordNames(w.records.Printers.List(), d.ids[printerRecord],
		func(p process.Printer) (string, string) { return p.ID, p.Name })
	v.names[furnaceRecord], v.chosen[furnaceRecord] = recordNames(w.records.Furnaces.List(), d.ids[furnaceRecord],
		func(f process.Furnace) (string, string) { return f.ID, f.Name })
	for k := range recordKinds {
		v.changed[k] = w.recordChanged(k)
	}
	for k, name := range [recordKinds]string{d.brief.Material.Name, d.brief.Printer.Name, d.brief.Furnace.Name} {
		if i := v.chosen[k]; v.changed[k] && i < len(v.names[k]) {
			v.names[k][i] = kit.Typeset(name) // as its figures are now
		}
	}
	v.sag, v.marks = sagKnowledge(&d.brief.Material), w.keptLines()
	for _, f := range d.brief.Material.Figures() {
		if isQuick(f) {
			v.quick = append(v.quick, f)
		}
	}
	if d.advice != nil {
		v.firstPlace = firstPlace(d.advice.Candidates)
	}
	if err := w.checkBrief(); err != nil {
		v.problems = kit.Sentence(err)
	}
	w.brief.Set(v)
}

// recordNames lists the names of records and finds the one in use.
func recordNames[T any](all []T, id string, of func(T) (id, name string)) (names []string, chosen int) {
	seen := map[string]bool{}
	for i, r := range all {
		rid, name := of(r)
		if seen[name] {
			name += " (" + rid + ")"
		}
		seen[name] = true
		names = append(names, kit.Typeset(name))
		if rid == id {
			chosen = i
		}
	}
	return names, chosen
}

// checkBrief says what is wrong with the records of the brief.
func (w *mainWindow) checkBrief() error {
	b := &w.desk.brief
	for _, err := range []error{b.Material.Validate(), b.Printer.Validate(), b.Furnace.Validate()} {
		if err != nil {
			return err
		}
	}
	return nil
}

// rework begins the work anew after a change of the brief, once the user rests;
// not while a record is at fault.
func (w *mainWindow) rework() {
	w.show()
	if w.checkBrief() != nil {
		w.pause.stop()
		return
	}
	w.pause.after(briefPause, w.post, w.advise)
}

// takePriorities re-ranks.
func (w *mainWindow) takePriorities(p orient.Priorities) {
	w.desk.brief.Priorities = p
	w.prefs.setPriorities(p)
	w.slid("weigh what counts")
	w.showHead()
	w.pause.after(briefPause/3, w.post, w.advise)
}

func (w *mainWindow) usualPriorities() {
	w.takePriorities(orient.DefaultPriorities())
	w.show()
}

// takeRecord takes another record of a kind.
func (w *mainWindow) takeRecord(kind recordKind, index int) {
	b := &w.desk.brief
	switch kind {
	case materialRecord:
		if all := w.records.Materials.List(); index < len(all) {
			b.Material, w.desk.ids[kind] = all[index], all[index].ID
		}
	case printerRecord:
		if all := w.records.Printers.List(); index < len(all) {
			b.Printer, w.desk.ids[kind] = all[index], all[index].ID
		}
	case furnaceRecord:
		if all := w.records.Furnaces.List(); index < len(all) {
			b.Furnace, w.desk.ids[kind] = all[index], all[index].ID
		}
	}
	w.prefs.setRecordIDs(w.desk.ids)
	w.did("take another " + kit.LowerFirst(kind.String()))
	w.rework()
}

// takeFigure changes one figure of the material, for this part.
func (w *mainWindow) takeFigure(key, axis string, v float64) {
	if w.setRecordFigure(materialRecord, key, axis, v) {
		w.did("change a figure")
		w.rework()
	}
}

// toggleBrief slides the brief out or in.
func (w *mainWindow) toggleBrief() {
	if w.page.BriefOut() {
		w.endMarking()
		w.brief.ShowBrief()
		w.page.DrawBrief(false)
		w.win.Canvas().Unfocus()
		return
	}
	w.openBrief()
}

func (w *mainWindow) openBrief() {
	w.showBrief()
	w.page.DrawBrief(true)
	w.focusSoon(w.brief.first)
}

// focusSoon moves the focus once the key that asked for it has had its say: the
// toolkit sends the letter of a key after the key itself, to what then has the
// focus.
func (w *mainWindow) focusSoon(o fyne.Focusable) {
	time.AfterFunc(focusDelay, func() { w.post(func() { w.win.Canvas().Focus(o) }) })
}

const focusDelay = 60 * time.Millisecond

package window

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"

	"kilnpoise/app/window/kit"
	"kilnpoise/render"
)

// keyRow is one line of the overview of keys.
type keyRow struct{ keys, does string }

// keyGroup is the keys that belong together.
type keyGroup struct {
	title string
	rows  []keyRow
}

// keyGroups lists every key and mouse movement, for the overview. The menu shows
// its own shortcuts besides.
func keyGroups() []keyGroup {
	return []keyGroup{
		{"Anywhere", []keyRow{
			{"Tab, Shift+Tab", "go to the next or previous control"},
			{"Alt", "open the menu"},
			{modifierName + "+S", "save the job"},
			{modifierName + "+Z, Y", "undo, redo"},
			{"Esc", "leave picking, the hand-over or the brief; stop the work"},
			{"F1", "this overview"},
			{modifierName + "+PageUp, PageDown", "previous or next candidate"},
		}},
		{"While nothing is typed in", []keyRow{
			{"1 … 9", "choose that candidate"},
			{"← →", "previous or next candidate (in a view: turn)"},
			{"B", "the brief"},
			{"H", "hand over"},
			{"R", "rest it on a face"},
			{"M", "mark what matters on the part"},
			{"C", "two candidates side by side, or both machines again"},
			{"Shift+← →", "side by side: another one on the right"},
			{"V", "side by side: on the other machine"},
			{"P, S", "the whole space for the plate or the setter, or back"},
			{"L", "on the setter as printed, or as it is to be laid down"},
			{"0", "reset the view"},
		}},
		{"In a view", []keyRow{
			{"drag, arrows", "turn"},
			{"Shift+drag, right or middle drag, Shift+arrows", "move"},
			{"wheel, + −", "zoom"},
			{"double click, Enter", "the whole space for this view, or back"},
		}},
		{"While faces are picked", []keyRow{
			{"click", "take that face"},
			{"K", "keep it as a mark"},
			{"arrows, then Enter", "aim the cross-hair and take what it shows; Shift goes further"},
		}},
	}
}

// plainKey does what a key without modifier stands for. Text fields never pass
// their keys on to it.
func (w *mainWindow) plainKey(e *fyne.KeyEvent) {
	if len(e.Name) == 1 && e.Name >= "1" && e.Name <= "9" {
		w.choose(int(e.Name[0] - '1'))
		return
	}
	if do := w.plainKeys()[e.Name]; do != nil {
		do()
	}
}

// plainKeys tells what each key does while nothing is typed in.
func (w *mainWindow) plainKeys() map[fyne.KeyName]func() {
	return map[fyne.KeyName]func(){
		fyne.KeyLeft:   func() { w.arrowKey(-1) },
		fyne.KeyRight:  func() { w.arrowKey(1) },
		fyne.KeyB:      w.toggleBrief,
		fyne.KeyH:      w.beginHandOver,
		fyne.KeyR:      w.togglePicking,
		fyne.KeyM:      w.beginMarking,
		fyne.KeyK:      w.keepPicked,
		fyne.KeyC:      w.toggleBesides,
		fyne.KeyV:      w.switchMachine,
		fyne.KeyL:      w.toggleAsPrinted,
		fyne.KeyP:      func() { w.machines.ToggleWhole(render.OnPlate) },
		fyne.KeyS:      func() { w.machines.ToggleWhole(render.OnSetter) },
		fyne.Key0:      w.machines.ResetCamera,
		fyne.KeyF1:     w.showKeys,
		fyne.KeyEscape: w.escape,
	}
}

// arrowKey walks along the shelf; with Shift it is the candidate on the right that
// walks.
func (w *mainWindow) arrowKey(by int) {
	if kit.ShiftHeld() && w.besides.on() {
		w.stepOther(by)
		return
	}
	w.step(by)
}

// escape leaves what is open, the innermost first.
func (w *mainWindow) escape() {
	switch {
	case w.marking.on:
		w.endMarking()
	case w.machines.Picking():
		w.leavePicking()
	case w.page.handing:
		w.endHandOver()
	case w.besides.on():
		w.leaveBesides()
	case w.brief.Inside():
		w.brief.ShowBrief()
	case w.page.BriefOut():
		w.toggleBrief()
	case w.advising.running() || w.opening.running() || w.firing.running():
		w.stopWork()
	}
}

// shortcut makes the shortcut of a menu item: the system's usual modifier with a
// key.
func shortcut(key fyne.KeyName, more ...fyne.KeyModifier) fyne.Shortcut {
	modifier := fyne.KeyModifierShortcutDefault
	for _, m := range more {
		modifier |= m
	}
	return &desktop.CustomShortcut{KeyName: key, Modifier: modifier}
}

package window

import (
	"path/filepath"

	"fyne.io/fyne/v2"

	"kilnpoise/app/window/kit"
	"kilnpoise/app/window/machines"
	"kilnpoise/assets"
	"kilnpoise/mesh"
	"kilnpoise/render"
)

// menuBar is the main menu with the items whose state changes.
type menuBar struct {
	main     *fyne.MainMenu
	recent   *fyne.MenuItem
	overlays [machines.OverlayCount]*fyne.MenuItem
	modes    map[kit.LightMode]*fyne.MenuItem
	wholes   map[render.Machine]*fyne.MenuItem
	// undo and redo name the step that they would take.
	undo, redo *fyne.MenuItem
	asPrinted  *fyne.MenuItem
}

// makeMenu builds the menu bar. Shortcuts stand here, and so also work while the
// user types in a text field.
func (w *mainWindow) makeMenu() {
	w.menu = &menuBar{modes: map[kit.LightMode]*fyne.MenuItem{}, wholes: map[render.Machine]*fyne.MenuItem{}}
	w.menu.main = fyne.NewMainMenu(w.partMenu(), w.jobMenu(), w.candidateMenu(), w.viewMenu(), w.handMenu(), w.helpMenu())
	for _, m := range w.menu.main.Items {
		w.guardMenu(m)
	}
	w.refreshMenu()
	w.win.SetMainMenu(w.menu.main)
}

func item(label string, s fyne.Shortcut, do func()) *fyne.MenuItem {
	m := fyne.NewMenuItem(label, do)
	m.Shortcut = s
	return m
}

func (w *mainWindow) partMenu() *fyne.Menu {
	w.menu.recent = fyne.NewMenuItem("Recent", nil)
	w.menu.recent.ChildMenu = fyne.NewMenu("")
	demos := fyne.NewMenuItem("Built-in parts", nil)
	demos.ChildMenu = fyne.NewMenu("", w.demoItems()...)
	read := fyne.NewMenuItem("Read it in", nil)
	read.ChildMenu = fyne.NewMenu("", w.unitItems()...)
	quit := fyne.NewMenuItem("Quit", w.close)
	quit.Shortcut = shortcut(fyne.KeyQ)
	quit.IsQuit = true
	return fyne.NewMenu("Part",
		item("Open…", shortcut(fyne.KeyO), w.askForFile), w.menu.recent, demos,
		fyne.NewMenuItemSeparator(), read,
		fyne.NewMenuItemSeparator(),
		item("The brief", shortcut(fyne.KeyB), w.toggleBrief),
		item("Mark what matters", shortcut(fyne.KeyM), w.beginMarking),
		fyne.NewMenuItemSeparator(), quit)
}

// jobMenu has no shortcuts for undo and redo: text fields need theirs, and the
// canvas has its own for when nothing is typed in.
func (w *mainWindow) jobMenu() *fyne.Menu {
	w.menu.undo = fyne.NewMenuItem("Undo", w.undo)
	w.menu.redo = fyne.NewMenuItem("Redo", w.redo)
	return fyne.NewMenu("Job",
		item("Save the job", shortcut(fyne.KeyS), w.saveJob),
		item("Save the job as…", shortcut(fyne.KeyS, fyne.KeyModifierShift), w.saveJobAs),
		fyne.NewMenuItemSeparator(), w.menu.undo, w.menu.redo,
		fyne.NewMenuItemSeparator(), item("The firing book…", shortcut(fyne.KeyJ), w.openFiringBook))
}

// showSteps names the steps that undo and redo would take.
func (b *menuBar) showSteps(undo, redo string, canUndo, canRedo bool) {
	b.undo.Label, b.undo.Disabled = "Undo: "+undo+"  ("+modifierName+"+Z)", !canUndo
	b.redo.Label, b.redo.Disabled = "Redo: "+redo+"  ("+modifierName+"+Y)", !canRedo
	if !canUndo {
		b.undo.Label = "Nothing to undo"
	}
	if !canRedo {
		b.redo.Label = "Nothing to redo"
	}
}

func (w *mainWindow) demoItems() []*fyne.MenuItem {
	var out []*fyne.MenuItem
	for _, d := range assets.DemoParts() {
		out = append(out, fyne.NewMenuItem(d.Title, func() { w.open(source{demo: d}) }))
	}
	return out
}

// unitItems lists the units that the part can be read in.
func (w *mainWindow) unitItems() []*fyne.MenuItem {
	var out []*fyne.MenuItem
	for _, u := range units() {
		m := fyne.NewMenuItem(unitName(u), func() { w.readInUnit(u) })
		m.Checked = w.desk.part != nil && sameUnit(w.desk.part.Unit, u)
		out = append(out, m)
	}
	return out
}

// sameUnit compares units; the zero unit counts as millimetres.
func sameUnit(a, b mesh.Unit) bool { return a.MM() == b.MM() }

func (w *mainWindow) candidateMenu() *fyne.Menu {
	return fyne.NewMenu("Candidates",
		item("Next", shortcut(fyne.KeyPageDown), func() { w.step(1) }),
		item("Previous", shortcut(fyne.KeyPageUp), func() { w.step(-1) }),
		item("The first", shortcut(fyne.KeyHome, fyne.KeyModifierShift), func() { w.choose(0) }),
		fyne.NewMenuItemSeparator(),
		item("Rest on a face", shortcut(fyne.KeyR), w.togglePicking),
		item("Side by side", shortcut(fyne.KeyD), w.toggleBesides),
		item("Copy the reasons", shortcut(fyne.KeyC, fyne.KeyModifierShift), w.copyReasons),
		fyne.NewMenuItemSeparator(),
		item("Work it out again", shortcut(fyne.KeyW, fyne.KeyModifierShift), w.advise),
		item("Stop", shortcut(fyne.KeyPeriod), w.stopWork))
}

func (w *mainWindow) viewMenu() *fyne.Menu {
	items := []*fyne.MenuItem{}
	keys := [machines.OverlayCount]fyne.KeyName{fyne.Key1, fyne.Key2, fyne.Key3, fyne.Key4, fyne.Key5, fyne.Key6, fyne.Key7}
	for k := range w.menu.overlays {
		kind := machines.OverlayKind(k)
		m := item(kind.MenuLabel(), shortcut(keys[k]), func() {
			w.machines.SetOverlay(kind, !w.machines.Overlay(kind))
			w.refreshMenu()
		})
		w.menu.overlays[k] = m
		items = append(items, m)
	}
	whole := func(m render.Machine, label string, key fyne.KeyName) {
		w.menu.wholes[m] = item(label, shortcut(key, fyne.KeyModifierShift), func() { w.machines.ToggleWhole(m) })
	}
	whole(render.OnPlate, "Plate over the whole space", fyne.KeyP)
	whole(render.OnSetter, "Setter over the whole space", fyne.KeyU)
	look := func(label string, c render.Camera) *fyne.MenuItem {
		return fyne.NewMenuItem(label, func() { w.machines.SetCamera(c) })
	}
	from := fyne.NewMenuItem("Look from", nil)
	from.ChildMenu = fyne.NewMenu("", look("the front right", render.DefaultCamera()), look("the front", render.FrontCamera()),
		look("the right", render.RightCamera()), look("above", render.TopCamera()), look("below", render.BelowCamera()))
	w.menu.asPrinted = fyne.NewMenuItem("On the setter as printed", w.toggleAsPrinted)
	items = append(items, w.menu.asPrinted, w.sagMenu(), fyne.NewMenuItemSeparator(), from,
		item("Reset view", shortcut(fyne.Key0), w.machines.ResetCamera),
		w.menu.wholes[render.OnPlate], w.menu.wholes[render.OnSetter],
		fyne.NewMenuItemSeparator(), w.modeItem(kit.AsSystem, "Light or dark as the system"), w.modeItem(kit.AlwaysLight, "Light"),
		w.modeItem(kit.AlwaysDark, "Dark"), fyne.NewMenuItemSeparator(),
		item("Full screen", shortcut(fyne.KeyF, fyne.KeyModifierShift), func() { w.win.SetFullScreen(!w.win.FullScreen()) }))
	return fyne.NewMenu("View", items...)
}

func (w *mainWindow) modeItem(m kit.LightMode, label string) *fyne.MenuItem {
	it := fyne.NewMenuItem(label, func() { w.setMode(m) })
	w.menu.modes[m] = it
	return it
}

func (w *mainWindow) handMenu() *fyne.Menu {
	now := func(f func(handChoice)) func() {
		return func() {
			if !w.page.handing {
				w.beginHandOver()
			}
			if w.page.handing {
				f(w.hand.Choice())
			}
		}
	}
	return fyne.NewMenu("Hand over",
		item("Hand over…", shortcut(fyne.KeyE), w.beginHandOver),
		fyne.NewMenuItemSeparator(),
		item("Write the files", shortcut(fyne.KeyG), now(w.writeFiles)),
		item("Open the sheet", shortcut(fyne.KeyT), now(w.openSheet)),
		item("Print the sheet", shortcut(fyne.KeyP), now(w.printSheet)))
}

func (w *mainWindow) helpMenu() *fyne.Menu {
	return fyne.NewMenu("Help",
		item("Keys and mouse", shortcut(fyne.KeyK), w.showKeys),
		fyne.NewMenuItem("About Kilnpoise", w.showAbout))
}

// refreshMenu brings ticks and the recent files up to date.
func (w *mainWindow) refreshMenu() {
	b := w.menu
	if b == nil || b.main == nil {
		return
	}
	for k, m := range b.overlays {
		m.Checked = w.machines.Overlay(machines.OverlayKind(k))
	}
	for mode, m := range b.modes {
		m.Checked = w.look.Mode == mode
	}
	for machine, m := range b.wholes {
		m.Checked = w.machines.Whole == machine
	}
	b.asPrinted.Checked = w.asPrinted
	undo, canUndo := w.keeping.history.CanUndo()
	redo, canRedo := w.keeping.history.CanRedo()
	b.showSteps(undo, redo, canUndo, canRedo)
	b.recent.ChildMenu.Items = w.recentItems()
	b.recent.Disabled = len(b.recent.ChildMenu.Items) == 0
	b.main.Refresh()
}

func (w *mainWindow) recentItems() []*fyne.MenuItem {
	var out []*fyne.MenuItem
	for _, path := range w.prefs.recent() {
		label := filepath.Base(path) + "  (" + filepath.Dir(path) + ")"
		out = append(out, fyne.NewMenuItem(label, w.safe(func() { w.openPath(path) })))
	}
	return out
}

// sagMenu chooses how the shape is drawn on the setter, once its sag is known
// all over.
func (w *mainWindow) sagMenu() *fyne.MenuItem {
	draw := func(label string, times float64) *fyne.MenuItem {
		return fyne.NewMenuItem(label, func() { w.machines.SetSagDrawn(times) })
	}
	m := fyne.NewMenuItem("Draw the sag", nil)
	m.ChildMenu = fyne.NewMenu("", draw("not in the shape", 0), draw("as it is", 1), draw("10 times", 10), draw("50 times", 50))
	return m
}

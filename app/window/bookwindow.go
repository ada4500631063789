package window

import (
	"strings"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"

	"kilnpoise/app/book"
	"kilnpoise/app/window/kit"
)

// bookWindow is the firing book in a window of its own. Like mainWindow it runs on
// the UI goroutine; the book itself is only touched by workers. Closing hides it:
// what is half entered is still there when it is opened again.
type bookWindow struct {
	main *mainWindow
	win  fyne.Window
	file bookFile
	// shown is false while the window is hidden, started once it was shown.
	shown, started bool

	// The work in the background, a place for each kind; writing counts changes
	// that are on their way to the disk.
	reading, fitting, charting, moving task
	// unread is true where the trouble that is told is that the book could not be read.
	unread  bool
	writing int

	// material and furnace are the records whose firings are shown, oldest first.
	material, furnace string
	// ofBrief are those of the brief when the window was opened last.
	ofBrief             [2]string
	materials, furnaces recordChoices
	firings             []book.Firing
	fit                 *bookFit

	board   *noticeBoard
	list    *bookList
	form    *bookForm
	results *bookResults
	taking  *takeOver
	page    *bookPage
}

const bookWidth, bookHeight = 1100, 760

// bookTitle is that of the window.
const bookTitle = "Kilnpoise - the firing book"

// newBookWindow makes the window; open shows it.
func newBookWindow(w *mainWindow) *bookWindow {
	b := &bookWindow{main: w, win: w.app.NewWindow(bookTitle), file: bookFile{path: w.bookFilePath}}
	b.board, b.list, b.form, b.results, b.taking = newNoticeBoard(), newBookList(), newBookForm(), newBookResults(), newTakeOver()
	b.page = newBookPage(b.board, b.list, b.form, b.results, b.taking)
	b.connect()
	b.win.SetContent(b.page)
	b.win.SetPadded(false)
	b.win.Resize(fyne.NewSize(bookWidth, bookHeight))
	b.win.SetCloseIntercept(b.main.safe(b.hide))
	b.makeKeys()
	w.app.Settings().AddListener(func(fyne.Settings) { b.post(b.recolour) })
	return b
}

// connect ties the wishes of the widgets to what the window does.
func (b *bookWindow) connect() {
	b.board.OnChanged = func() { b.page.Refresh() }
	b.list.OnNew = b.enterNew
	b.list.OnMaterial = func(id string) { b.turnTo(id, b.furnace) }
	b.list.OnFurnace = func(id string) { b.turnTo(b.material, id) }
	b.list.OnExport, b.list.OnImport, b.list.OnEscape = b.askExport, b.askImport, b.escape
	b.list.rows.OnOpen, b.list.rows.OnRemove = b.change, b.remove
	b.form.OnKeep, b.form.OnRemove, b.form.OnBack = b.keep, b.remove, b.leaveForm
	b.form.OnFocus = func(o fyne.Focusable) { b.win.Canvas().Focus(o) }
	b.results.OnTake, b.results.OnSag, b.results.OnFiring, b.results.OnEscape = b.beginTaking, b.beginTakingSag, b.change, b.escape
	b.results.OnPair, b.results.pairName = b.turnTo, b.pairName
	for k, c := range b.results.charts {
		c.OnWidth = func() { b.post(b.drawCharts) } // not while the page is being laid out
		c.OnPick = func(point int) { b.pickReading(k, point) }
	}
	b.taking.OnBack = b.endTaking
	b.board.attempt = b.main.board.attempt
	b.main.guard(b.list, b.list.rows, b.form, b.results, b.taking)
}

// makeKeys sets the shortcuts of the window. They stand on its canvas and not on a
// menu, since some systems have one menu for all windows of a program.
func (b *bookWindow) makeKeys() {
	c := b.win.Canvas()
	c.SetOnTypedKey(func(e *fyne.KeyEvent) { b.main.attempt(asked, func() { b.plainKey(e) }) })
	for _, s := range []struct {
		key fyne.KeyName
		do  func()
	}{{fyne.KeyW, b.hide}, {fyne.KeyN, b.enterNew}, {fyne.KeyS, b.keepForm}, {fyne.KeyE, func() { b.askExport(false) }}, {fyne.KeyI, b.askImport}, {fyne.KeyJ, b.main.win.RequestFocus}} {
		c.AddShortcut(&desktop.CustomShortcut{KeyName: s.key, Modifier: fyne.KeyModifierShortcutDefault}, func(fyne.Shortcut) { b.main.attempt(asked, s.do) })
	}
}

// bookKeys tells the shortcuts.
func bookKeys() string {
	m := modifierName + "+"
	return strings.Join([]string{m + "N a part has come back", m + "S keep it", m + "E, I export, import", m + "W or Esc close"}, "; ") + "."
}

// plainKey does what a key stands for while nothing has the focus.
func (b *bookWindow) plainKey(e *fyne.KeyEvent) {
	switch e.Name {
	case fyne.KeyN:
		b.enterNew()
	case fyne.KeyEscape:
		b.escape()
	}
}

// post hands work to the UI goroutine.
func (b *bookWindow) post(f func()) { b.main.post(f) }

// open shows the window with the firings of the brief, and reads them anew.
func (b *bookWindow) open() {
	brief := &b.main.desk.brief
	if now := [2]string{brief.Material.ID, brief.Furnace.ID}; now != b.ofBrief && !b.page.entering {
		b.ofBrief = now // else what was looked at last stays
		b.material, b.furnace = now[0], now[1]
	}
	if b.shown = true; !b.started {
		b.started = true
		b.focusSoon(b.list.enter)
	}
	b.win.Show()
	b.win.RequestFocus()
	b.reload()
}

// escape leaves what is open, the innermost first, and at last the window.
func (b *bookWindow) escape() {
	switch {
	case b.page.entering:
		b.leaveForm()
	case b.page.taking:
		b.endTaking()
	default:
		b.hide()
	}
}

// hide closes the window; the file is let go once what is being written is.
func (b *bookWindow) hide() {
	b.shown = false
	for _, t := range []*task{&b.reading, &b.fitting, &b.charting} {
		t.stop()
	}
	b.win.Hide()
	b.main.win.RequestFocus()
	go b.main.attemptAway("closing the firing book", b.file.close)
}

// mayEnd reports whether the program may end without losing what is being entered
// here; otherwise the user is asked.
func (b *bookWindow) mayEnd() bool {
	if b == nil || !b.page.entering || !b.form.Changed() {
		return true
	}
	b.main.board.Put(notice{key: "firing", kind: kit.MarkNote, text: "A firing is being entered in the firing book and is not kept yet.", actions: []noticeAction{
		{"Look at it", b.open},
		{"Quit without it", func() {
			b.form.Forget()
			b.main.close()
		}},
	}})
	return false
}

// end waits until the book is written and lets it go; the window is of no use
// afterwards.
func (b *bookWindow) end() {
	if b != nil {
		b.file.end()
	}
}

// focusSoon moves the focus once the key that asked for it has had its say.
func (b *bookWindow) focusSoon(o fyne.Focusable) {
	time.AfterFunc(focusDelay, func() { b.post(func() { b.win.Canvas().Focus(o) }) })
}

// recolour sets everything in the colours of now.
func (b *bookWindow) recolour() {
	b.board.rebuild()
	b.drawCharts()
}

// tell puts up a sentence in place of the one before.
func (b *bookWindow) tell(kind kit.MarkKind, text string, actions ...noticeAction) {
	b.board.Put(notice{key: "book", kind: kind, text: text, actions: actions})
}

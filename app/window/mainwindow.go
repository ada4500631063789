package window

import (
	"context"
	"errors"
	"image"
	"io/fs"
	"os"

	"fyne.io/fyne/v2"

	"kilnpoise/app/fault"
	"kilnpoise/app/job"
	"kilnpoise/app/window/kit"
	"kilnpoise/app/window/machines"
	"kilnpoise/assets"
	"kilnpoise/orient"
	"kilnpoise/orient/process"
)

// mainWindow owns the desk and everything on the screen. All its methods run on
// the UI goroutine; workers get copies or values that never change, and hand
// back through post.
type mainWindow struct {
	app     fyne.App
	win     fyne.Window
	look    *kit.Look
	engine  engine
	records *process.Library
	prefs   prefs
	// version goes into jobs, build is shown.
	version, build string

	ctx    context.Context
	cancel context.CancelFunc
	// deliver has something done on the UI goroutine; post is to be used.
	deliver func(func())
	faults  fault.Desk

	desk   desk
	scenes sceneShelf
	thumbs map[orient.Pose]*image.RGBA

	// The work in the background, a place for each kind.
	opening, advising, firing, handing     task
	detailing, thumbing, charting          task
	surfacing, planning, mapping, sphering task
	sphere                                 sphereState
	trade                                  tradeState
	besides                                besides
	savingJob, browsing                    task
	// handOutNow is the hand-over on its way or being asked about, nil where there is
	// none; handedLast the one that was carried out last.
	handOutNow *handOut
	handedLast handedLast
	// agreements are those of the part on the desk; asked is the one that is being asked
	// for.
	agreements map[agreement]bool
	asked      agreement
	keeping    keeping
	errands    errands
	// remembering is where preferences are kept.
	remembering remembering
	// firings is the firing book, nil until it is opened; bookPath is where it lies,
	// "" for the user's own.
	firings  *bookWindow
	bookPath string
	// asPrinted shows the part on the setter as printed, also where it is to be
	// laid on another face.
	asPrinted bool
	// state ends the title of the window.
	state   string
	marking marking
	// pause delays work while the brief is being changed.
	pause pauser

	head     *head
	board    *noticeBoard
	machines *machines.Pane
	shelf    *shelf
	title    *shelfTitle
	why      *whyPanel
	hand     *handPanel
	brief    *briefPanel
	page     *page
	menu     *menuBar
}

// newWindow builds the window without opening a part.
func newWindow(a fyne.App, e engine, records *process.Library, o Options) *mainWindow {
	if o.prefs == nil {
		o.prefs = newPrefStore(nil)
	}
	w := &mainWindow{
		app: a, engine: e, records: records, version: o.Version, build: o.Build, faults: o.Faults, prefs: prefs{o.prefs},
		thumbs: map[orient.Pose]*image.RGBA{}, agreements: map[agreement]bool{},
	}
	w.trade = usualTrade()
	w.keeping.history = job.NewHistory(job.Job{})
	w.ctx, w.cancel = context.WithCancel(context.Background())
	w.deliver = fyne.Do
	w.look = kit.NewLook(w.prefs.mode())
	a.Settings().SetTheme(w.look)
	w.win = a.NewWindow("Kilnpoise")
	w.makeParts()
	w.connect()
	w.makeMenu()
	w.win.SetContent(w.page)
	w.win.SetPadded(false)
	w.win.Resize(w.prefs.windowSize())
	w.win.SetMaster()
	w.win.SetCloseIntercept(w.safe(w.close))
	w.win.SetOnDropped(func(_ fyne.Position, uris []fyne.URI) { w.attempt(asked, func() { w.dropped(uris) }) })
	w.win.Canvas().SetOnTypedKey(func(e *fyne.KeyEvent) { w.attempt(asked, func() { w.plainKey(e) }) })
	w.win.Canvas().AddShortcut(&fyne.ShortcutUndo{}, func(fyne.Shortcut) { w.attempt(asked, w.undo) })
	w.win.Canvas().AddShortcut(&fyne.ShortcutRedo{}, func(fyne.Shortcut) { w.attempt(asked, w.redo) })
	a.Lifecycle().SetOnStopped(w.cancel) // however the program ends
	w.watchLook()
	w.takeBrief()
	return w
}

// makeParts makes what is on the page.
func (w *mainWindow) makeParts() {
	w.head = newHead()
	w.board = newNoticeBoard()
	w.machines = machines.New(w.ctx, w.post, func(draw func()) { w.attemptAway("drawing the machines", draw) })
	w.shelf = newShelf()
	w.title = newShelfTitle()
	w.why = newWhyPanel()
	w.hand = newHandPanel()
	w.brief = newBriefPanel()
	w.page = (&page{
		head: w.head.box, board: w.board.box, machines: w.machines, shelfTitle: w.title.box, shelf: w.shelf,
		side: w.why, handOver: w.hand.box, brief: w.brief.box,
	}).init()
}

// connect ties the wishes of the widgets to what the window does.
func (w *mainWindow) connect() {
	w.head.OnOpen, w.head.OnBrief, w.head.OnStop, w.head.OnUnit = w.askForFile, w.toggleBrief, w.stopWork, w.askForUnit
	w.board.OnChanged = func() { w.page.Refresh() }
	w.machines.OnFace, w.machines.OnMissed = w.facePicked, func() { w.title.SetHint("There is no face here; aim at the part.") }
	w.machines.OnKey, w.shelf.OnKey = w.plainKey, w.plainKey
	w.machines.OnArranged = w.refreshMenu
	w.shelf.OnSelected, w.shelf.OnOther, w.shelf.OnStepOther = w.choose, w.chooseOther, w.stepOther
	w.title.OnBesides, w.title.OnMachine = w.toggleBesides, w.switchMachine
	w.title.OnRest, w.title.OnReset = w.togglePicking, w.machines.ResetCamera
	w.title.OnKey, w.head.OnKey, w.why.OnKey = w.plainKey, w.plainKey, w.plainKey
	w.why.OnHandOver = w.beginHandOver
	w.why.OnRegion, w.why.OnLeave = w.lookAtRegion, w.toggleLeft
	w.why.trade.OnMeasures, w.why.trade.chart.OnPick = w.takeTrade, w.pickChart
	w.why.sphere.OnMeasure, w.why.sphere.OnOwn, w.why.sphere.OnWay = w.takeSphereMeasure, w.ownDirection, w.ownWay
	w.why.sphere.chart.OnPick, w.why.sphere.chart.OnPoint = w.pickSphere, w.pointSphere
	w.hand.OnWrite, w.hand.OnOpen, w.hand.OnPrint = w.writeFiles, w.openSheet, w.printSheet
	w.hand.OnFolder, w.hand.OnDone, w.hand.OnWishes, w.hand.OnNotes = w.askForFolder, w.endHandOver, w.takeWishes, w.takeNotes
	w.brief.OnRecord, w.brief.OnFigure, w.brief.OnEdit = w.takeRecord, w.takeFigure, w.editRecord
	w.brief.OnPriorities, w.brief.OnDefaults = w.takePriorities, w.usualPriorities
	w.brief.OnDone, w.brief.OnCoupon, w.brief.OnMarks = w.toggleBrief, w.openCoupon, w.beginMarking
	w.connectMarks(w.brief.marks)
	w.brief.coupon.OnFit, w.brief.coupon.OnKeep, w.brief.coupon.OnPart = w.fitCoupon, w.keepCoupon, w.openCouponPart
	w.board.attempt = func(do func()) { w.attempt(asked, do) }
	w.guard(w.head, w.machines, w.shelf, w.title, w.why, w.why.trade, w.why.trade.chart, w.why.sphere, w.why.sphere.chart,
		w.hand, w.brief, w.brief.marks, w.brief.coupon)
}

// connectMarks ties the panel of marks to the marking.
func (w *mainWindow) connectMarks(p *markPanel) {
	p.OnWhat, p.OnWithin, p.OnRings = w.takeWhat, w.takeWithin, w.takeRings
	p.OnClear, p.OnKeep, p.OnRemove, p.OnDone = w.clearMark, w.keepMark, w.removeMark, w.endMarking
}

// begin opens the part that the program was started with.
func (w *mainWindow) begin(path string) {
	w.checkLastFolder()
	demo, builtIn := defaultDemo(), path == ""
	if !builtIn {
		demo, builtIn = assets.PartNamed(path)
		builtIn = builtIn && absent(path) // a file goes before a part of its name
	}
	if builtIn {
		w.open(source{demo: demo})
		return
	}
	w.openPath(path)
}

// absent reports whether there is surely nothing at a path.
func absent(path string) bool {
	_, err := os.Lstat(path)
	return errors.Is(err, fs.ErrNotExist)
}

// close keeps what is to be kept and ends all work.
func (w *mainWindow) close() {
	if !w.firings.mayEnd() {
		return
	}
	w.prefs.setWindowSize(w.win.Canvas().Size())
	w.remember()
	w.endSitting()
	w.cancel()
	w.win.Close()
}

// end is called after the window is gone, however it went. It waits for what is on its
// way to the disk, and gives what nobody was told of.
func (w *mainWindow) end() error {
	w.remember()
	w.endSitting()
	w.cancel()
	err := w.errands.end(longestErrands)
	w.firings.end()
	return err
}

// watchLook draws anew when the system changes between light and dark.
func (w *mainWindow) watchLook() {
	w.app.Settings().AddListener(func(fyne.Settings) { w.post(w.recolour) })
}

// recolour sets everything in the colours of now.
func (w *mainWindow) recolour() {
	w.thumbs = map[orient.Pose]*image.RGBA{}
	w.machines.Recolour()
	w.board.rebuild()
	w.show()
	w.drawThumbs()
}

// setMode forces light or dark, or follows the system.
func (w *mainWindow) setMode(m kit.LightMode) {
	w.prefs.setMode(m)
	w.look.Mode = m
	w.app.Settings().SetTheme(w.look)
	w.refreshMenu()
}

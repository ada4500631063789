package window

import (
	"context"
	"errors"
	"fmt"
	"os"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"

	"kilnpoise/app/book"
	"kilnpoise/mesh"
	"kilnpoise/orient/process"
)

// bookWindow is the firing book in a window of its own. Like mainWindow it runs on
// the UI goroutine; the book itself is only touched by workers, one at a time.
type bookWindow struct {
	// OnTake makes the material of a proposal the one in use, once it is kept, and
	// OnCoupons fits its sag to beams from the book. Both say how that ended.
	OnTake    func(process.Material) string
	OnCoupons func(firings []book.Firing) string
	// OnClosed is called when the window is gone.
	OnClosed func()

	win    fyne.Window
	ctx    context.Context
	cancel context.CancelFunc
	post   func(func())
	path   string

	material process.Material
	furnace  process.Furnace
	// preset is what a new firing begins with.
	preset book.Firing

	book    *book.Book
	working task
	view    bookView

	board   *noticeBoard
	list    *bookList
	form    *bookForm
	results *bookResults
	page    *bookPage
}

// bookView is what the book says for the material and furnace in use.
type bookView struct {
	firings []book.Firing
	fit     process.ShrinkageFit
	// fitted is false where there is nothing to fit, and why says so.
	fitted   bool
	why      string
	proposal process.Proposal
	density  []string
}

const bookWidth, bookHeight = 1120, 780

// newBookWindow makes the window of the book at path; open shows it.
func newBookWindow(a fyne.App, path string, post func(func())) *bookWindow {
	b := &bookWindow{path: path, win: a.NewWindow("Kilnpoise - the firing book")}
	b.ctx, b.cancel = context.WithCancel(context.Background())
	b.post = func(f func()) {
		post(func() {
			if b.ctx.Err() == nil {
				f()
			}
		})
	}
	b.board = newNoticeBoard()
	b.list, b.form, b.results = newBookList(), newBookForm(), newBookResults()
	b.page = newBookPage(b.board, b.list, b.form, b.results)
	b.board.OnChanged = b.page.Refresh
	b.connect()
	b.win.SetContent(b.page)
	b.win.SetPadded(false)
	b.win.Resize(fyne.NewSize(bookWidth, bookHeight))
	b.win.SetOnClosed(b.closed)
	b.win.Canvas().SetOnTypedKey(func(e *fyne.KeyEvent) {
		if e.Name == fyne.KeyEscape {
			b.escape()
		}
	})
	b.win.Canvas().AddShortcut(&desktop.CustomShortcut{KeyName: fyne.KeyW, Modifier: fyne.KeyModifierShortcutDefault},
		func(fyne.Shortcut) { b.win.Close() })
	return b
}

func (b *bookWindow) connect() {
	b.list.OnNew, b.list.OnImport, b.list.OnExport = b.enterNew, b.askImport, b.askExport
	b.list.OnChange, b.list.OnRemove = b.change, b.remove
	b.list.OnEscape, b.form.OnDone = b.escape, b.leaveForm
	b.form.OnKeep = b.keep
	b.results.OnTake, b.results.OnCoupons, b.results.OnEscape = b.take, b.fitCoupons, b.escape
}

// open shows the window for a material and furnace and reads the book.
func (b *bookWindow) open(m process.Material, f process.Furnace, preset book.Firing) {
	b.material, b.furnace, b.preset = m, f, preset
	b.list.SetTitle(fmt.Sprintf("Firings of %s in %s", m.Name, f.Name))
	b.win.Show()
	b.win.RequestFocus()
	b.reload("reading the book …")
}

// escape leaves the entry of a firing, or the window.
func (b *bookWindow) escape() {
	if b.page.entering {
		b.leaveForm()
		return
	}
	b.win.Close()
}

// closed ends the work and lets the book go.
func (b *bookWindow) closed() {
	b.cancel()
	open := b.book
	b.book = nil
	go func() {
		if open != nil {
			_ = open.Close() // everything acknowledged is on the disk
		}
	}()
	call(b.OnClosed)
}

// reload reads the firings and fits them anew.
func (b *bookWindow) reload(doing string) {
	b.do(doing, func(context.Context, *book.Book) (string, error) { return "", nil })
}

// do has a worker change the book, and shows it anew; said, if not empty, is told.
func (b *bookWindow) do(doing string, work func(context.Context, *book.Book) (said string, err error)) {
	if b.working.running() {
		b.tell(markNote, "The book is still busy; try again in a moment.")
		return
	}
	ctx, ticket := b.working.begin(b.ctx)
	b.list.SetBusy(doing)
	open, m, f, path := b.book, b.material, b.furnace, b.path
	go func() {
		var view bookView
		said, err := "", error(nil)
		if open == nil {
			open, err = openBook(ctx, path)
		}
		if err == nil {
			said, err = work(ctx, open)
		}
		if err == nil {
			view, err = readBook(ctx, open, m, f)
		}
		b.post(func() {
			b.book = open
			if b.working.done(ticket) {
				b.did(view, said, err)
			}
		})
	}()
}

// did shows how work on the book has ended.
func (b *bookWindow) did(view bookView, said string, err error) {
	b.list.SetBusy("")
	if err != nil {
		if !errors.Is(err, context.Canceled) {
			b.tell(markFails, sentence(err))
		}
		return
	}
	b.view = view
	b.list.Set(view.firings)
	b.results.Set(&view, b.win.Canvas().Scale())
	if said != "" {
		b.tell(markPasses, said)
	}
	b.page.Refresh()
}

func (b *bookWindow) tell(kind markKind, text string, actions ...noticeAction) {
	b.board.Put(notice{key: "book", kind: kind, text: text, actions: actions})
}

// openBook opens the book, whose folder is made where there is none.
func openBook(ctx context.Context, path string) (*book.Book, error) {
	if path == "" {
		return nil, errors.New("there is no folder of your own to keep a firing book in; set HOME, or use “book --book FILE” on the command line")
	}
	if err := os.MkdirAll(folderOf(path), 0o755); err != nil {
		return nil, fmt.Errorf("the folder of the firing book cannot be made: %w", err)
	}
	return book.Open(ctx, path)
}

// readBook reads the firings of a material and furnace and what follows from them;
// it is worker's work.
func readBook(ctx context.Context, b *book.Book, m process.Material, f process.Furnace) (bookView, error) {
	firings, err := b.List(ctx, book.Filter{Material: m.ID, Furnace: f.ID})
	if err != nil {
		return bookView{}, err
	}
	v := bookView{firings: firings}
	v.fit, err = process.FitShrinkage(ctx, book.Readings(firings), process.FitOptions{Start: m.Shrinkage})
	if err != nil {
		v.why = "Nothing can be fitted yet: enter what a part measured green, and what it measured when it came back."
		return v, ctx.Err()
	}
	v.fitted = true
	v.proposal = v.fit.Propose(m, time.Now(), "firing book")
	for i := range firings {
		c := v.fit.CheckDensity(m, firings[i].Weighing())
		for _, r := range c.Remarks {
			v.density = append(v.density, fmt.Sprintf("Firing %d: %s", firings[i].ID, r))
		}
	}
	return v, nil
}

// enterNew begins a new firing.
func (b *bookWindow) enterNew() {
	b.form.Begin(b.preset, true)
	b.page.Enter(true)
	b.win.Canvas().Focus(b.form.date)
}

// change opens a firing to be changed or completed.
func (b *bookWindow) change(i int) {
	if i < len(b.view.firings) {
		b.form.Begin(b.view.firings[i], false)
		b.page.Enter(true)
	}
}

func (b *bookWindow) leaveForm() {
	b.page.Enter(false)
	b.win.Canvas().Unfocus()
}

// keep puts what was entered into the book.
func (b *bookWindow) keep(f book.Firing) {
	if err := f.Check(); err != nil {
		b.form.Tell(sentence(err))
		return
	}
	b.leaveForm()
	b.do("keeping the firing …", func(ctx context.Context, in *book.Book) (string, error) {
		if f.ID != 0 {
			_, now, err := in.Change(ctx, f)
			return fmt.Sprintf("Firing %d is changed.", now.ID), err
		}
		now, err := in.Add(ctx, f)
		return fmt.Sprintf("Firing %d is in the book.", now.ID), err
	})
}

// remove takes a firing out, and offers to put it back.
func (b *bookWindow) remove(i int) {
	if i >= len(b.view.firings) {
		return
	}
	id := b.view.firings[i].ID
	b.do("taking the firing out …", func(ctx context.Context, in *book.Book) (string, error) {
		gone, err := in.Remove(ctx, id)
		if err == nil {
			b.post(func() { b.offerBack(gone) })
		}
		return "", err
	})
}

func (b *bookWindow) offerBack(gone book.Firing) {
	b.tell(markNote, fmt.Sprintf("Firing %d is out of the book.", gone.ID), noticeAction{"Put it back", func() {
		b.do("putting it back …", func(ctx context.Context, in *book.Book) (string, error) {
			_, err := in.Restore(ctx, gone)
			return fmt.Sprintf("Firing %d is in the book again.", gone.ID), err
		})
	}})
}

// take takes the proposal over into the user's own record.
func (b *bookWindow) take() {
	if b.OnTake == nil || !b.view.fitted {
		return
	}
	b.tell(markPasses, b.OnTake(b.view.proposal.Record))
	b.material = b.view.proposal.Record
	b.reload("fitting anew …")
}

func (b *bookWindow) fitCoupons() {
	if b.OnCoupons != nil {
		b.tell(markPasses, b.OnCoupons(b.view.firings))
	}
}

// exportTo writes the firings shown as a table.
func (b *bookWindow) exportTo(path string) {
	firings := b.view.firings
	b.do("writing the table …", func(context.Context, *book.Book) (string, error) {
		err := mesh.WriteFileWhole(path, exporter(firings))
		return fmt.Sprintf("%s written: %s", plural(len(firings), "firing"), path), err
	})
}

// importFrom reads firings from a table.
func (b *bookWindow) importFrom(path string) {
	b.do("reading the table …", func(ctx context.Context, in *book.Book) (string, error) {
		f, err := os.Open(path)
		if err != nil {
			return "", fmt.Errorf("the table cannot be read: %w", err)
		}
		defer f.Close()
		added, known, err := in.Import(ctx, f)
		said := plural(len(added), "firing") + " read"
		if len(known) > 0 {
			said += fmt.Sprintf("; %s in the book already", plural(len(known), "other"))
		}
		return said + ".", err
	})
}

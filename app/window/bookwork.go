package window

import (
	"context"
	"errors"
	"slices"
	"strings"

	"kilnpoise/app/book"
	"kilnpoise/app/window/kit"
)

// bookSight is what a look into the book gives.
type bookSight struct {
	pairs   []book.Pair
	firings []book.Firing
}

// readSight reads the firings of a material in a furnace; it is worker's work.
func readSight(ctx context.Context, in *book.Book, material, furnace string) (s bookSight, err error) {
	if s.pairs, err = in.Pairs(ctx); err != nil {
		return s, err
	}
	if s.firings, err = in.List(ctx, book.Filter{Material: material}); err != nil {
		return s, err
	}
	// A filter would take an empty furnace for any.
	s.firings = slices.DeleteFunc(s.firings, func(f book.Firing) bool { return f.Furnace != furnace })
	return s, nil
}

// reload reads the firings anew and then fits them, in the background.
func (b *bookWindow) reload() {
	if !b.shown {
		return // it is read when it is opened
	}
	ctx, ticket := b.reading.begin(b.main.ctx)
	b.fitting.stop()
	b.list.SetBusy("Reading the book …")
	material, furnace := b.material, b.furnace
	var seen bookSight
	var notes []string
	b.main.background("reading the firing book", func() (err error) {
		notes, err = b.file.do(ctx, func(ctx context.Context, in *book.Book) (err error) {
			seen, err = readSight(ctx, in, material, furnace)
			return err
		})
		return err
	}, func(err error) {
		b.tellNotes(notes)
		if !b.reading.done(ticket) {
			return
		}
		b.list.SetBusy("")
		if err != nil {
			b.failed(err, noticeAction{"Try again", b.reload})
			b.unread = true
			return
		}
		if b.unread { // what else went wrong is not cured by reading
			b.board.Clear("trouble")
		}
		b.unread = false
		b.show(seen)
	})
}

// tellNotes says what opening the book did beyond opening it.
func (b *bookWindow) tellNotes(notes []string) {
	if len(notes) > 0 {
		b.board.Put(notice{key: "notes", kind: kit.MarkNote, text: strings.Join(notes, " ")})
	}
}

// failed says what went wrong with the book, and what can be done.
func (b *bookWindow) failed(err error, actions ...noticeAction) {
	if !errors.Is(err, context.Canceled) {
		b.unread = false
		b.board.Put(notice{key: "trouble", kind: kit.MarkFails, text: kit.Sentence(err), actions: actions})
	}
}

// show lists firings and begins to work out what follows from them.
func (b *bookWindow) show(s bookSight) {
	b.materials, b.furnaces = b.main.materialChoices().with(b.material), b.main.furnaceChoices().with(b.furnace)
	for _, p := range s.pairs {
		b.materials, b.furnaces = b.materials.with(p.Material), b.furnaces.with(p.Furnace)
	}
	b.firings = s.firings
	b.results.others = nil
	for _, p := range s.pairs {
		if p.Material != b.material || p.Furnace != b.furnace {
			b.results.others = append(b.results.others, p)
		}
	}
	b.list.SetChoices(b.materials, b.material, b.furnaces, b.furnace)
	b.list.SetFirings(s.firings)
	b.refit()
}

// turnTo shows the firings of another material or furnace.
func (b *bookWindow) turnTo(material, furnace string) {
	b.material, b.furnace = material, furnace
	b.endTaking()
	b.reload()
}

// pairName names a material and furnace by their records.
func (b *bookWindow) pairName(p book.Pair) string {
	m, f := b.materials.with(p.Material), b.furnaces.with(p.Furnace)
	return m.names[m.index(p.Material)] + " in " + f.names[f.index(p.Furnace)]
}

// write has a worker change the book. Once begun it is carried through, also when
// the window or the program is closed meanwhile.
func (b *bookWindow) write(doing string, work func(context.Context, *book.Book) error, done func(error)) {
	b.writing++
	b.list.SetBusy(doing)
	b.file.writes.Add(1)
	ctx := context.WithoutCancel(b.main.ctx)
	var notes []string
	b.main.background("writing the firing book", func() (err error) {
		defer b.file.writes.Done()
		notes, err = b.file.do(ctx, work)
		return err
	}, func(err error) {
		b.writing--
		b.list.SetBusy("")
		b.tellNotes(notes)
		if err == nil {
			b.board.Clear("trouble")
		}
		done(err)
	})
}

// busy reports whether anything is being done in the background.
func (b *bookWindow) busy() bool {
	return b.writing > 0 || b.reading.running() || b.fitting.running() || b.moving.running()
}

// enterNew begins the firing of the part on the desk.
func (b *bookWindow) enterNew() {
	if b.page.entering {
		b.focusSoon(b.form.date)
		return
	}
	f := b.main.newFiring()
	if !b.isOfBrief() { // the list that the user looks at says which furnace is meant
		f.Material, f.Furnace = b.material, b.furnace
	}
	b.begin(f)
}

// isOfBrief reports whether the firings shown are those of the brief.
func (b *bookWindow) isOfBrief() bool {
	brief := &b.main.desk.brief
	return b.material == brief.Material.ID && b.furnace == brief.Furnace.ID
}

// begin opens the form with a firing.
func (b *bookWindow) begin(f book.Firing) {
	b.board.Clear("draft")
	b.form.Begin(b.main.draftOf(f))
	b.page.Enter(true)
	b.focusSoon(b.form.date)
}

// change opens a firing to be looked at, completed or changed.
func (b *bookWindow) change(id int64) {
	i := slices.IndexFunc(b.firings, func(f book.Firing) bool { return f.ID == id })
	if i < 0 || b.page.entering {
		return
	}
	b.endTaking()
	b.begin(b.firings[i])
}

// leaveForm goes back to the book, unless what was entered would be lost.
func (b *bookWindow) leaveForm() {
	if b.form.Changed() {
		b.board.Put(notice{key: "draft", kind: kit.MarkNote, text: "What was entered is not kept yet.", actions: []noticeAction{
			{"Keep it", b.keepForm}, {"Throw it away", b.closeForm},
		}})
		return
	}
	b.closeForm()
}

// closeForm goes back to the book.
func (b *bookWindow) closeForm() {
	b.board.Clear("draft")
	b.main.board.Clear("firing")
	b.page.Enter(false)
	b.win.Canvas().Unfocus()
	b.focusSoon(b.list.rows)
}

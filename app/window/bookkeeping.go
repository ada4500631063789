package window

import (
	"context"
	"errors"
	"fmt"

	"kilnpoise/app/book"
	"kilnpoise/app/window/kit"
)

// keepForm keeps what is being entered.
func (b *bookWindow) keepForm() {
	if b.page.entering {
		b.form.doKeep()
	}
}

// keep writes what was entered. The form stays open until that is on the disk.
func (b *bookWindow) keep(f book.Firing) {
	if b.form.Busy() {
		return
	}
	var was, now book.Firing
	sent, session := b.form.texts(), b.form.session
	b.form.SetBusy(true)
	b.write("Keeping the firing …", func(ctx context.Context, in *book.Book) (err error) {
		if f.ID == 0 {
			now, err = in.Add(ctx, f)
			return err
		}
		was, now, err = in.Change(ctx, f)
		return err
	}, func(err error) {
		b.form.SetBusy(false)
		if err != nil {
			b.notKept(f, err)
			return
		}
		b.tellKept(was, now)
		if b.page.entering && b.form.session == session {
			b.leaveKept(now, sent)
		}
		b.reload()
	})
}

// tellKept says so, and offers to take a change back.
func (b *bookWindow) tellKept(was, now book.Firing) {
	if was.ID == 0 {
		b.tell(kit.MarkPasses, fmt.Sprintf("Firing %d is in the book.", now.ID))
	} else {
		was.Revision = now.Revision
		b.tell(kit.MarkPasses, fmt.Sprintf("Firing %d is changed.", now.ID), noticeAction{"Take it back", func() { b.changeBack(was) }})
	}
}

// leaveKept goes back to the book, unless something was changed meanwhile.
func (b *bookWindow) leaveKept(now book.Firing, sent string) {
	if b.form.texts() != sent {
		b.form.KeptAs(now, sent)
		return
	}
	b.closeForm()
	b.material, b.furnace = now.Material, now.Furnace
}

// notKept says why the firing is not in the book; what was entered stays.
func (b *bookWindow) notKept(f book.Firing, err error) {
	b.form.Report("Not kept: " + kit.LowerFirst(kit.Sentence(err)))
	switch {
	case errors.Is(err, book.ErrChanged):
		b.failed(err, noticeAction{"Show theirs", func() { b.again(f.ID, b.begin) }}, noticeAction{"Keep mine over it", func() {
			b.again(f.ID, func(theirs book.Firing) {
				f.Revision = theirs.Revision
				b.keep(f)
			})
		}})
	case errors.Is(err, book.ErrMissing):
		b.failed(err, noticeAction{"Keep it as a new one", func() {
			f.ID, f.Key, f.Revision = 0, "", 0
			b.keep(f)
		}})
	default:
		b.failed(err, noticeAction{"Try again", b.keepForm})
	}
}

// again reads one firing anew.
func (b *bookWindow) again(id int64, then func(book.Firing)) {
	var f book.Firing
	b.write("Reading the firing …", func(ctx context.Context, in *book.Book) (err error) {
		f, err = in.Get(ctx, id)
		return err
	}, func(err error) {
		if err != nil {
			b.failed(err)
			return
		}
		then(f)
	})
}

// changeBack undoes a change.
func (b *bookWindow) changeBack(was book.Firing) {
	b.write("Taking the change back …", func(ctx context.Context, in *book.Book) error {
		_, _, err := in.Change(ctx, was)
		return err
	}, func(err error) {
		if err != nil {
			b.failed(err)
			return
		}
		b.tell(kit.MarkPasses, fmt.Sprintf("Firing %d is as it was.", was.ID))
		b.reload()
	})
}

// remove takes a firing out of the book, and offers to put it back.
func (b *bookWindow) remove(id int64) {
	var gone book.Firing
	b.write("Taking the firing out …", func(ctx context.Context, in *book.Book) (err error) {
		gone, err = in.Remove(ctx, id)
		return err
	}, func(err error) {
		if err != nil {
			b.failed(err, noticeAction{"Read the book again", b.reload})
			return
		}
		if b.page.entering && b.form.draft.firing.ID == id {
			b.closeForm()
		}
		b.tell(kit.MarkNote, fmt.Sprintf("Firing %d is out of the book.", id), noticeAction{"Put it back", func() { b.putBack(gone) }})
		b.reload()
	})
}

func (b *bookWindow) putBack(gone book.Firing) {
	b.write("Putting it back …", func(ctx context.Context, in *book.Book) error {
		_, err := in.Restore(ctx, gone)
		return err
	}, func(err error) {
		if err != nil {
			b.failed(err, noticeAction{"Try again", func() { b.putBack(gone) }})
			return
		}
		b.tell(kit.MarkPasses, fmt.Sprintf("Firing %d is in the book again.", gone.ID))
		b.reload()
	})
}

package window

import (
	"context"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/dialog"
	"fyne.io/fyne/v2/storage"

	"kilnpoise/app/book"
	"kilnpoise/app/window/kit"
	"kilnpoise/mesh"
)

// tableEndings are those of tables in file dialogs.
func tableEndings() []string { return []string{".csv", ".tsv", ".txt"} }

// askExport asks where to write the firings shown, or all of the book.
func (b *bookWindow) askExport(all bool) {
	b.main.askToSave(b.win, saveAsk{
		title: "Export firings as CSV", ending: ".csv", place: savePlace{b.main.handFolder(), "firings.csv"}, save: func(path string) { b.exportTo(path, all) },
	})
}

// askImport asks for a table.
func (b *bookWindow) askImport() {
	d := dialog.NewFileOpen(func(u fyne.URIReadCloser, err error) {
		switch {
		case err != nil:
			b.failed(err)
		case u != nil:
			path := u.URI().Path()
			_ = u.Close()
			b.importFrom(path)
		}
	}, b.win)
	d.SetTitleText("Import firings from CSV")
	d.SetFilter(storage.NewExtensionFileFilter(tableEndings()))
	d.SetView(dialog.ListView)
	b.main.showFolders(b.win, b.main.handFolder(), d)
}

// exportTo writes firings as a table, in the background.
func (b *bookWindow) exportTo(path string, all bool) {
	firings := b.firings
	b.move("Writing the table …", func(ctx context.Context, in *book.Book) (err error) {
		if all {
			if firings, err = in.List(ctx, book.Filter{}); err != nil {
				return err
			}
		}
		return mesh.WriteFileWhole(path, func(w io.Writer) error { return book.Export(w, firings) })
	}, func() {
		b.tell(kit.MarkPasses, fmt.Sprintf("%s written to %s.", kit.Plural(len(firings), "firing"), path))
	})
}

// importFrom reads firings from a table, in the background: all or none.
func (b *bookWindow) importFrom(path string) {
	var added []book.Firing
	var known []string
	b.move("Reading the table …", func(ctx context.Context, in *book.Book) error {
		f, err := os.Open(path)
		if err != nil {
			return fmt.Errorf("the table cannot be read; check that it is there and may be read: %w", err)
		}
		defer f.Close()
		if added, known, err = in.Import(ctx, f); err != nil {
			return fmt.Errorf("nothing was read from %s: %w", filepath.Base(path), err)
		}
		return nil
	}, func() {
		b.tell(kit.MarkPasses, b.importLine(added, known))
		b.reload()
	})
}

// importLine says what came in, and turns to it where the firings shown have none of
// it.
func (b *bookWindow) importLine(added []book.Firing, known []string) string {
	text := kit.Plural(len(added), "firing") + " read in"
	if len(known) > 0 {
		text += fmt.Sprintf(", %d already in the book passed over", len(known))
	}
	here := 0
	for i := range added {
		if added[i].Material == b.material && added[i].Furnace == b.furnace {
			here++
		}
	}
	if away := len(added) - here; away > 0 && here > 0 {
		text += fmt.Sprintf("; %d are of other materials or furnaces", away)
	}
	if len(added) > 0 && here == 0 && !b.page.entering {
		b.material, b.furnace = added[0].Material, added[0].Furnace
	}
	return strings.TrimSpace(text) + "."
}

// move has a worker write or read a table; it can be given up by closing the
// window's program.
func (b *bookWindow) move(doing string, work func(context.Context, *book.Book) error, done func()) {
	if b.moving.running() {
		b.tell(kit.MarkNote, "Another table is still being written or read; try again when it is done.")
		return
	}
	ctx, ticket := b.moving.begin(b.main.ctx)
	b.list.SetBusy(doing)
	var notes []string
	b.main.background("moving a table of firings", func() (err error) {
		notes, err = b.file.do(ctx, work)
		return err
	}, func(err error) {
		b.moving.done(ticket)
		b.list.SetBusy("")
		b.tellNotes(notes)
		if err != nil {
			b.failed(err)
			return
		}
		done()
	})
}

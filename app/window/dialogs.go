package window

import (
	"fmt"
	"kilnpoise/app/window/kit"
	"path/filepath"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/dialog"
	"fyne.io/fyne/v2/storage"
)

// askForFile lets the user choose a part file.
func (w *mainWindow) askForFile() {
	d := dialog.NewFileOpen(func(r fyne.URIReadCloser, err error) {
		switch {
		case err != nil:
			w.openFailed(w.desk.from, err)
		case r != nil:
			path := r.URI().Path()
			r.Close()
			w.openPath(path)
		}
	}, w.win)
	d.SetTitleText("Open a part")
	d.SetFilter(storage.NewExtensionFileFilter(partExtensions()))
	d.SetView(dialog.ListView)
	w.showFolders(w.win, w.handFolder(), d)
}

// fileDialog is a dialog of the toolkit for files or folders.
type fileDialog interface {
	sizedDialog
	SetLocation(fyne.ListableURI)
}

// showFolders shows a dialog for files over most of a window, in a folder. The dialog
// reads the folder on the UI goroutine, so the folder is read in the background first:
// where the disk does not answer, no window waits for it.
func (w *mainWindow) showFolders(win fyne.Window, folder string, d fileDialog) {
	_, ticket := w.browsing.begin(w.ctx)
	var at fyne.ListableURI
	w.background("looking at the folder", func() (err error) {
		if at, err = storage.ListerForURI(storage.NewFileURI(folder)); err == nil {
			_, err = at.List()
		}
		return err
	}, func(err error) {
		if !w.browsing.done(ticket) {
			return
		}
		if err == nil { // else the toolkit chooses
			d.SetLocation(at)
		}
		showLarge(win, d)
	})
}

// sizedDialog is a dialog that can be made larger.
type sizedDialog interface {
	Resize(fyne.Size)
	Show()
}

// showLarge shows d over most of a window.
func showLarge(win fyne.Window, d sizedDialog) {
	size := win.Canvas().Size()
	d.Resize(fyne.NewSize(min(size.Width-80, 900), size.Height-80))
	d.Show()
}

// partFolder gives the folder of the open part, or "".
func (w *mainWindow) partFolder() string {
	if w.desk.from.path == "" {
		return ""
	}
	abs, err := filepath.Abs(w.desk.from.path)
	if err != nil {
		return ""
	}
	return filepath.Dir(abs)
}

// dropped opens the first file that was dropped on the window.
func (w *mainWindow) dropped(uris []fyne.URI) {
	if len(uris) == 0 {
		return
	}
	w.openPath(uris[0].Path())
	if len(uris) > 1 {
		w.board.Put(notice{key: noticeItems, kind: kit.MarkNote,
			text: fmt.Sprintf("%d files were dropped; one part at a time: %s is opened.", len(uris), filepath.Base(uris[0].Path()))})
	}
}

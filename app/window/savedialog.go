package window

import (
	"fmt"
	"kilnpoise/app/window/kit"
	"path/filepath"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/dialog"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"
)

// saveDialog asks for the folder and the name of a file, and before one is replaced.
// It opens no file, other than the toolkit's dialog, which empties what is chosen:
// what was there stays until the saving puts the whole new file in its place.
type saveDialog struct {
	main   *mainWindow
	win    fyne.Window
	ending string
	save   func(path string)

	box          *dialog.CustomDialog
	folder, name *kit.EscEntry
	report       *kit.Prose
	yes, no      *kit.EscButton
	// looking tells late answers about places by their number.
	looking int
	// agreed is the path that may be replaced, "" for none.
	agreed string
}

// saveAsk is what is to be saved, and where by default.
type saveAsk struct {
	title, ending string
	place         savePlace
	save          func(path string)
}

// askToSave asks where to save something, over win.
func (w *mainWindow) askToSave(win fyne.Window, a saveAsk) *saveDialog {
	d := &saveDialog{main: w, win: win, ending: a.ending, save: a.save, report: kit.NewBody("")}
	d.makeUp(a)
	d.box.Resize(fyne.NewSize(min(win.Canvas().Size().Width-80, 620), 300))
	d.box.Show()
	win.Canvas().Focus(d.name)
	return d
}

// makeUp lays the dialog out.
func (d *saveDialog) makeUp(a saveAsk) {
	leave, look := d.main.safe(d.leave), d.main.safe(d.look)
	d.folder, d.name = kit.NewEscEntry(leave), kit.NewEscEntry(leave)
	d.folder.SetText(a.place.folder)
	d.name.SetText(a.place.name)
	for _, e := range []*kit.EscEntry{d.folder, d.name} {
		e.OnChanged = func(string) { d.reset() }
		e.OnSubmitted = func(string) { look() }
	}
	d.yes, d.no = kit.NewEscButton("Save", look, leave), kit.NewEscButton("Cancel", leave, leave)
	d.yes.Importance = widget.HighImportance
	browse := kit.NewEscButton("Choose…", d.main.safe(d.browse), leave)
	label := func(text string) fyne.CanvasObject {
		return kit.NewProse(kit.RoleSmallStrong, theme.ColorNameForeground, text)
	}
	d.box = dialog.NewCustomWithoutButtons(a.title, kit.NewPile(0,
		label("Folder"), kit.Gap(2), container.NewBorder(nil, nil, nil, browse, d.folder), kit.Gap(8),
		label("Name"), kit.Gap(2), d.name, kit.Gap(8), d.report, kit.Gap(4)), d.win)
	d.box.SetButtons([]fyne.CanvasObject{d.no, d.yes})
}

// leave gives the saving up.
func (d *saveDialog) leave() {
	d.looking++
	d.box.Hide()
}

// reset withdraws what was asked or said of another place.
func (d *saveDialog) reset() {
	d.looking++
	d.agreed = ""
	d.yes.SetText("Save")
	d.say("")
}

// say says what is wrong, or asks.
func (d *saveDialog) say(text string) {
	d.report.SetText(text)
	d.box.Refresh()
}

// look saves the file where nothing is in its place or that may be replaced, and asks
// where there is something.
func (d *saveDialog) look() {
	path, err := savePlace{d.folder.Text, d.name.Text}.path(d.ending)
	if err != nil {
		d.say(kit.Sentence(err))
		return
	}
	if path == d.agreed {
		d.leave()
		d.save(path)
		return
	}
	d.looking++
	ticket := d.looking
	var since time.Time
	d.main.background("looking at the folder", func() (err error) {
		since, err = fileThere(path)
		return err
	}, func(err error) {
		if ticket == d.looking {
			d.found(path, since, err)
		}
	})
}

// found takes what is at the place.
func (d *saveDialog) found(path string, since time.Time, err error) {
	switch {
	case err != nil:
		d.say(kit.Sentence(err))
	case since.IsZero():
		d.leave()
		d.save(path)
	default:
		d.agreed = path
		d.yes.SetText("Replace it")
		d.say(fmt.Sprintf("%s is in this folder already, last changed at %s. It is replaced once the new one is wholly written.",
			filepath.Base(path), since.Local().Format("15:04 on 2006-01-02")))
	}
}

// browse lets the user choose the folder.
func (d *saveDialog) browse() {
	f := dialog.NewFolderOpen(func(l fyne.ListableURI, err error) {
		switch {
		case err != nil:
			d.say(kit.Sentence(err))
		case l != nil:
			d.folder.SetText(l.Path())
		}
	}, d.win)
	f.SetTitleText("Folder to save in")
	d.main.showFolders(d.win, d.folder.Text, f)
}

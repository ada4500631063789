package window

import (
	"io"
	"path/filepath"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/dialog"
	"fyne.io/fyne/v2/storage"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"kilnpoise/app/book"
)

// bookPage sets the list of firings left, and right what follows from them or the
// entry of one.
type bookPage struct {
	widget.BaseWidget
	board *noticeBoard
	list  *bookList
	form  *bookForm
	right *bookResults
	// entering is true while a firing is being entered.
	entering bool
}

func newBookPage(board *noticeBoard, list *bookList, form *bookForm, right *bookResults) *bookPage {
	p := &bookPage{board: board, list: list, form: form, right: right}
	p.ExtendBaseWidget(p)
	return p
}

// Enter shows the entry of a firing in place of the results, or these again.
func (p *bookPage) Enter(on bool) {
	p.entering = on
	p.Refresh()
}

// CreateRenderer makes the renderer.
func (p *bookPage) CreateRenderer() fyne.WidgetRenderer {
	return &bookPageRenderer{p, newLine(theme.ColorNameForeground, 0, 1), hairline()}
}

type bookPageRenderer struct {
	page       *bookPage
	rule, side *rule
}

const bookListWidth = 292

func (r *bookPageRenderer) MinSize() fyne.Size { return fyne.NewSize(880, 520) }

func (r *bookPageRenderer) Layout(size fyne.Size) {
	p := r.page
	inner := size.Width - 2*pageMargin
	y := float32(14)
	if len(p.board.notices) > 0 {
		h := heightOf(p.board.box, inner)
		p.board.box.Move(fyne.NewPos(pageMargin, y))
		p.board.box.Resize(fyne.NewSize(inner, h))
		y += h + 8
	}
	r.rule.Move(fyne.NewPos(pageMargin, y))
	r.rule.Resize(fyne.NewSize(inner, 1))
	y += 10
	height := size.Height - y - 12
	p.list.box.Move(fyne.NewPos(pageMargin, y))
	p.list.box.Resize(fyne.NewSize(bookListWidth, height))
	x := float32(pageMargin + bookListWidth + pageGap)
	r.side.Move(fyne.NewPos(x-pageGap/2, y))
	r.side.Resize(fyne.NewSize(1, height))
	for _, o := range []fyne.CanvasObject{p.form.box, p.right.box} {
		o.Move(fyne.NewPos(x, y))
		o.Resize(fyne.NewSize(size.Width-pageMargin-x, height))
	}
	show(p.form.box, p.entering)
	show(p.right.box, !p.entering)
}

func (r *bookPageRenderer) Refresh() {
	r.Layout(r.page.Size())
	canvas.Refresh(r.page)
}

func (r *bookPageRenderer) Objects() []fyne.CanvasObject {
	p := r.page
	return []fyne.CanvasObject{p.board.box, r.rule, p.list.box, r.side, p.form.box, p.right.box}
}

func (r *bookPageRenderer) Destroy() {}

// folderOf gives the folder of a file.
func folderOf(path string) string { return filepath.Dir(path) }

// exporter writes firings as a table.
func exporter(firings []book.Firing) func(io.Writer) error {
	return func(w io.Writer) error { return book.Export(w, firings) }
}

// tableFilter shows tables in file dialogs.
func tableFilter() storage.FileFilter {
	return storage.NewExtensionFileFilter([]string{".csv", ".tsv", ".txt"})
}

// askExport asks where to write the table.
func (b *bookWindow) askExport() {
	d := dialog.NewFileSave(func(u fyne.URIWriteCloser, err error) {
		switch {
		case err != nil:
			b.tell(markFails, sentence(err))
		case u != nil:
			path := u.URI().Path()
			_ = u.Close()
			b.exportTo(path)
		}
	}, b.win)
	d.SetTitleText("Write the firings as a table")
	d.SetFileName("firings.csv")
	d.Show()
}

// askImport asks for a table.
func (b *bookWindow) askImport() {
	d := dialog.NewFileOpen(func(u fyne.URIReadCloser, err error) {
		switch {
		case err != nil:
			b.tell(markFails, sentence(err))
		case u != nil:
			path := u.URI().Path()
			_ = u.Close()
			b.importFrom(path)
		}
	}, b.win)
	d.SetTitleText("Read firings from a table")
	d.SetFilter(tableFilter())
	d.Show()
}

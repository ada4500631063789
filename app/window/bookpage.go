package window

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/widget"
	"kilnpoise/app/window/kit"
)

// bookPage sets the list of firings left, and right what follows from them or what
// would be taken over. The entry of a firing takes the whole page: its rows are
// long.
type bookPage struct {
	widget.BaseWidget
	board    *noticeBoard
	list     *bookList
	form     *bookForm
	results  *bookResults
	proposal *takeOver
	// entering is true while a firing is being entered, taking while figures are
	// looked at that would be taken over.
	entering, taking bool
}

func newBookPage(board *noticeBoard, list *bookList, form *bookForm, results *bookResults, taking *takeOver) *bookPage {
	p := &bookPage{board: board, list: list, form: form, results: results, proposal: taking}
	p.ExtendBaseWidget(p)
	return p
}

// Enter shows the entry of a firing, or the book again.
func (p *bookPage) Enter(on bool) {
	p.entering = on
	p.Refresh()
}

// Take shows what would be taken over in place of the results, or these again.
func (p *bookPage) Take(on bool) {
	p.taking = on
	p.Refresh()
}

// CreateRenderer makes the renderer.
func (p *bookPage) CreateRenderer() fyne.WidgetRenderer { return &bookPageRenderer{p, kit.Hairline()} }

type bookPageRenderer struct {
	page *bookPage
	side *kit.Rule
}

const (
	bookListWidth = 300
	bookMargin    = 16
)

func (r *bookPageRenderer) MinSize() fyne.Size { return fyne.NewSize(860, 520) }

func (r *bookPageRenderer) Layout(size fyne.Size) {
	p := r.page
	inner := size.Width - 2*bookMargin
	y := float32(12)
	kit.SetVisible(p.board.box, len(p.board.notices) > 0)
	if len(p.board.notices) > 0 {
		h := kit.HeightOf(p.board.box, inner)
		p.board.box.Move(fyne.NewPos(bookMargin, y))
		p.board.box.Resize(fyne.NewSize(inner, h))
		y += h + 10
	}
	height := size.Height - y - 10
	place := func(o fyne.CanvasObject, x, width float32, visible bool) {
		kit.SetVisible(o, visible)
		o.Move(fyne.NewPos(x, y))
		o.Resize(fyne.NewSize(width, height))
	}
	right := float32(bookMargin + bookListWidth + pageGap)
	place(p.form.box, bookMargin, inner, p.entering)
	place(p.list.box, bookMargin, bookListWidth, !p.entering)
	place(r.side, right-pageGap/2, 1, !p.entering)
	place(p.results.box, right, size.Width-bookMargin-right, !p.entering && !p.taking)
	place(p.proposal.box, right, size.Width-bookMargin-right, !p.entering && p.taking)
}

func (r *bookPageRenderer) Refresh() {
	r.Layout(r.page.Size())
	canvas.Refresh(r.page)
}

// Objects come in the order in which the Tab key walks through them.
func (r *bookPageRenderer) Objects() []fyne.CanvasObject {
	p := r.page
	return []fyne.CanvasObject{p.board.box, p.list.box, r.side, p.results.box, p.proposal.box, p.form.box}
}

func (r *bookPageRenderer) Destroy() {}

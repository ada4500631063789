package kit

import (
	"image/color"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"
)

// Balance is the beam on which the two machines rest, with its pivot in the
// middle: what the part measures on either side, and between them the shrinkage
// that leads from one to the other.
type Balance struct {
	widget.BaseWidget
	Left, Middle, Right string
}

// NewBalance makes an empty balance.
func NewBalance() *Balance {
	b := &Balance{}
	b.ExtendBaseWidget(b)
	return b
}

// Set writes the beam's three texts.
func (b *Balance) Set(left, middle, right string) {
	b.Left, b.Middle, b.Right = left, middle, right
	b.Refresh()
}

const (
	BalanceHeight = 34
	pivotSize     = 15
)

// CreateRenderer makes the renderer.
func (b *Balance) CreateRenderer() fyne.WidgetRenderer {
	r := &balanceRenderer{
		balance: b,
		beam:    canvas.NewRectangle(color.Transparent),
		pivot:   canvas.NewPolygon(3, color.Transparent),
		left:    canvas.NewText("", color.Transparent),
		middle:  canvas.NewText("", color.Transparent),
		right:   canvas.NewText("", color.Transparent),
	}
	r.dress()
	return r
}

type balanceRenderer struct {
	balance             *Balance
	beam                *canvas.Rectangle
	pivot               *canvas.Polygon
	left, middle, right *canvas.Text
}

func (r *balanceRenderer) MinSize() fyne.Size { return fyne.NewSize(160, BalanceHeight) }

func (r *balanceRenderer) Layout(size fyne.Size) {
	r.beam.Move(fyne.NewPos(0, 2))
	r.beam.Resize(fyne.NewSize(size.Width, 2))
	r.pivot.Move(fyne.NewPos(size.Width/2-pivotSize/2, 3))
	r.pivot.Resize(fyne.NewSquareSize(pivotSize))
	put := func(t *canvas.Text, x, y float32) {
		t.Move(fyne.NewPos(x, y))
		t.Resize(t.MinSize())
	}
	put(r.left, 0, 9)
	put(r.right, size.Width-r.right.MinSize().Width, 9)
	mid := r.middle.MinSize().Width
	put(r.middle, (size.Width-mid)/2, 18)
	room := size.Width/2 - mid/2 - 12
	r.middle.Hidden = r.left.MinSize().Width > room || r.right.MinSize().Width > room
	r.left.Hidden = r.left.MinSize().Width+r.right.MinSize().Width+pivotSize > size.Width
}

func (r *balanceRenderer) Refresh() {
	r.dress()
	r.Layout(r.balance.Size())
	canvas.Refresh(r.balance)
}

func (r *balanceRenderer) dress() {
	b := r.balance
	r.beam.FillColor = Themed(theme.ColorNameForeground)
	r.pivot.FillColor = Themed(theme.ColorNamePrimary)
	for _, t := range []*canvas.Text{r.left, r.middle, r.right} {
		RoleSmall.dress(t, theme.ColorNameForeground)
	}
	RoleSmall.dress(r.middle, ColorSoftInk)
	r.left.Text, r.middle.Text, r.right.Text = b.Left, b.Middle, b.Right
}

func (r *balanceRenderer) Objects() []fyne.CanvasObject {
	return []fyne.CanvasObject{r.beam, r.pivot, r.left, r.middle, r.right}
}

func (r *balanceRenderer) Destroy() {}

package kit

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
)

// hanging sets a mark in the margin of a text.
type hanging struct {
	indent, markSize float32
	first            float32 // height of the first line of the text
}

var _ fyne.Layout = (*hanging)(nil)

// NewItem makes one entry of a list: a mark and a text beside it.
func NewItem(mark fyne.CanvasObject, text *Prose) *fyne.Container {
	return container.New(&hanging{indent: 18, markSize: 11, first: text.Role.LineHeight()}, mark, text)
}

func (l *hanging) HeightAt(objects []fyne.CanvasObject, width float32) float32 {
	return max(HeightOf(objects[1], width-l.indent), l.first)
}

// Layout places the mark level with the first line.
func (l *hanging) Layout(objects []fyne.CanvasObject, size fyne.Size) {
	objects[0].Move(fyne.NewPos(0, (l.first-l.markSize)/2))
	objects[0].Resize(fyne.NewSquareSize(l.markSize))
	objects[1].Move(fyne.NewPos(l.indent, 0))
	objects[1].Resize(fyne.NewSize(size.Width-l.indent, size.Height))
}

// MinSize is that of the text with its indent.
func (l *hanging) MinSize(objects []fyne.CanvasObject) fyne.Size {
	return objects[1].MinSize().AddWidthHeight(l.indent, 0)
}

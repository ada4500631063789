package window

import (
	"sync"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/theme"
)

// textRole is what a piece of text is for; it decides how it is set.
type textRole int

const (
	roleBody textRole = iota
	roleStrong
	roleSmall
	roleSmallStrong
	roleHeading
	roleVerdict
	roleLongVerdict // of a verdict that has no room otherwise
)

// typeface is how a role is set.
type typeface struct {
	size   fyne.ThemeSizeName
	style  fyne.TextStyle
	source fyne.Resource
	// leading is the line distance over the type size.
	leading float32
}

// faces are built once: resources are compared by pointer in font caches.
var faces = sync.OnceValue(func() map[textRole]typeface {
	return map[textRole]typeface{
		roleBody:        {size: theme.SizeNameText, leading: 1.42},
		roleStrong:      {size: theme.SizeNameText, style: fyne.TextStyle{Bold: true}, leading: 1.42},
		roleSmall:       {size: sizeSmall, leading: 1.36},
		roleSmallStrong: {size: sizeSmall, style: fyne.TextStyle{Bold: true}, leading: 1.36},
		roleHeading:     {size: sizeHeading, source: serifBold(), leading: 1.3},
		roleVerdict:     {size: sizeVerdict, source: serif(), leading: 1.16},
		roleLongVerdict: {size: sizeLongVerdict, source: serif(), leading: 1.16},
	}
})

// measure gives the size of text set on one line in role r.
func (r textRole) measure(text string) fyne.Size {
	f := faces()[r]
	size, _ := fyne.CurrentApp().Driver().RenderedTextSize(text, theme.Size(f.size), f.style, f.source)
	return size
}

// lineHeight gives the distance from line to line in role r.
func (r textRole) lineHeight() float32 {
	f := faces()[r]
	return theme.Size(f.size) * f.leading
}

// line makes a canvas text in role r.
func (r textRole) line(text string, color fyne.ThemeColorName, align fyne.TextAlign) *canvas.Text {
	t := canvas.NewText(text, themed(color))
	t.Alignment = align
	r.dress(t, color)
	return t
}

// dress sets t in role r and in the colour as it is shown now.
func (r textRole) dress(t *canvas.Text, color fyne.ThemeColorName) {
	f := faces()[r]
	t.TextSize, t.TextStyle, t.FontSource, t.Color = theme.Size(f.size), f.style, f.source, themed(color)
}

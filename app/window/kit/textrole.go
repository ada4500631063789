package kit

import (
	"sync"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/theme"
)

// TextRole is what a piece of text is for; it decides how it is set.
type TextRole int

const (
	RoleBody TextRole = iota
	RoleStrong
	RoleSmall
	RoleSmallStrong
	RoleHeading
	RoleVerdict
	RoleLongVerdict // of a verdict that has no room otherwise
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
var faces = sync.OnceValue(func() map[TextRole]typeface {
	return map[TextRole]typeface{
		RoleBody:        {size: theme.SizeNameText, leading: 1.42},
		RoleStrong:      {size: theme.SizeNameText, style: fyne.TextStyle{Bold: true}, leading: 1.42},
		RoleSmall:       {size: sizeSmall, leading: 1.36},
		RoleSmallStrong: {size: sizeSmall, style: fyne.TextStyle{Bold: true}, leading: 1.36},
		RoleHeading:     {size: sizeHeading, source: serifBold(), leading: 1.3},
		RoleVerdict:     {size: sizeVerdict, source: serif(), leading: 1.16},
		RoleLongVerdict: {size: sizeLongVerdict, source: serif(), leading: 1.16},
	}
})

// Measure gives the size of text set on one line in role r.
func (r TextRole) Measure(text string) fyne.Size {
	f := faces()[r]
	size, _ := fyne.CurrentApp().Driver().RenderedTextSize(text, theme.Size(f.size), f.style, f.source)
	return size
}

// LineHeight gives the distance from line to line in role r.
func (r TextRole) LineHeight() float32 {
	f := faces()[r]
	return theme.Size(f.size) * f.leading
}

// Line makes a canvas text in role r.
func (r TextRole) Line(text string, color fyne.ThemeColorName, align fyne.TextAlign) *canvas.Text {
	t := canvas.NewText(text, Themed(color))
	t.Alignment = align
	r.dress(t, color)
	return t
}

// dress sets t in role r and in the colour as it is shown now.
func (r TextRole) dress(t *canvas.Text, color fyne.ThemeColorName) {
	f := faces()[r]
	t.TextSize, t.TextStyle, t.FontSource, t.Color = theme.Size(f.size), f.style, f.source, Themed(color)
}

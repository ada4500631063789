package kit

import (
	"image/color"

	"codeberg.org/go-fonts/liberation/liberationserifbold"
	"codeberg.org/go-fonts/liberation/liberationserifregular"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/theme"
)

// The type sizes of the page besides the toolkit's own.
const (
	sizeVerdict     fyne.ThemeSizeName = "kilnpoise.verdict"
	sizeLongVerdict fyne.ThemeSizeName = "kilnpoise.longverdict"
	sizeHeading     fyne.ThemeSizeName = "kilnpoise.heading"
	sizeSmall       fyne.ThemeSizeName = "kilnpoise.small"
)

// LightMode says whether the page is light, dark, or as the system has it.
type LightMode string

const (
	AsSystem    LightMode = "system"
	AlwaysLight LightMode = "light"
	AlwaysDark  LightMode = "dark"
)

// Look is the theme of the window. It is read on the UI goroutine only.
type Look struct {
	base        fyne.Theme
	Mode        LightMode
	light, dark palette
}

var _ fyne.Theme = (*Look)(nil)

// NewLook makes the theme for a choice of light or dark.
func NewLook(mode LightMode) *Look {
	return &Look{base: theme.DefaultTheme(), Mode: mode, light: lightPalette(), dark: darkPalette()}
}

// variant gives the variant that is shown when the system asks for wanted.
func (l *Look) variant(wanted fyne.ThemeVariant) fyne.ThemeVariant {
	switch l.Mode {
	case AlwaysLight:
		return theme.VariantLight
	case AlwaysDark:
		return theme.VariantDark
	default:
		return wanted
	}
}

// Color gives our colour of that name, or the toolkit's where we have none.
func (l *Look) Color(name fyne.ThemeColorName, wanted fyne.ThemeVariant) color.Color {
	variant := l.variant(wanted)
	chosen := l.dark
	if variant == theme.VariantLight {
		chosen = l.light
	}
	if c, ok := chosen[name]; ok {
		return c
	}
	return l.base.Color(name, variant)
}

// Font gives the toolkit's fonts: a plain humanist sans with even figures.
func (l *Look) Font(style fyne.TextStyle) fyne.Resource { return l.base.Font(style) }

// Icon gives the toolkit's icons.
func (l *Look) Icon(name fyne.ThemeIconName) fyne.Resource { return l.base.Icon(name) }

// Size gives the sizes of a page that is read, not tapped: smaller text and
// tighter padding than the toolkit's.
func (l *Look) Size(name fyne.ThemeSizeName) float32 {
	switch name {
	case theme.SizeNameText:
		return 13
	case theme.SizeNameCaptionText, sizeSmall:
		return 11.5
	case sizeHeading:
		return 16
	case sizeVerdict:
		return 25
	case sizeLongVerdict:
		return 20
	case theme.SizeNameInnerPadding:
		return 6
	case theme.SizeNameInlineIcon:
		return 16
	case theme.SizeNameInputRadius, theme.SizeNameSelectionRadius:
		return 3
	default:
		return l.base.Size(name)
	}
}

// serif gives the face of headings; the sheet is set in the same family.
func serif() fyne.Resource {
	return fyne.NewStaticResource("LiberationSerif-Regular.ttf", liberationserifregular.TTF)
}

// serifBold gives the heavier face of the verdict.
func serifBold() fyne.Resource {
	return fyne.NewStaticResource("LiberationSerif-Bold.ttf", liberationserifbold.TTF)
}

// Themed gives the colour of that name as it is shown now.
func Themed(name fyne.ThemeColorName) color.Color { return theme.Color(name) }

// IsDark reports whether the page is dark now.
func IsDark() bool {
	r, g, b, _ := Themed(theme.ColorNameBackground).RGBA()
	return r+g+b < 3*0x8000
}

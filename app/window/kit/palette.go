package kit

import (
	"image/color"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/theme"
)

// The colours that the toolkit has no name for.
const (
	// ColorSoftInk is for captions and units: quieter than the text, still
	// above 4.5:1 on the paper.
	ColorSoftInk fyne.ThemeColorName = "kilnpoise.softInk"
	// ColorHairline is for rules between parts of the page.
	ColorHairline fyne.ThemeColorName = "kilnpoise.hairline"
	// ColorRaised is the ground of cards and panels that lie on the paper.
	ColorRaised fyne.ThemeColorName = "kilnpoise.raised"
	// ColorBench is the ground of the two machines and of thumbnails.
	ColorBench fyne.ThemeColorName = "kilnpoise.bench"
	// ColorBetter and colorWorse tell states; a word and a shape always stand
	// beside them. Blue and vermilion stay apart in every common form of
	// colour-blindness (Okabe and Ito's choice of hues, darkened for text).
	ColorBetter = theme.ColorNameSuccess
	ColorWorse  = theme.ColorNameError
)

// palette maps the toolkit's and our own names to one set of colours.
type palette map[fyne.ThemeColorName]color.NRGBA

// shade gives an opaque colour from its hexadecimal code.
func shade(rgb uint32) color.NRGBA { return veil(rgb, 0xff) }

// veil gives a colour from its hexadecimal code, with alpha.
func veil(rgb uint32, alpha uint8) color.NRGBA {
	return color.NRGBA{R: uint8(rgb >> 16), G: uint8(rgb >> 8), B: uint8(rgb), A: alpha}
}

// lightPalette is ink on unbleached paper with the blue-green of a glaze.
func lightPalette() palette {
	const ink, paper, glaze = 0x23201b, 0xf7f4ee, 0x0b5f66
	return palette{
		theme.ColorNameBackground:          shade(paper),
		theme.ColorNameForeground:          shade(ink),
		theme.ColorNamePlaceHolder:         shade(0x6b6458),
		theme.ColorNameDisabled:            shade(0x8b8476),
		theme.ColorNamePrimary:             shade(glaze),
		theme.ColorNameHyperlink:           shade(glaze),
		theme.ColorNameForegroundOnPrimary: shade(0xffffff),
		theme.ColorNameFocus:               veil(glaze, 0x40),
		theme.ColorNameSelection:           veil(glaze, 0x30),
		theme.ColorNameHover:               veil(ink, 0x0e),
		theme.ColorNamePressed:             veil(ink, 0x22),
		theme.ColorNameButton:              shade(0xe9e3d7),
		theme.ColorNameDisabledButton:      shade(0xefebe2),
		theme.ColorNameInputBackground:     shade(0xfffdf9),
		theme.ColorNameInputBorder:         shade(0xb9b1a1),
		theme.ColorNameMenuBackground:      shade(0xfffdf9),
		theme.ColorNameOverlayBackground:   shade(0xfffdf9),
		theme.ColorNameHeaderBackground:    shade(0xefeae0),
		theme.ColorNameSeparator:           shade(0xdad3c5),
		theme.ColorNameScrollBar:           veil(ink, 0x66),
		theme.ColorNameScrollBarBackground: veil(ink, 0x10),
		theme.ColorNameShadow:              veil(ink, 0x2a),
		theme.ColorNameSuccess:             shade(0x0b4f9e),
		theme.ColorNameError:               shade(0xa63d00),
		theme.ColorNameWarning:             shade(0x7a5200),
		theme.ColorNameForegroundOnSuccess: shade(0xffffff),
		theme.ColorNameForegroundOnError:   shade(0xffffff),
		theme.ColorNameForegroundOnWarning: shade(0xffffff),
		ColorSoftInk:                       shade(0x5f584d),
		ColorHairline:                      shade(0xd9d2c4),
		ColorRaised:                        shade(0xfffdf9),
		ColorBench:                         shade(0xece7dc),
	}
}

// darkPalette is the same page by lamplight.
func darkPalette() palette {
	const ink, paper, glaze = 0xece6db, 0x1b1917, 0x62c3c5
	return palette{
		theme.ColorNameBackground:          shade(paper),
		theme.ColorNameForeground:          shade(ink),
		theme.ColorNamePlaceHolder:         shade(0x9d9486),
		theme.ColorNameDisabled:            shade(0x776f63),
		theme.ColorNamePrimary:             shade(glaze),
		theme.ColorNameHyperlink:           shade(glaze),
		theme.ColorNameForegroundOnPrimary: shade(0x0d1f20),
		theme.ColorNameFocus:               veil(glaze, 0x50),
		theme.ColorNameSelection:           veil(glaze, 0x3a),
		theme.ColorNameHover:               veil(ink, 0x12),
		theme.ColorNamePressed:             veil(ink, 0x28),
		theme.ColorNameButton:              shade(0x35312b),
		theme.ColorNameDisabledButton:      shade(0x2a2723),
		theme.ColorNameInputBackground:     shade(0x26231f),
		theme.ColorNameInputBorder:         shade(0x5c554a),
		theme.ColorNameMenuBackground:      shade(0x2a2723),
		theme.ColorNameOverlayBackground:   shade(0x24211e),
		theme.ColorNameHeaderBackground:    shade(0x24211e),
		theme.ColorNameSeparator:           shade(0x3c3730),
		theme.ColorNameScrollBar:           veil(ink, 0x66),
		theme.ColorNameScrollBarBackground: veil(ink, 0x14),
		theme.ColorNameShadow:              veil(0x000000, 0x80),
		theme.ColorNameSuccess:             shade(0x8bc0f7),
		theme.ColorNameError:               shade(0xf5a56b),
		theme.ColorNameWarning:             shade(0xe8c560),
		theme.ColorNameForegroundOnSuccess: shade(0x0c1a29),
		theme.ColorNameForegroundOnError:   shade(0x2a1405),
		theme.ColorNameForegroundOnWarning: shade(0x261c02),
		ColorSoftInk:                       shade(0xb3aa9b),
		ColorHairline:                      shade(0x3c3730),
		ColorRaised:                        shade(0x26231f),
		ColorBench:                         shade(0x131211),
	}
}

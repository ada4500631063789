package kit

import (
	"image/color"
	"math"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/test"
	"fyne.io/fyne/v2/theme"
)

// luminance and contrast are those of WCAG 2.1, success criterion 1.4.3.
func luminance(c color.NRGBA) float64 {
	linear := func(v uint8) float64 {
		s := float64(v) / 255
		if s <= 0.04045 {
			return s / 12.92
		}
		return math.Pow((s+0.055)/1.055, 2.4)
	}
	return 0.2126*linear(c.R) + 0.7152*linear(c.G) + 0.0722*linear(c.B)
}

func contrast(a, b color.NRGBA) float64 {
	x, y := luminance(a), luminance(b)
	return (max(x, y) + 0.05) / (min(x, y) + 0.05)
}

func TestTextIsLegible(t *testing.T) {
	inks := []fyne.ThemeColorName{
		theme.ColorNameForeground, theme.ColorNamePlaceHolder, theme.ColorNamePrimary, theme.ColorNameWarning,
		ColorBetter, ColorWorse, ColorSoftInk,
	}
	for name, p := range map[string]palette{"light": lightPalette(), "dark": darkPalette()} {
		for _, ground := range []fyne.ThemeColorName{theme.ColorNameBackground, ColorRaised} {
			for _, ink := range inks {
				if c := contrast(p[ink], p[ground]); c < 4.5 {
					t.Errorf("%s: %s on %s has a contrast of %.2f, want 4.5", name, ink, ground, c)
				}
			}
		}
		for ink, ground := range map[fyne.ThemeColorName]fyne.ThemeColorName{
			theme.ColorNameForegroundOnPrimary: theme.ColorNamePrimary,
			theme.ColorNameForegroundOnError:   theme.ColorNameError,
			theme.ColorNameForegroundOnSuccess: theme.ColorNameSuccess,
			theme.ColorNameForegroundOnWarning: theme.ColorNameWarning,
			theme.ColorNameForeground:          theme.ColorNameButton,
		} {
			if c := contrast(p[ink], p[ground]); c < 4.5 {
				t.Errorf("%s: %s on %s has a contrast of %.2f, want 4.5", name, ink, ground, c)
			}
		}
	}
}

func TestBothPalettesNameTheSame(t *testing.T) {
	light, dark := lightPalette(), darkPalette()
	for name := range light {
		if _, ok := dark[name]; !ok {
			t.Errorf("%s has no dark colour", name)
		}
	}
	for name := range dark {
		if _, ok := light[name]; !ok {
			t.Errorf("%s has no light colour", name)
		}
	}
}

func TestLookHasEveryColor(t *testing.T) {
	test.NewTempApp(t)
	test.AssertAllColorNamesDefined(t, NewLook(AsSystem), "look")
}

func TestForcedMode(t *testing.T) {
	for _, tc := range []struct {
		mode   LightMode
		wanted fyne.ThemeVariant
		paper  color.NRGBA
	}{
		{AsSystem, theme.VariantLight, lightPalette()[theme.ColorNameBackground]},
		{AsSystem, theme.VariantDark, darkPalette()[theme.ColorNameBackground]},
		{AlwaysLight, theme.VariantDark, lightPalette()[theme.ColorNameBackground]},
		{AlwaysDark, theme.VariantLight, darkPalette()[theme.ColorNameBackground]},
	} {
		if got := NewLook(tc.mode).Color(theme.ColorNameBackground, tc.wanted); got != tc.paper {
			t.Errorf("%s, system asks for %v: paper %v, want %v", tc.mode, tc.wanted, got, tc.paper)
		}
	}
}

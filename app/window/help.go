package window

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/dialog"
	"fyne.io/fyne/v2/theme"
	"kilnpoise/app/window/kit"
)

// showKeys shows every key and mouse movement, with the shortcuts of the menu.
func (w *mainWindow) showKeys() {
	column := kit.NewPile(0)
	for _, g := range append(keyGroups(), w.menuKeys()) {
		column.Add(kit.NewProse(kit.RoleSmallStrong, theme.ColorNameForeground, g.title))
		column.Add(kit.Gap(3))
		for _, r := range g.rows {
			keys := kit.NewProse(kit.RoleBody, theme.ColorNamePrimary, r.keys)
			column.Add(container.New(&keyLine{}, keys, kit.NewBody(r.does)))
		}
		column.Add(kit.Gap(10))
	}
	d := dialog.NewCustom("Keys and mouse", "Close", kit.NewScroller(column), w.win)
	showLarge(w.win, d)
}

// menuKeys lists the shortcuts of the menu.
func (w *mainWindow) menuKeys() keyGroup {
	g := keyGroup{title: "From the menu"}
	for _, menu := range w.menu.main.Items {
		for _, m := range menu.Items {
			if s, ok := m.Shortcut.(fyne.KeyboardShortcut); ok {
				g.rows = append(g.rows, keyRow{shortcutText(s), m.Label})
			}
		}
	}
	return g
}

// shortcutText writes a shortcut as it stands on the keys.
func shortcutText(s fyne.KeyboardShortcut) string {
	text := ""
	mod := s.Mod()
	if mod&fyne.KeyModifierShortcutDefault != 0 {
		text += modifierName + "+"
	}
	if mod&fyne.KeyModifierAlt != 0 {
		text += "Alt+"
	}
	if mod&fyne.KeyModifierShift != 0 {
		text += "Shift+"
	}
	switch key := s.Key(); key {
	case fyne.KeyPageDown:
		return text + "PageDown"
	case fyne.KeyPageUp:
		return text + "PageUp"
	default:
		return text + string(key)
	}
}

// keyLine sets keys left and what they do right.
type keyLine struct{}

func (*keyLine) left(width float32) float32 { return min(240, width*0.4) }

func (l *keyLine) HeightAt(objects []fyne.CanvasObject, width float32) float32 {
	left := l.left(width)
	return 2 + max(kit.HeightOf(objects[0], left), kit.HeightOf(objects[1], width-left-12))
}

func (l *keyLine) Layout(objects []fyne.CanvasObject, size fyne.Size) {
	left := l.left(size.Width)
	objects[0].Move(fyne.NewPos(0, 0))
	objects[0].Resize(fyne.NewSize(left, size.Height))
	objects[1].Move(fyne.NewPos(left+12, 0))
	objects[1].Resize(fyne.NewSize(size.Width-left-12, size.Height))
}

func (*keyLine) MinSize([]fyne.CanvasObject) fyne.Size { return fyne.NewSize(200, 20) }

// showAbout says what the program is.
func (w *mainWindow) showAbout() {
	text := kit.NewBody("Kilnpoise " + w.build + "\n\n" +
		"Works out which way up a part in metal-filled filament is printed, and how it stands in the furnace; " +
		"shows the best few ways with the reasons; and hands over the turned, oversized mesh with a sheet for the shop.\n\n" +
		"Sag, times and masses are estimates. Debinding and sintering are for trained people with purpose-built, interlocked " +
		"equipment, by the material’s safety data sheet, the maker’s manual and local codes.")
	d := dialog.NewCustom("About", "Close", kit.NewScroller(kit.NewPile(0, text)), w.win)
	d.Resize(fyne.NewSize(480, 330))
	d.Show()
}

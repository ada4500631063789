package machines

import (
	"kilnpoise/app/window/kit"
	"kilnpoise/render"
)

// refreshLegend writes the legends for what is drawn now.
func (m *Pane) refreshLegend() {
	for k, t := range m.Toggles {
		info := OverlayKind(k).info()
		entry, found := m.entryFor(info)
		t.Set(entry, info.name, m.overlays[k], found)
		kit.SetVisible(t, found || !info.optional)
	}
	scene := m.sceneOn(render.OnSetter)
	m.Slider.Set(m.SagDrawn, scene != nil && scene.Moves())
	m.Refresh()
}

// entryFor gives the legend of one overlay: its first mark, with words for all of
// its marks.
func (m *Pane) entryFor(info overlayInfo) (render.LegendEntry, bool) {
	scene := m.sceneOn(info.machine)
	if scene == nil {
		return render.LegendEntry{Text: info.name, Color: Opaque(kit.Themed(kit.ColorHairline))}, false
	}
	entries := scene.Legend(info.only, m.Palette)
	if len(entries) == 0 {
		return render.LegendEntry{Text: info.none, Color: Opaque(kit.Themed(kit.ColorHairline))}, false
	}
	entry := entries[0]
	entry.Text = info.words(entries)
	return entry, true
}

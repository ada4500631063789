package machines

import (
	"fmt"
	"image/color"
	"strings"

	"fyne.io/fyne/v2/theme"

	"kilnpoise/app/window/kit"
	"kilnpoise/render"
)

// PicturePalette gives the colours of pictures that lie on the page as it is
// shown now.
func PicturePalette() render.Palette {
	p := render.LightPalette()
	if kit.IsDark() {
		p = render.DarkPalette()
	}
	p.Background = Opaque(kit.Themed(kit.ColorBench))
	p.Accent = Opaque(kit.Themed(theme.ColorNamePrimary))
	return p
}

// Opaque gives a colour without transparency.
func Opaque(c color.Color) color.RGBA { return color.RGBAModel.Convert(c).(color.RGBA) }

// OverlayKind is one thing that can be drawn on the part.
type OverlayKind int

const (
	OverlayOverhang OverlayKind = iota
	overlaySupports
	OverlayFootprint
	overlayMarks
	overlayRegions
	OverlaySag
	overlaySetterFootprint
	OverlayCount
)

// overlayInfo says where an overlay belongs and how it is called where the
// picture has nothing of it.
type overlayInfo struct {
	machine render.Machine
	name    string
	none    string
	only    render.Overlays
	// optional ones are not offered where the picture has nothing of them.
	optional bool
}

// words tells the marks of an overlay in the few words that fit under a view;
// the renderer's own are made for the sheet.
func (i overlayInfo) words(entries []render.LegendEntry) string {
	if i.only.Marks {
		return markWords(entries)
	}
	if !i.only.Sag {
		text, _, _ := strings.Cut(entries[0].Text, " (")
		if i.only.Footprint {
			text += " and centre of mass"
		}
		return text
	}
	first := entries[0]
	basis := ""
	if _, rest, ok := strings.Cut(first.Text, "("); ok {
		basis, _, _ = strings.Cut(rest, ")")
	}
	if first.Pattern != render.Scale {
		return "most sag here, " + basis
	}
	if first.High != "" { // the part collapses: no millimetres
		return fmt.Sprintf("sag from %s to %s, %s", first.Low, first.High, basis)
	}
	n := 2
	if first.HighMM >= 10 {
		n = 1
	}
	return fmt.Sprintf("sag %s to %s%smm, %s", kit.Fixed(first.LowMM, 0), kit.Fixed(first.HighMM, n), kit.NBSP, basis)
}

// markWords names all kinds of mark that the picture shows.
func markWords(entries []render.LegendEntry) string {
	var kinds []string
	for _, e := range entries {
		kinds = append(kinds, strings.TrimPrefix(e.Text, "marked: "))
	}
	return strings.Join(kinds, ", ")
}

func (k OverlayKind) info() overlayInfo {
	return [OverlayCount]overlayInfo{
		{render.OnPlate, "overhang", "no overhang", render.Overlays{Overhang: true}, false},
		{render.OnPlate, "support columns", "no support", render.Overlays{Supports: true}, false},
		{render.OnPlate, "footprint", "no footprint", render.Overlays{Footprint: true}, false},
		{render.OnPlate, "marked faces", "no marks", render.Overlays{Marks: true}, true},
		{render.OnPlate, "numbered regions", "no regions", render.Overlays{Regions: true}, true},
		{render.OnSetter, "sag, estimate", "no sag field yet", render.Overlays{Sag: true}, false},
		{render.OnSetter, "footprint", "no footprint", render.Overlays{Footprint: true}, false},
	}[k]
}

// overlaySet is which overlays are on.
type overlaySet [OverlayCount]bool

// defaultOverlays are those that matter most on each machine.
func defaultOverlays() overlaySet {
	plate, setter := render.DefaultOverlays(render.OnPlate), render.DefaultOverlays(render.OnSetter)
	return overlaySet{plate.Overhang, plate.Supports, plate.Footprint, plate.Marks, plate.Regions, setter.Sag, setter.Footprint}
}

// on gives the overlays of one machine in the renderer's words.
func (s overlaySet) on(m render.Machine) render.Overlays {
	if m == render.OnSetter {
		return render.Overlays{Sag: s[OverlaySag], Footprint: s[overlaySetterFootprint], Marks: s[overlayMarks]}
	}
	return render.Overlays{
		Overhang: s[OverlayOverhang], Supports: s[overlaySupports], Footprint: s[OverlayFootprint],
		Marks: s[overlayMarks], Regions: s[overlayRegions],
	}
}

// MenuLabel names the overlay in the menu, where the machine is not seen.
func (k OverlayKind) MenuLabel() string {
	where := "on the plate"
	if k.info().machine == render.OnSetter {
		where = "on the setter"
	}
	return kit.UpperFirst(k.info().name) + " " + where
}

package render

import (
	"context"
	"image"
	"slices"

	"kilnpoise/orient"
)

// sizes of the pictures on the sheet, pixels; about 300 to the inch.
const (
	sheetWide, sheetHigh = 1120, 800
	sheetThumbWide       = 420
	sheetThumbHigh       = 280
	sheetDensity         = 2.6
)

// DrawSheetPictures draws what the sheet needs: the chosen candidate on both
// machines, and a thumbnail of it and of each of the others, by rank. Nil when
// ctx ends.
func DrawSheetPictures(ctx context.Context, b *orient.Brief, chosen *orient.Detail, others map[int]*orient.Detail) *SheetPictures {
	paper := PaperPalette()
	plate, setter := NewScene(chosen, StageOf(b, OnPlate)), NewScene(chosen, StageOf(b, OnSetter))
	shot := Shot{
		Camera: DefaultCamera(), Width: sheetWide, Height: sheetHigh, Density: sheetDensity, Palette: paper, Samples: 2,
	}
	shot.MMPerPixel = CommonScale(shot, plate, setter)
	out := &SheetPictures{Others: map[int]*image.RGBA{}}
	shot.Overlays = Overlays{Overhang: true, Supports: true, Footprint: true}
	out.Plate = plate.Frame(ctx, shot)
	out.Legend = plate.Legend(shot.Overlays, paper)
	shot.Overlays = Overlays{Sag: true, Footprint: true}
	out.Setter = setter.Frame(ctx, shot)
	out.addLegend(setter.Legend(shot.Overlays, paper))
	out.Thumbnail = Thumbnail(ctx, chosen, sheetThumbWide, sheetThumbHigh, paper)
	for rank, d := range others {
		out.Others[rank] = Thumbnail(ctx, d, sheetThumbWide, sheetThumbHigh, paper)
	}
	if ctx.Err() != nil {
		return nil
	}
	return out
}

// addLegend adds the entries that are not there yet.
func (p *SheetPictures) addLegend(entries []LegendEntry) {
	for _, e := range entries {
		if !slices.Contains(p.Legend, e) {
			p.Legend = append(p.Legend, e)
		}
	}
}

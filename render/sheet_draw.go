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
// machines, the regions of its support plan, how it is laid down where that is not
// as printed (resting, of orient.Advice.RestingDetail, else nil), the sizes to check,
// and a thumbnail of it and of each of the others, by rank. Nil when ctx ends.
func DrawSheetPictures(ctx context.Context, b *orient.Brief, chosen, resting *orient.Detail, sizes []orient.CheckSize, others map[int]*orient.Detail) *SheetPictures {
	paper := PaperPalette()
	plate, printed := NewScene(chosen, StageOf(b, OnPlate)), NewScene(chosen, StageOf(b, OnSetter))
	setter := printed
	if resting != nil {
		setter = NewScene(resting, StageOf(b, OnSetter))
	}
	shot := Shot{
		Camera: DefaultCamera(), Width: sheetWide, Height: sheetHigh, Density: sheetDensity, Palette: paper, Samples: 2,
	}
	shot.MMPerPixel = CommonScale(shot, plate, setter)
	out := &SheetPictures{Others: map[int]*image.RGBA{}}
	shot.Overlays = Overlays{Overhang: true, Supports: true, Footprint: true, Marks: true}
	out.Plate = plate.Frame(ctx, shot)
	out.Legend = plate.Legend(shot.Overlays, paper)
	shot.Overlays = Overlays{Sag: true, Footprint: true, Marks: true}
	out.Setter = setter.Frame(ctx, shot)
	out.addLegend(setter.Legend(shot.Overlays, paper))
	out.addRegions(ctx, plate)
	out.addSizes(ctx, b, chosen, sizes)
	if resting != nil {
		out.addResting(ctx, printed, setter)
	}
	out.Thumbnail = Thumbnail(ctx, chosen, sheetThumbWide, sheetThumbHigh, paper)
	for rank, d := range others {
		out.Others[rank] = Thumbnail(ctx, d, sheetThumbWide, sheetThumbHigh, paper)
	}
	if ctx.Err() != nil {
		return nil
	}
	return out
}

// regionPictures is how many pictures of the regions there is room for.
const regionPictures = 2

// addRegions draws the regions of the support plan from where they are seen best.
func (p *SheetPictures) addRegions(ctx context.Context, plate *Scene) {
	shot := Shot{
		Width: sheetWide, Height: sheetHigh, Density: sheetDensity, Palette: PaperPalette(), Samples: 2,
		Overlays: Overlays{Overhang: true, Regions: true},
	}
	for _, c := range plate.regionViews(ctx, regionPictures) {
		near := shot
		near.Camera = c
		near.Camera, near.MMPerPixel = plate.tight(near)
		p.Regions = append(p.Regions, SheetView{Image: plate.Frame(ctx, near), Words: viewWords(c)})
		shot.Camera = c
	}
	if len(p.Regions) == 1 {
		if near, ok := plate.closeUp(ctx, shot); ok {
			p.Regions = append(p.Regions, SheetView{Image: plate.Frame(ctx, near), Words: viewWords(shot.Camera) + ", closer"})
		}
	}
}

// addSizes draws the part with the faces of the sizes to check numbered, from where
// they are seen best.
func (p *SheetPictures) addSizes(ctx context.Context, b *orient.Brief, chosen *orient.Detail, sizes []orient.CheckSize) {
	if len(sizes) == 0 {
		return
	}
	numbered := *chosen
	numbered.RegionOf = make([]int32, len(chosen.Green.Facets))
	for i := range sizes {
		for _, f := range sizes[i].Facets {
			if int(f) < len(numbered.RegionOf) && numbered.RegionOf[f] == 0 {
				numbered.RegionOf[f] = int32(i + 1)
			}
		}
	}
	paper := PaperPalette()
	paper.Overhang = paper.Accent // the colour of the numbered faces, which hang over nothing
	scene := NewScene(&numbered, StageOf(b, OnPlate))
	shot := Shot{Width: sheetWide, Height: sheetHigh, Density: sheetDensity, Palette: paper, Samples: 2, Overlays: Overlays{Regions: true}}
	for _, c := range scene.sizeViews(ctx, regionPictures) {
		shot.Camera = c
		shot.Camera, shot.MMPerPixel = scene.tight(shot)
		p.Sizes = append(p.Sizes, SheetView{Image: scene.Frame(ctx, shot), Words: viewWords(c)})
	}
}

// addResting draws the two poses on the setter at one scale, and their sag by one
// ramp unless one of them collapses.
func (p *SheetPictures) addResting(ctx context.Context, printed, resting *Scene) {
	shot := Shot{
		Camera: DefaultCamera(), Width: sheetWide, Height: sheetHigh, Density: sheetDensity, Palette: PaperPalette(), Samples: 2,
		Overlays: Overlays{Sag: true, Footprint: true},
	}
	shot.MMPerPixel = CommonScale(shot, printed, resting)
	if !printed.collapses && !resting.collapses {
		shot.Overlays.SagTopMM = max(printed.sagMM, resting.sagMM)
	}
	for i, s := range []*Scene{printed, resting} {
		p.Poses[i] = SheetPose{Image: s.Frame(ctx, shot), Legend: s.sagLegend(shot.Overlays, shot.Palette)}
	}
}

// addLegend adds the entries that are not there yet.
func (p *SheetPictures) addLegend(entries []LegendEntry) {
	for _, e := range entries {
		if !slices.Contains(p.Legend, e) {
			p.Legend = append(p.Legend, e)
		}
	}
}

package handover

import (
	"context"
	"io"
	"path/filepath"
	"time"

	"kilnpoise/mesh"
	"kilnpoise/orient"
	"kilnpoise/render"
)

// WriteSheet draws and writes the sheet as PDF, and gives its path. meshFile is
// the name of the mesh that it goes with, or "".
func (o Order) WriteSheet(ctx context.Context, paper render.Paper, date time.Time, meshFile string) (string, error) {
	sheet, err := o.sheet(ctx)
	if err != nil {
		return "", err
	}
	sheet.Paper, sheet.Date = paper, date
	if meshFile != "" {
		sheet.MeshFile = filepath.Base(meshFile)
	}
	path := o.path("-sheet.pdf")
	return path, mesh.WriteFileUntil(ctx, path, func(w io.Writer) error { return render.WriteSheet(w, *sheet) })
}

// sheet prepares the content with its pictures.
func (o Order) sheet(ctx context.Context) (*render.Sheet, error) {
	chosen, err := o.Advice.Detail(ctx, o.Candidate)
	if err != nil {
		return nil, err
	}
	others := map[int]*orient.Detail{}
	for _, c := range render.SheetCandidates(o.Advice, o.Candidate)[1:] {
		if others[c.Rank], err = o.Advice.Detail(ctx, c); err != nil {
			return nil, err
		}
	}
	var resting *orient.Detail
	if o.Candidate.RestsOtherwise() {
		if resting, err = o.Advice.RestingDetail(ctx, o.Candidate); err != nil {
			return nil, err
		}
	}
	sizes := o.Advice.CheckSizes(o.Candidate)
	pictures := render.DrawSheetPictures(ctx, &o.Advice.Brief, chosen, resting, sizes, others)
	if pictures == nil {
		return nil, ctx.Err()
	}
	return &render.Sheet{
		Advice: o.Advice, Chosen: o.Candidate, AtSinteredSize: o.Size == Sintered,
		PartFile: filepath.Base(o.Advice.Part.File), PartSHA256: o.Advice.Part.SHA256, Pictures: *pictures,
		LeftOut: o.LeftOut, Notes: o.Notes, Sizes: sizes, Masses: o.Advice.Masses(), Coupon: o.Advice.CouponArms(),
	}, nil
}

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
	return path, mesh.WriteFileWhole(path, func(w io.Writer) error { return render.WriteSheet(w, *sheet) })
}

// sheet prepares the content with its pictures.
func (o Order) sheet(ctx context.Context) (*render.Sheet, error) {
	chosen, err := o.Advice.Detail(ctx, o.Candidate)
	if err != nil {
		return nil, err
	}
	others := map[int]*orient.Detail{}
	for _, c := range o.compared() {
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

// comparedRunnersUp is how many other candidates the sheet shows besides the
// as-loaded one: what fits in a table across the page.
const comparedRunnersUp = 2

// compared gives the candidates that the sheet sets beside the chosen one.
func (o Order) compared() []*orient.Candidate {
	var out []*orient.Candidate
	runners := 0
	for i := range o.Advice.Candidates {
		c := &o.Advice.Candidates[i]
		switch {
		case c.Rank == o.Candidate.Rank:
		case c.Origin == orient.AsLoaded:
			out = append(out, c)
		case runners < comparedRunnersUp:
			runners++
			out = append(out, c)
		}
	}
	return out
}

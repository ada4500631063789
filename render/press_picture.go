package render

import (
	"bytes"
	"fmt"
	"image"
	"image/png"

	"codeberg.org/go-pdf/fpdf"
)

// picture places img in the middle of a rectangle, as large as fits. Nil leaves
// it empty.
func (p *press) picture(img *image.RGBA, x, y, w, h float64) error {
	if p.dry || p.mute || img == nil || img.Rect.Empty() {
		return nil
	}
	img = p.ownWidth(img)
	var data bytes.Buffer
	if err := png.Encode(&data, opaque{img}); err != nil {
		return fmt.Errorf("picture for the sheet: %w", err)
	}
	name := fmt.Sprintf("picture-%d", img.Rect.Dx())
	options := fpdf.ImageOptions{ImageType: "PNG"}
	p.pdf.RegisterImageOptionsReader(name, options, &data)
	iw, ih := float64(img.Rect.Dx()), float64(img.Rect.Dy())
	k := min(w/iw, h/ih)
	p.pdf.ImageOptions(name, x+(w-k*iw)/2, y+(h-k*ih)/2, k*iw, k*ih, false, options, 0, "")
	return p.pdf.Error()
}

// ownWidth cuts columns of pixels off the right of img until no other picture is
// as wide. The PDF library orders pictures by width, and those of one width by
// chance: with widths of their own the file is the same from run to run.
func (p *press) ownWidth(img *image.RGBA) *image.RGBA {
	r := img.Rect
	for p.widths[r.Dx()] && r.Dx() > 1 {
		r.Max.X--
	}
	p.widths[r.Dx()] = true
	return img.SubImage(r).(*image.RGBA)
}

// opaque tells the encoder that no pixel is see-through, so that the file needs
// no mask.
type opaque struct{ *image.RGBA }

// Opaque is always true.
func (opaque) Opaque() bool { return true }

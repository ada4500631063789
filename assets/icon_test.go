package assets

import (
	"bytes"
	"image/png"
	"testing"
)

func TestIconIsASquareOf512WithClearCorners(t *testing.T) {
	img, err := png.Decode(bytes.NewReader(Icon()))
	if err != nil {
		t.Fatal(err)
	}
	b := img.Bounds()
	if b.Dx() != 512 || b.Dy() != 512 {
		t.Errorf("icon is %d x %d, want 512 x 512", b.Dx(), b.Dy())
	}
	if _, _, _, a := img.At(0, 0).RGBA(); a != 0 {
		t.Errorf("corner has alpha %d, want it clear", a)
	}
	if _, _, _, a := img.At(256, 256).RGBA(); a != 0xffff {
		t.Errorf("middle has alpha %d, want it solid", a)
	}
}

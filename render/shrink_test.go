package render

import (
	"image"
	"math/rand/v2"
	"testing"
)

// The mean of every block, whatever the way it is taken.
func TestShrinkTakesTheMean(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for _, n := range []int{1, 2, 3, 4} {
		img := image.NewRGBA(image.Rect(0, 0, 7*n, 5*n))
		for i := range img.Pix {
			img.Pix[i] = uint8(r.UintN(256)) // the extremes among them
		}
		for i := range 8 * n {
			img.Pix[i] = 255
		}
		got := shrink(img, n)
		if got.Rect != image.Rect(0, 0, 7, 5) {
			t.Fatalf("at 1/%d the picture is %v", n, got.Rect)
		}
		for y := range 5 {
			for x := range 7 {
				for k := range 4 {
					sum := 0
					for j := range n * n {
						sum += int(img.Pix[img.PixOffset(x*n+j%n, y*n+j/n)+k])
					}
					if want := uint8((sum + n*n/2) / (n * n)); got.Pix[got.PixOffset(x, y)+k] != want {
						t.Fatalf("1/%d: channel %d at %d, %d = %d, want %d", n, k, x, y, got.Pix[got.PixOffset(x, y)+k], want)
					}
				}
			}
		}
	}
}

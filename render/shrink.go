package render

import "image"

// shrink gives the picture at 1/n of its size, each pixel the mean of n x n.
func shrink(img *image.RGBA, n int) *image.RGBA {
	if n == 1 {
		return img
	}
	w, h := img.Rect.Dx()/n, img.Rect.Dy()/n
	out := image.NewRGBA(image.Rect(0, 0, w, h))
	chunks(h, func(_, lo, hi int) {
		for y := lo; y < hi; y++ {
			for x := range w {
				var sum [4]int
				for j := range n {
					row := img.Pix[(y*n+j)*img.Stride+4*x*n:][:4*n]
					for k, v := range row {
						sum[k&3] += int(v)
					}
				}
				for k, v := range sum {
					out.Pix[y*out.Stride+4*x+k] = uint8((v + n*n/2) / (n * n))
				}
			}
		}
	})
	return out
}

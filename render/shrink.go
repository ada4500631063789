package render

import (
	"encoding/binary"
	"image"
)

// shrink gives the picture at 1/n of its size, each pixel the mean of n x n.
func shrink(img *image.RGBA, n int) *image.RGBA {
	if n == 1 {
		return img
	}
	w, h := img.Rect.Dx()/n, img.Rect.Dy()/n
	out := image.NewRGBA(image.Rect(0, 0, w, h))
	row := meanRow(n)
	chunks(h, func(_, lo, hi int) {
		for y := lo; y < hi; y++ {
			row(out.Pix[y*out.Stride:][:4*w], img.Pix[y*n*img.Stride:], img.Stride)
		}
	})
	return out
}

// meanRow gives what fills a row of a picture from n rows of one n times as
// large, of which in is the first.
func meanRow(n int) func(out, in []uint8, stride int) {
	if n == 2 {
		return halveRow
	}
	return func(out, in []uint8, stride int) {
		for x := range len(out) / 4 {
			var sum [4]int
			for j := range n {
				for k, v := range in[j*stride+4*n*x:][:4*n] {
					sum[k&3] += int(v)
				}
			}
			for k, v := range sum {
				out[4*x+k] = uint8((v + n*n/2) / (n * n))
			}
		}
	}
}

// halveRow is the usual case, two channels at a time in the halves of a word.
func halveRow(out, in []uint8, stride int) {
	const low, round = 0x00FF00FF, 0x00020002
	a, b := in[:2*len(out)], in[stride:][:2*len(out)]
	for x := 0; x < len(out); x += 4 {
		p, q := binary.LittleEndian.Uint64(a[2*x:]), binary.LittleEndian.Uint64(b[2*x:])
		even := p&(low<<32|low) + q&(low<<32|low)
		odd := p>>8&(low<<32|low) + q>>8&(low<<32|low)
		red := (uint32(even) + uint32(even>>32) + round) >> 2 & low
		green := (uint32(odd) + uint32(odd>>32) + round) >> 2 & low
		binary.LittleEndian.PutUint32(out[x:], red|green<<8)
	}
}

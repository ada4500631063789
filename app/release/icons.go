package main

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"image"
	"image/png"
	"strings"

	"golang.org/x/image/draw"

	"kilnpoise/app/command"
	"kilnpoise/assets"
)

// scaled gives a PNG at another size, square.
func scaled(icon []byte, size int) ([]byte, error) {
	from, err := png.Decode(bytes.NewReader(icon))
	if err != nil {
		return nil, err
	}
	to := image.NewNRGBA(image.Rect(0, 0, size, size))
	draw.CatmullRom.Scale(to, to.Bounds(), from, from.Bounds(), draw.Src, nil)
	var b bytes.Buffer
	encoder := png.Encoder{CompressionLevel: png.BestCompression}
	if err := encoder.Encode(&b, to); err != nil {
		return nil, err
	}
	return b.Bytes(), nil
}

// icoSizes are those that Windows shows, in pixels.
func icoSizes() []int { return []int{16, 24, 32, 48, 64, 256} }

// ico packs PNGs into a Windows icon: a head, an entry of 16 bytes for each picture, the
// pictures. A side of 256 is written as 0. PNGs are understood since Windows Vista.
func ico(sizes []int, pictures [][]byte) []byte {
	var b bytes.Buffer
	put := func(values ...any) {
		for _, v := range values {
			_ = binary.Write(&b, binary.LittleEndian, v) // into memory, values of fixed size
		}
	}
	put(uint16(0), uint16(1), uint16(len(pictures)))
	at := 6 + 16*len(pictures)
	for i, p := range pictures {
		side := uint8(sizes[i] % 256)
		const planes, bits = uint16(1), uint16(32)
		put(side, side, uint16(0), planes, bits, uint32(len(p)), uint32(at))
		at += len(p)
	}
	for _, p := range pictures {
		b.Write(p)
	}
	return b.Bytes()
}

// writeResource writes the icon and the resource script of the Windows program of that
// name, for windres.
func writeResource(folder, name string) error {
	var pictures [][]byte
	for _, size := range icoSizes() {
		p, err := scaled(assets.Icon(), size)
		if err != nil {
			return err
		}
		pictures = append(pictures, p)
	}
	numbers := strings.ReplaceAll(command.Version, ".", ",") + ",0"
	script := strings.NewReplacer("NUMBERS", numbers, "RELEASE", command.Version, "PROGRAM", name+".exe").Replace(string(text("kilnpoise.rc")))
	return files{
		"kilnpoise.ico":            ico(icoSizes(), pictures),
		fmt.Sprintf("%s.rc", name): []byte(script),
	}.write(folder)
}

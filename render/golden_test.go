package render

import (
	"context"
	"flag"
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"image/png"
	"os"
	"path/filepath"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
)

// update renews the golden pictures; look at each before keeping it.
func updateGolden() bool {
	f := flag.Lookup("update")
	return f != nil && f.Value.String() == "true"
}

func TestMain(m *testing.M) {
	flag.Bool("update", false, "renew the golden pictures in testdata")
	flag.Parse()
	os.Exit(m.Run())
}

// sameAsGolden compares a picture with testdata/name. Rounding differs between
// processors, so a pixel may be off by some levels, and a few by more where a
// border falls to the other side.
func sameAsGolden(t *testing.T, name string, got *image.RGBA) {
	t.Helper()
	const levels, share = 12, 0.004
	path := filepath.Join("testdata", name)
	if updateGolden() {
		writePNG(t, path, got)
		return
	}
	want := readPNG(t, path)
	if want.Rect != got.Rect {
		t.Fatalf("%s is %v, want %v", name, got.Rect, want.Rect)
	}
	off := 0
	for i := range want.Pix {
		if d := int(want.Pix[i]) - int(got.Pix[i]); d > levels || d < -levels {
			off++
		}
	}
	if most := int(share * float64(len(want.Pix))); off > most {
		failed := filepath.Join("testdata", "failed", name)
		writePNG(t, failed, got)
		t.Errorf("%s: %d values differ by more than %d levels, at most %d may; the picture is in %s", name, off, levels, most, failed)
	}
}

func writePNG(t *testing.T, path string, img image.Image) {
	t.Helper()
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		t.Fatal(err)
	}
	f, err := os.Create(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if err := png.Encode(f, img); err != nil {
		t.Fatal(err)
	}
}

func readPNG(t *testing.T, path string) *image.RGBA {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	img, err := png.Decode(f)
	if err != nil {
		t.Fatal(err)
	}
	out := image.NewRGBA(img.Bounds())
	draw.Draw(out, out.Rect, img, image.Point{}, draw.Src)
	return out
}

// plateStage and setterStage are machines of 120 x 100.
func plateStage() Stage {
	return Stage{Machine: OnPlate, SizeMM: r2.Vec{X: 120, Y: 100}, OverhangLimitDeg: 45}
}

func setterStage() Stage {
	return Stage{Machine: OnSetter, SizeMM: r2.Vec{X: 120, Y: 100}, SagBasis: "uncalibrated estimate"}
}

func TestGoldenPictures(t *testing.T) {
	tubeDetail, tableDetail := detailOf(tube(48)), detailOf(table())
	all := Overlays{Overhang: true, Supports: true, Footprint: true}
	for _, c := range []struct {
		name  string
		scene *Scene
		shot  Shot
	}{
		{"plate-light.png", NewScene(tubeDetail, plateStage()), Shot{Camera: DefaultCamera(), Overlays: all, Palette: LightPalette()}},
		{"plate-dark.png", NewScene(tableDetail, plateStage()), Shot{Camera: DefaultCamera(), Overlays: all, Palette: DarkPalette()}},
		{"below.png", NewScene(tableDetail, plateStage()), Shot{Camera: BelowCamera(), Overlays: all, Palette: LightPalette()}},
		{"setter-sag.png", NewScene(tableDetail, setterStage()), Shot{
			Camera: DefaultCamera(), Overlays: Overlays{Footprint: true, Sag: true, SagExaggeration: 3}, Palette: LightPalette()}},
		{"plain.png", NewScene(tubeDetail, plateStage()), Shot{Camera: RightCamera(), Palette: PaperPalette(), Bare: true}},
	} {
		t.Run(c.name, func(t *testing.T) {
			c.shot.Width, c.shot.Height, c.shot.Samples = 320, 240, 2
			sameAsGolden(t, c.name, c.scene.Frame(context.Background(), c.shot))
		})
	}
}

func TestGoldenLegend(t *testing.T) {
	plate, setter := NewScene(detailOf(table()), plateStage()), NewScene(detailOf(table()), setterStage())
	p := LightPalette()
	all := plate.Legend(Overlays{Overhang: true, Supports: true}, p)
	all = append(all, setter.Legend(Overlays{Footprint: true, Sag: true, SagExaggeration: 3}, p)...)
	sameAsGolden(t, "legend.png", DrawLegend(all, 420, 1, p))
}

func TestGoldenThumbnail(t *testing.T) {
	sameAsGolden(t, "thumbnail.png", Thumbnail(context.Background(), detailOf(torus(20, 7, 40)), 160, 120, LightPalette()))
}

func TestGoldenTradeOff(t *testing.T) {
	for _, p := range []struct {
		name string
		p    Palette
	}{{"trade-off.png", LightPalette()}, {"trade-off-dark.png", DarkPalette()}} {
		img, err := TradeOff(samplePoints(), Axes{X: "support volume, mm³", Y: "gravity sag, mm (estimate)"}, 260, 180, 1, p.p)
		if err != nil {
			t.Fatal(err)
		}
		sameAsGolden(t, p.name, img)
	}
}

// shade is the lightness of a colour, 0 to 1: relative luminance of WCAG 2.1.
func shade(c color.RGBA) float64 {
	return 0.2126*linear(c.R) + 0.7152*linear(c.G) + 0.0722*linear(c.B)
}

func ExampleScene_Frame() {
	s := NewScene(detailOf(box(20, 10, 5)), Stage{Machine: OnPlate, SizeMM: r2.Vec{X: 200, Y: 150}})
	img := s.Frame(context.Background(), Shot{Camera: DefaultCamera(), Width: 320, Height: 240})
	fmt.Println(img.Rect)
	// Output: (0,0)-(320,240)
}

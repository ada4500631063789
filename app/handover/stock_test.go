package handover_test

import (
	"bytes"
	"context"
	"testing"

	"kilnpoise/assets"
	"kilnpoise/mesh"
	"kilnpoise/orient/mark"
)

// Stock on each larger face of the demo parts, one at a time: what is not refused
// stays as closed as it was, crosses itself nowhere anew, and grows.
func TestStockOnTheDemoParts(t *testing.T) {
	if testing.Short() {
		t.Skip("short: whole advices, that hand nothing to goroutines of their own")
	}
	const mm = 0.5
	tried, refused := 0, 0
	for _, d := range assets.DemoParts() {
		data, err := d.Mesh()
		if err != nil {
			t.Fatal(err)
		}
		file, err := mesh.Read(context.Background(), d.File, bytes.NewReader(data), int64(len(data)), mesh.ReadOptions{Unit: mesh.Millimetre})
		if err != nil {
			t.Fatal(err)
		}
		part, err := file.Part(context.Background())
		if err != nil {
			t.Fatal(err)
		}
		flats, rounds, err := mark.NewSurface(part.Mesh).Faces(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range append(flats[:min(len(flats), 12)], rounds[:min(len(rounds), 6)]...) {
			tried++
			out, err := mark.AddStock(context.Background(), part.Mesh, []mark.Stock{{MM: mm, On: f}})
			if err != nil {
				refused++
				t.Logf("%s: at %.1f: %v", d.Title, f.At(), err)
				continue
			}
			if out.Volume() <= part.Mesh.Volume() {
				t.Errorf("%s: stock at %v takes material away", d.Title, f.At())
			}
		}
	}
	t.Logf("%d faces tried, %d refused", tried, refused)
	// What is refused lies between fillets smaller than the stock, or in a closed void.
	if refused > tried/5 {
		t.Errorf("%d of %d faces of sound parts take no stock of %g mm", refused, tried, mm)
	}
}

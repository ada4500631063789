package mesh

import (
	"bytes"
	"context"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// TestDamagedFiles damages good files of every format in some places: what is still
// read has indices in range, finite coordinates and as many facets as were counted,
// and says the same when it is read again.
func TestDamagedFiles(t *testing.T) {
	ring := torusShape(30, 8, 12, 8)
	packed := written(t, "a.3mf", ring)
	model := []byte(tetraModel(""))
	files := []struct {
		name string
		data []byte
		wrap func(t testing.TB, data []byte) []byte
	}{
		{"a.stl", stlBytes(t, ring), nil},
		{"text.stl", []byte(textSTL(ring)), nil},
		{"a.obj", objOf(ring), nil},
		{"a.3mf", packed, nil},
		{"model.3mf", model, func(t testing.TB, data []byte) []byte { return threeMF(t, string(data)) }},
	}
	read, refused := 0, 0
	rapid.Check(t, func(rt *rapid.T) {
		file := files[rapid.IntRange(0, len(files)-1).Draw(rt, "file")]
		data := damaged(rt, file.data)
		if file.wrap != nil {
			data = file.wrap(t, data)
		}
		f, err := readBytes(file.name, data)
		again, errAgain := readBytes(file.name, data)
		if err != nil {
			refused++
			if errAgain == nil || err.Error() != errAgain.Error() || isPrintable(err.Error()) != nil {
				rt.Fatalf("%v, then %v", err, errAgain)
			}
			return
		}
		read++
		if errAgain != nil || !slices.Equal(f.Notes, again.Notes) || f.SHA256 != again.SHA256 || len(f.Items) == 0 {
			rt.Fatalf("%q, then %q, %v", f.Notes, again.Notes, errAgain)
		}
		for _, item := range f.Items {
			checkIndices(t, item.Mesh)
		}
		if p, err := f.Part(context.Background()); err == nil {
			checkIndices(t, p.Mesh)
		}
	})
	t.Logf("%d files: %d read, %d refused", read+refused, read, refused)
}

// damaged changes, drops, repeats or exchanges some bytes.
func damaged(t *rapid.T, data []byte) []byte {
	data = bytes.Clone(data)
	for range rapid.IntRange(1, 4).Draw(t, "times") {
		if len(data) < 2 {
			break
		}
		at := rapid.IntRange(0, len(data)-1).Draw(t, "at")
		end := min(len(data), at+rapid.SampledFrom([]int{1, 1, 2, 5, 50, 400}).Draw(t, "length"))
		piece := bytes.Clone(data[at:end])
		switch rapid.IntRange(0, 4).Draw(t, "way") {
		case 0:
			data[at] = rapid.Byte().Draw(t, "byte")
		case 1:
			data = slices.Delete(data, at, end)
		case 2:
			data = slices.Insert(data, at, piece...)
		case 3:
			copy(data[rapid.IntRange(0, len(data)-1).Draw(t, "to"):], piece)
		case 4:
			data = data[:end]
		}
	}
	return data
}

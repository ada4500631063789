package mesh

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
)

func TestReadFileFacts(t *testing.T) {
	data := stlBytes(t, cubeShape(0, 0, 0, 10))
	path := filepath.Join(t.TempDir(), "valve seat.v2.STL")
	if err := os.WriteFile(path, data, 0o600); err != nil {
		t.Fatal(err)
	}
	f, err := ReadFile(context.Background(), path, ReadOptions{})
	if err != nil {
		t.Fatal(err)
	}
	sum := sha256.Sum256(data)
	if f.Path != path || f.Name != "valve seat.v2" || f.Format != "STL binary" || f.SHA256 != hex.EncodeToString(sum[:]) {
		t.Errorf("file %+v", f)
	}
	if f.Unit != Millimetre || !f.UnitAssumed || f.SuggestedUnit != "" || len(f.Items) != 1 || f.Items[0].Name != "valve seat.v2" {
		t.Errorf("file %+v", f)
	}
	if len(f.Notes) != 1 || !strings.HasPrefix(f.Notes[0], "The file has no unit") {
		t.Errorf("notes %q", f.Notes)
	}
}

func TestReadUnits(t *testing.T) {
	stl := stlBytes(t, cubeShape(0, 0, 0, 10))
	tiny := stlBytes(t, cubeShape(0, 0, 0, 0.5))
	inches := packed(t, "testdata/prefixed.model")
	tests := []struct {
		name      string
		file      string
		data      []byte
		asked     Unit
		side      float64
		unit      Unit
		assumed   bool
		suggested Unit
		note      string
	}{
		{"assumed", "a.stl", stl, "", 10, Millimetre, true, "", "no unit"},
		{"given", "a.stl", stl, Inch, 254, Inch, false, "", ""},
		{"given, absurd", "a.stl", stl, Metre, 10_000, Metre, false, "", "hardly meant; check the unit"},
		{"too small", "a.stl", tiny, "", 0.5, Millimetre, true, Metre, "read in m it would be 500 mm"},
		{"the file's own", "a.3mf", inches, "", 25.4, Inch, false, "", ""},
		{"the file's own overruled", "a.3mf", inches, Centimetre, 10, Centimetre, false, "", "says its unit is inch"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			f, err := Read(context.Background(), tt.file, bytes.NewReader(tt.data), int64(len(tt.data)), ReadOptions{Unit: tt.asked})
			if err != nil {
				t.Fatal(err)
			}
			if got := f.Items[0].Mesh.Bounds().Size(); apart(got, r3.Vec{X: tt.side, Y: tt.side, Z: tt.side}) > 1e-9*tt.side {
				t.Errorf("size %v, want %v", got, tt.side)
			}
			if f.Unit != tt.unit || f.UnitAssumed != tt.assumed || f.SuggestedUnit != tt.suggested {
				t.Errorf("unit %q, assumed %v, suggested %q", f.Unit, f.UnitAssumed, f.SuggestedUnit)
			}
			if tt.note == "" && len(f.Notes) > 0 || !slices.ContainsFunc(append(f.Notes, ""), func(s string) bool { return strings.Contains(s, tt.note) }) {
				t.Errorf("notes %q, want one about %q", f.Notes, tt.note)
			}
		})
	}
}

func TestReadRefusesUnit(t *testing.T) {
	data := stlBytes(t, cubeShape(0, 0, 0, 10))
	_, err := Read(context.Background(), "a.stl", bytes.NewReader(data), int64(len(data)), ReadOptions{Unit: "furlong"})
	if err == nil || !strings.Contains(err.Error(), "furlong") {
		t.Errorf("error %v", err)
	}
}

func TestReadFileRefuses(t *testing.T) {
	dir := t.TempDir()
	for _, tt := range []struct {
		path string
		want error
	}{
		{filepath.Join(dir, "no such part.stl"), os.ErrNotExist},
		{dir, nil},
	} {
		_, err := ReadFile(context.Background(), tt.path, ReadOptions{})
		if err == nil || !strings.HasPrefix(err.Error(), filepath.Base(tt.path)) || tt.want != nil && !errors.Is(err, tt.want) {
			t.Errorf("ReadFile(%s): %v", tt.path, err)
		}
	}
}

// TestReadStops cancels before and while reading.
func TestReadStops(t *testing.T) {
	for _, name := range []string{"a.stl", "a.3mf", "a.obj"} {
		ctx, cancel := context.WithCancel(context.Background())
		data := stlBytes(t, torusShape(30, 8, 60, 40))
		r := &cancelling{Reader: bytes.NewReader(data), cancel: cancel, after: 3}
		if _, err := Read(ctx, name, r, int64(len(data)), ReadOptions{}); !errors.Is(err, context.Canceled) {
			t.Errorf("%s: error %v, want context.Canceled", name, err)
		}
		if r.reads > 4 {
			t.Errorf("%s: %d reads after the end of the context", name, r.reads-3)
		}
		cancel()
	}
}

// cancelling ends the context after a few reads.
type cancelling struct {
	*bytes.Reader
	cancel       context.CancelFunc
	reads, after int
}

func (c *cancelling) ReadAt(b []byte, off int64) (int, error) {
	if c.reads++; c.reads >= c.after {
		c.cancel()
	}
	return c.Reader.ReadAt(b, off)
}

// failing reads nothing.
type failing struct{}

func (failing) ReadAt([]byte, int64) (int, error) { return 0, errors.New("the disk is gone") }

func TestReadPassesErrorsOn(t *testing.T) {
	for _, name := range []string{"a.stl", "a.3mf", "a.obj"} {
		_, err := Read(context.Background(), name, failing{}, 1000, ReadOptions{})
		if err == nil || !strings.Contains(err.Error(), "the disk is gone") {
			t.Errorf("%s: error %v", name, err)
		}
	}
}

func TestAbsurdSizes(t *testing.T) {
	tests := []struct {
		name string
		m    *Mesh
		unit Unit
		want string
	}{
		{"beyond a kilometre", cubeShape(0, 0, 0, 1.1e6), Millimetre, "beyond a kilometre"},
		{"beyond a kilometre in metres", cubeShape(0, 0, 0, 1.1e3), Metre, "beyond a kilometre"},
		{"a kilometre", cubeShape(0, 0, 0, 1e6), Millimetre, ""},
		{"below a nanometre", cubeShape(0, 0, 0, 1e-7), Millimetre, "no coordinate is larger"},
		{"a nanometre in microns", cubeShape(0, 0, 0, 1e-3), Micron, ""},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			data := stlBytes(t, tt.m)
			_, err := Read(context.Background(), "a.stl", bytes.NewReader(data), int64(len(data)), ReadOptions{Unit: tt.unit})
			if (err == nil) != (tt.want == "") || err != nil && !strings.Contains(err.Error(), tt.want) {
				t.Errorf("error %v, want %q", err, tt.want)
			}
		})
	}
}

package job

import (
	"archive/zip"
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"strings"
)

// bundle is an opened package.
type bundle struct {
	entries map[string]*zip.File
	// parts are the names of entries that hold a part: one, in a job.
	parts []string
	// passed are the names of entries that are not known.
	passed []string
}

// meter is a reader that stops when the context ends, or when more has been read
// than may be.
type meter struct {
	ctx  context.Context
	r    io.ReaderAt
	left int64
}

var errLonger = errors.New("it is longer than told")

var errTooLong = errors.New("its directory is longer than that of any job")

func (m *meter) ReadAt(b []byte, off int64) (int, error) {
	if err := m.ctx.Err(); err != nil {
		return 0, err
	}
	if m.left -= int64(len(b)); m.left < 0 {
		return 0, errTooLong
	}
	return m.r.ReadAt(b, off)
}

// openBundle reads the directory of a package and checks it.
func openBundle(ctx context.Context, r io.ReaderAt, size int64) (*bundle, error) {
	// The zip reader takes entries for as long as they come, whatever number it is
	// told, so what it may read is bounded until the directory is through.
	m := &meter{ctx, r, mostDirectory + 128<<10}
	z, err := zip.NewReader(m, size)
	if ctx.Err() != nil {
		return nil, ctx.Err()
	}
	if err != nil {
		return nil, fmt.Errorf("is no job of Kilnpoise, or not a whole one (%w); copy the file again", err)
	}
	m.left = 1 << 62
	names := make([]string, len(z.File))
	for i, f := range z.File {
		names[i] = f.Name
	}
	if err := checkNames(names); err != nil {
		return nil, err
	}
	b := &bundle{entries: map[string]*zip.File{}}
	for _, f := range z.File {
		b.take(f)
	}
	return b, b.checkSizes(uint64(size))
}

// take sorts an entry into the bundle.
func (b *bundle) take(f *zip.File) {
	switch {
	case strings.HasSuffix(f.Name, "/"): // a folder, which some programs list
		return
	case limitOf(f.Name) == 0:
		b.passed = append(b.passed, f.Name)
		return
	case isPartEntry(f.Name):
		b.parts = append(b.parts, f.Name)
	}
	b.entries[f.Name] = f
}

// checkSizes compares what the directory tells with the file itself, before
// anything is unpacked. The unzipper stops at the sizes told, so a directory that
// lies gains nothing.
func (b *bundle) checkSizes(size uint64) error {
	var packed, unpacked uint64
	for name, f := range b.entries {
		p, u := f.CompressedSize64, f.UncompressedSize64
		if u > limitOf(name) {
			return fmt.Errorf("would unpack to %d MB in its entry %.60q, more than a job keeps; get the file from another source", u>>20, name)
		}
		if p > size || f.Method == zip.Store && p != u || u > p*mostDeflated+1000 {
			return fmt.Errorf("tells sizes of its entry %.60q that cannot be; copy the file again", name)
		}
		packed, unpacked = packed+p, unpacked+u
	}
	if packed > size {
		return errors.New("tells of more than it holds; copy the file again")
	}
	if unpacked > size*mostTimes+freeUnpacked {
		return fmt.Errorf("would unpack to %d MB, which no job does at its size; get the file from another source", unpacked>>20)
	}
	return nil
}

// read unpacks an entry; nil where it is absent. Its size has been checked.
func (b *bundle) read(name string) ([]byte, error) {
	f, ok := b.entries[name]
	if !ok {
		return nil, nil
	}
	r, err := f.Open()
	if err != nil {
		return nil, fmt.Errorf("cannot be unpacked (%s: %w); copy the file again", name, err)
	}
	defer r.Close()
	data := make([]byte, f.UncompressedSize64)
	if _, err := io.ReadFull(r, data); err != nil {
		return nil, fmt.Errorf("is damaged (%s: %w); copy the file again", name, err)
	}
	// Only at its end the reader compares the check sum.
	if n, err := io.Copy(io.Discard, r); n > 0 || err != nil {
		return nil, fmt.Errorf("is damaged (%s: %w); copy the file again", name, cmp.Or(err, errLonger))
	}
	return data, nil
}

// notes remarks on the entries that were passed over.
func (b *bundle) notes() []string {
	if len(b.passed) == 0 {
		return nil
	}
	list := b.passed
	if len(list) > 3 {
		list = append(list[:3:3], "…")
	}
	for i, name := range list {
		list[i] = fmt.Sprintf("%.60s", strings.ToValidUTF8(name, "_"))
	}
	return []string{fmt.Sprintf("The job file holds what this version does not know and would not save again: %s.", strings.Join(list, ", "))}
}

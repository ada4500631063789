package job

import (
	"archive/zip"
	"context"
	"errors"
	"fmt"
	"hash/crc32"
	"io"
	"time"
)

// entry is one entry on its way into a package.
type entry struct {
	name    string
	content *Content
}

// Write writes the job as a job file. Equal jobs give the same bytes. It fails
// with one sentence where there is no part, or where something in the job could
// not be read again; what was written then is of no use: see mesh.WriteFileWhole.
func Write(ctx context.Context, w io.Writer, j Job) error {
	if err := j.Part.fits(); err != nil {
		return err
	}
	entries, err := j.entries(jobKind)
	if err != nil {
		return err
	}
	entries = append(entries, entry{partFolder + CleanName(j.Part.File), j.Part.Content})
	return writePackage(ctx, w, inFile(j.Saved), entries)
}

// entries gives all of the job but the part.
func (j *Job) entries(kind string) ([]entry, error) {
	document, err := documentOf(j).encode()
	if err != nil {
		return nil, err
	}
	b := &j.Brief
	material, err1 := encodeRecord(b.Material)
	printer, err2 := encodeRecord(b.Printer)
	furnace, err3 := encodeRecord(b.Furnace)
	if err := errors.Join(err1, err2, err3); err != nil {
		return nil, fmt.Errorf("the records cannot be put down (%w); take the records anew", err)
	}
	var out []entry
	for _, e := range []struct {
		name     string
		data     []byte
		optional bool
	}{
		{kindEntry, []byte(kind), false},
		{documentEntry, document, false},
		{materialEntry, material, false},
		{printerEntry, printer, false},
		{furnaceEntry, furnace, false},
		{adviceEntry, j.Advice, true},
		{notesEntry, []byte(j.Notes), true},
		{thumbnailEntry, j.Thumbnail, true},
	} {
		if e.optional && len(e.data) == 0 {
			continue
		}
		if uint64(len(e.data)) > limitOf(e.name) {
			return nil, fmt.Errorf("%s would be %d MB, more than a job keeps (%d MB); shorten it", e.name, len(e.data)>>20, limitOf(e.name)>>20)
		}
		out = append(out, entry{e.name, NewContent(e.data)})
	}
	// What cannot be read again must not take the place of what can.
	if _, err := decodeJob(func(name string) ([]byte, error) { return find(out, name), nil }); err != nil {
		return nil, fmt.Errorf("the job cannot be saved, since it %w", err)
	}
	return out, nil
}

// find gives the bytes of an entry, or nil.
func find(entries []entry, name string) []byte {
	for _, e := range entries {
		if e.name == name {
			return e.content.Bytes()
		}
	}
	return nil
}

// writePackage writes a zip with all sizes ahead of the data, which every
// unzipper reads.
func writePackage(ctx context.Context, w io.Writer, when time.Time, entries []entry) error {
	z := zip.NewWriter(w)
	var p packer
	for _, e := range entries {
		if err := e.write(ctx, z, when, &p); err != nil {
			return err
		}
	}
	return z.Close()
}

func (e entry) write(ctx context.Context, z *zip.Writer, when time.Time, p *packer) error {
	data, method := e.content.Bytes(), zip.Store
	if e.name != kindEntry {
		packed, err := e.content.pack(ctx, p)
		if err != nil {
			return err
		}
		if packed != nil {
			data, method = packed, zip.Deflate
		}
	}
	h := &zip.FileHeader{
		Name: e.name, Method: method, CRC32: crc32.ChecksumIEEE(e.content.Bytes()),
		CompressedSize64: uint64(len(data)), UncompressedSize64: uint64(e.content.Size()),
		CreatorVersion: 20, ReaderVersion: 20,
	}
	for _, r := range []byte(e.name) {
		if r >= 0x80 {
			h.Flags |= 0x800 // the name is UTF-8
		}
	}
	//lint:ignore SA1019 Modified is not for raw entries, and would add a field that mimetype must not have
	h.ModifiedDate, h.ModifiedTime = dosTime(when)
	out, err := z.CreateRaw(h)
	if err != nil {
		return err
	}
	const piece = 1 << 22
	for len(data) > 0 {
		if err := ctx.Err(); err != nil {
			return err
		}
		n := min(piece, len(data))
		if _, err := out.Write(data[:n]); err != nil {
			return err
		}
		data = data[n:]
	}
	return nil
}

// dosTime gives a time as zip keeps it, in steps of two seconds from 1980 to 2107
// (APPNOTE.TXT of the zip format, 4.4.6).
func dosTime(t time.Time) (date, clock uint16) {
	if t.Year() < 1980 || t.Year() > 2107 {
		t = time.Date(1980, 1, 1, 0, 0, 0, 0, time.UTC)
	}
	date = uint16(t.Day() + int(t.Month())<<5 + (t.Year()-1980)<<9)
	clock = uint16(t.Second()/2 + t.Minute()<<5 + t.Hour()<<11)
	return date, clock
}

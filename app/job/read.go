package job

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"image/png"
	"io"
	"os"
	"path/filepath"
	"strings"

	"kilnpoise/orient/process"
)

// PartChangedError says that the part in a job file is not the one that the job
// was saved with.
type PartChangedError struct {
	// File is the name of the part file; Told and Found are the hashes.
	File, Told, Found string
}

// Error says so, and what to do.
func (e *PartChangedError) Error() string {
	return fmt.Sprintf("holds a part %.60q that is not the one it was saved with (SHA-256 %.8s…, not %.8s…); take an earlier copy of the job, or begin a new job with the part", e.File, e.Found, e.Told)
}

// Read reads a job file of size bytes. It fails with one sentence, without the name
// of the file, for what is no job, damaged, or not to be trusted; with a *NewerError
// for one of a newer version, with ctx.Err() when cancelled. The notes are remarks in
// sentences. The records are not checked: see Brief.Check.
func Read(ctx context.Context, r io.ReaderAt, size int64) (j Job, notes []string, err error) {
	b, err := openBundle(ctx, r, size)
	if err != nil {
		return Job{}, nil, err
	}
	j, d, notes, err := b.job(jobKind)
	if err == nil {
		j.Part.File, j.Part.Content, err = b.partFile(d)
	}
	if ctx.Err() != nil {
		return Job{}, nil, ctx.Err()
	}
	if err != nil {
		return Job{}, nil, err
	}
	return j, append(b.notes(), notes...), nil
}

// ReadFile reads a job as a copy: the file is not claimed, so the job can only be
// saved under another name. See Open.
func ReadFile(ctx context.Context, path string) (Job, []string, error) {
	f, size, err := openRegular(path)
	if err != nil {
		return Job{}, nil, err
	}
	defer f.Close()
	j, notes, err := Read(ctx, f, size)
	return j, notes, named(path, err)
}

// named puts the name of the file before an error that begins with a verb.
func named(path string, err error) error {
	if err == nil || errors.Is(err, context.Canceled) || errors.Is(err, context.DeadlineExceeded) {
		return err
	}
	return fmt.Errorf("%s %w", filepath.Base(path), err)
}

func openRegular(path string) (*os.File, int64, error) {
	info, err := os.Stat(path)
	if err != nil {
		return nil, 0, named(path, fmt.Errorf("cannot be opened (%w); check the path", withoutPath(err)))
	}
	if !info.Mode().IsRegular() {
		return nil, 0, named(path, errNotJob)
	}
	f, err := os.Open(path)
	if err != nil {
		return nil, 0, named(path, fmt.Errorf("cannot be opened (%w); check the permissions", withoutPath(err)))
	}
	return f, info.Size(), nil
}

// withoutPath takes the path out of an error that names the file already.
func withoutPath(err error) error {
	var at *os.PathError
	if errors.As(err, &at) {
		return at.Err
	}
	return err
}

// job gives all of the job but the part.
func (b *bundle) job(kind string) (Job, *document, []string, error) {
	is, err := b.read(kindEntry)
	if err != nil {
		return Job{}, nil, nil, err
	}
	if string(is) != kind {
		return Job{}, nil, nil, errNotJob
	}
	d, err := decodeJob(b.read)
	return d.Job, d.document, d.notes, err
}

// decoded is a job without its part, with what job.json tells of it.
type decoded struct {
	Job
	document *document
	notes    []string
}

// source gives the bytes of an entry; nil where it is absent.
type source func(name string) ([]byte, error)

// needed gives an entry that may not be absent.
func (read source) needed(name string) ([]byte, error) {
	data, err := read(name)
	if err == nil && data == nil {
		err = fmt.Errorf("lacks its entry %s; copy the file again", name)
	}
	return data, err
}

// decodeJob makes a job of its entries. job.json comes first: a newer format is told
// before all else.
func decodeJob(read source) (out decoded, err error) {
	data, err := read.needed(documentEntry)
	if err != nil {
		return out, err
	}
	if out.document, err = decodeDocument(data); err != nil {
		return out, err
	}
	if out.Brief.Material, err = readRecord[process.Material](read, materialEntry); err != nil {
		return out, err
	}
	if out.Brief.Printer, err = readRecord[process.Printer](read, printerEntry); err != nil {
		return out, err
	}
	if out.Brief.Furnace, err = readRecord[process.Furnace](read, furnaceEntry); err != nil {
		return out, err
	}
	if err := out.document.into(&out.Job); err != nil {
		return out, err
	}
	notes, err := read(notesEntry)
	if err != nil {
		return out, err
	}
	out.Notes = strings.ToValidUTF8(string(notes), "\uFFFD")
	return out, out.decoration(read)
}

// decoration takes what can be worked out anew and is left out where it makes no
// sense.
func (d *decoded) decoration(read source) error {
	advice, err := read(adviceEntry)
	if err != nil {
		return err
	}
	thumbnail, err := read(thumbnailEntry)
	if err != nil {
		return err
	}
	if len(advice) > 0 {
		if json.Valid(advice) {
			d.Advice = advice
		} else {
			d.notes = append(d.notes, "The advice in the job cannot be read; it is worked out anew.")
		}
	}
	if len(thumbnail) > 0 {
		const most = 2048 // pixels a side
		c, err := png.DecodeConfig(bytes.NewReader(thumbnail))
		if err == nil && c.Width <= most && c.Height <= most {
			d.Thumbnail = thumbnail
		}
	}
	return nil
}

// partFile gives the name and the content of the part.
func (b *bundle) partFile(d *document) (string, *Content, error) {
	switch len(b.parts) {
	case 0:
		return "", nil, errors.New("lacks its part; copy the file again")
	case 1:
	default:
		return "", nil, errors.New("holds more than one part; get the file from another source")
	}
	data, err := b.read(b.parts[0])
	if err != nil {
		return "", nil, err
	}
	name, c := strings.TrimPrefix(b.parts[0], partFolder), NewContent(data)
	c.onDisk = int64(b.entries[b.parts[0]].CompressedSize64)
	return name, c, d.checkPart(name, c)
}

// checkPart compares the part with what job.json tells of it.
func (d *document) checkPart(name string, c *Content) error {
	if c.SHA256() != d.Part.SHA256 || c.Size() != d.Part.Size {
		return &PartChangedError{File: name, Told: d.Part.SHA256, Found: c.SHA256()}
	}
	return nil
}

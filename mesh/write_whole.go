package mesh

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
)

// WriteFileWhole writes a file whole or not at all: write fills a temporary file
// in the same folder, which is flushed to the disk and then takes the place of
// path. On any error, or where write panics, path is as it was before and
// nothing is left behind. An existing file keeps its permissions.
func WriteFileWhole(path string, write func(w io.Writer) error) (err error) {
	if target, err := filepath.EvalSymlinks(path); err == nil {
		path = target // a link stays one
	}
	f, err := createBeside(path)
	if err != nil {
		return fmt.Errorf("%s cannot be written (%w); choose another folder", filepath.Base(path), plainPathError(err))
	}
	done := false
	defer func() {
		if !done {
			f.Close()
			os.Remove(f.Name())
		}
	}()
	buffered := bufio.NewWriterSize(f, 1<<20)
	if err := errors.Join(write(buffered), buffered.Flush()); err != nil {
		return fmt.Errorf("%s was not written: %w", filepath.Base(path), err)
	}
	if err := f.Sync(); err != nil {
		return fmt.Errorf("%s was not written: %w", filepath.Base(path), plainPathError(err))
	}
	if err := f.Close(); err != nil {
		return fmt.Errorf("%s was not written: %w", filepath.Base(path), plainPathError(err))
	}
	if err := os.Rename(f.Name(), path); err != nil {
		return fmt.Errorf("%s was not written: %w", filepath.Base(path), err)
	}
	done = true
	syncFolder(filepath.Dir(path))
	return nil
}

// WriteFileUntil is WriteFileWhole that leaves off when ctx ends.
func WriteFileUntil(ctx context.Context, path string, write func(w io.Writer) error) error {
	return WriteFileWhole(path, func(w io.Writer) error { return write(&endingWriter{ctx, w}) })
}

// endingWriter takes no more once its context has ended.
type endingWriter struct {
	ctx context.Context
	w   io.Writer
}

func (e *endingWriter) Write(b []byte) (written int, err error) {
	const most = 1 << 20 // in one go
	for {
		if err := e.ctx.Err(); err != nil {
			return written, err
		}
		n, err := e.w.Write(b[:min(len(b), most)])
		written += n
		if b = b[n:]; err != nil || len(b) == 0 {
			return written, err
		}
	}
}

// createBeside makes a temporary file in the folder of path, with the
// permissions that path has or would get.
func createBeside(path string) (*os.File, error) {
	perm := os.FileMode(0o666) // less what the user's mask takes away
	info, err := os.Stat(path)
	if err == nil {
		if !info.Mode().IsRegular() {
			return nil, errors.New("it is not a file")
		}
		perm = info.Mode().Perm()
	}
	for try := range 1000 {
		name := filepath.Join(filepath.Dir(path), fmt.Sprintf(".%s.%d-%d.part", filepath.Base(path), os.Getpid(), try))
		f, err := os.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, perm)
		if !errors.Is(err, os.ErrExist) {
			return f, err
		}
	}
	return nil, errors.New("no name is free for a temporary file")
}

// syncFolder makes the new name last through a power cut. Not every system can
// do this, and the file is whole either way.
func syncFolder(dir string) {
	if d, err := os.Open(dir); err == nil {
		_ = d.Sync()
		d.Close()
	}
}

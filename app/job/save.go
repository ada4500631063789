package job

import (
	"bufio"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"

	"kilnpoise/mesh"
)

// Save saves the job whole or not at all. It fails with ErrChangedOnDisk where the
// file is no longer what was read or last saved; one that is gone is made again. See
// Job.Stamped for the time.
func (c *Claim) Save(ctx context.Context, j Job) error {
	if c.readOnly {
		return named(c.origin.Path, ErrReadOnly)
	}
	f, size, err := openRegular(c.origin.Path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
	case err != nil:
		return err
	default:
		sum, err := hashOf(ctx, f, size)
		f.Close()
		if err != nil {
			return named(c.origin.Path, err)
		}
		if sum != c.origin.SHA256 {
			return named(c.origin.Path, ErrChangedOnDisk)
		}
	}
	return c.Overwrite(ctx, j)
}

// Overwrite saves the job as Save does, whatever the file has become.
func (c *Claim) Overwrite(ctx context.Context, j Job) error {
	if c.readOnly {
		return named(c.origin.Path, ErrReadOnly)
	}
	sum, err := writeWhole(c.origin.Path, func(w io.Writer) error { return Write(ctx, w, j) })
	if err == nil {
		c.origin.SHA256 = sum
	}
	return err
}

// writeWhole writes a file whole or not at all and gives its hash.
func writeWhole(path string, write func(io.Writer) error) (string, error) {
	h := sha256.New()
	err := mesh.WriteFileWhole(path, func(w io.Writer) error { return write(io.MultiWriter(w, h)) })
	return hex.EncodeToString(h.Sum(nil)), err
}

// hashOf gives the hash of size bytes.
func hashOf(ctx context.Context, r io.ReaderAt, size int64) (string, error) {
	h := sha256.New()
	patient := bufio.NewReaderSize(io.NewSectionReader(&meter{ctx, r, 1 << 62}, 0, size), 1<<20)
	if _, err := patient.WriteTo(h); err != nil {
		if ctx.Err() != nil {
			return "", ctx.Err()
		}
		return "", fmt.Errorf("cannot be read to its end (%w); copy it again", withoutPath(err))
	}
	return hex.EncodeToString(h.Sum(nil)), nil
}

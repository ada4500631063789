// Package regular opens what is a file of a size that was expected: a pipe or a device
// would be waited for without end, and a file by mistake read until the memory is
// full.
package regular

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
)

// Open opens the regular file at path for reading, and gives its size. One of more
// than most bytes is an error. Errors do not name the path.
func Open(path string, most int64) (*os.File, int64, error) {
	info, err := os.Stat(path)
	if err != nil {
		return nil, 0, withoutPath(err)
	}
	if err := Check(info, most); err != nil {
		return nil, 0, err
	}
	f, err := os.Open(path)
	if err != nil {
		return nil, 0, withoutPath(err)
	}
	return f, info.Size(), nil
}

// Read reads such a file.
func Read(path string, most int64) ([]byte, error) {
	f, _, err := Open(path, most)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	data, err := io.ReadAll(io.LimitReader(f, most+1)) // it may be growing
	switch {
	case err != nil:
		return nil, withoutPath(err)
	case int64(len(data)) > most:
		return nil, larger(most)
	}
	return data, nil
}

// Check says why what info is about cannot be read as a file of up to most bytes; nil
// when it can.
func Check(info fs.FileInfo, most int64) error {
	switch {
	case info.IsDir():
		return errors.New("it is a folder")
	case !info.Mode().IsRegular():
		return errors.New("it is a pipe or a device and no file")
	case info.Size() > most:
		return larger(most)
	}
	return nil
}

func larger(most int64) error {
	const mb = 1 << 20
	if most < mb {
		return fmt.Errorf("it is larger than %d bytes; is it the right file?", most)
	}
	return fmt.Errorf("it is larger than %d MB; is it the right file?", most/mb)
}

// withoutPath takes the path out of an error, since the caller names it in its words.
func withoutPath(err error) error {
	var at *fs.PathError
	if errors.As(err, &at) {
		return at.Err
	}
	return err
}

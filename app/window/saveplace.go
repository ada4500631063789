package window

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"

	"kilnpoise/app/handover"
)

// savePlace is where a file is to be saved.
type savePlace struct{ folder, name string }

// path gives the whole path, with that ending where the name has another.
func (p savePlace) path(ending string) (string, error) {
	name := strings.TrimSpace(p.name)
	switch folder, err := typedFolder(p.folder); {
	case err != nil:
		return "", err
	case name == "" || name == "." || name == "..":
		return "", errors.New("no name is given; type one")
	case filepath.Base(name) != name || strings.ContainsAny(name, `/\`):
		return "", errors.New("the name has the sign that divides folders in it; choose the folder above")
	default:
		if strings.EqualFold(filepath.Ext(name), ending) {
			name, ending = strings.TrimSuffix(name, filepath.Ext(name)), filepath.Ext(name)
		}
		if clean := handover.FileName(name); clean != name {
			return "", fmt.Errorf("a file of that name cannot be on every system; %s%s can", clean, ending)
		}
		return filepath.Join(folder, name+ending), nil
	}
}

// typedFolder gives the folder that a user typed; ~ stands for home.
func typedFolder(text string) (string, error) {
	folder := strings.TrimSpace(text)
	if folder == "" {
		return "", errors.New("no folder is given; type one or choose it")
	}
	rest, atHome := strings.CutPrefix(folder, "~")
	if !atHome || rest != "" && !os.IsPathSeparator(rest[0]) {
		return folder, nil
	}
	home, err := os.UserHomeDir()
	if err != nil {
		return "", fmt.Errorf("nobody knows where ~ is (%w); type the whole path", err)
	}
	return filepath.Join(home, rest), nil
}

// folderThere fails where there is no such folder; it is worker's work.
func folderThere(folder string) error {
	info, err := os.Stat(folder)
	switch {
	case errors.Is(err, fs.ErrNotExist) || err == nil && !info.IsDir():
		return fmt.Errorf("there is no folder %s; make it first, or choose another", folder)
	case err != nil:
		return fmt.Errorf("the folder %s cannot be used (%w); choose another", folder, withoutPath(err))
	}
	return nil
}

// fileThere gives since when there is a file at path; the zero time where there is
// none. It fails where nothing can be saved there; it is worker's work.
func fileThere(path string) (time.Time, error) {
	if err := folderThere(filepath.Dir(path)); err != nil {
		return time.Time{}, err
	}
	info, err := os.Stat(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return time.Time{}, nil
	case err != nil:
		return time.Time{}, fmt.Errorf("nobody can tell whether %s is there (%w); choose another folder", filepath.Base(path), withoutPath(err))
	case info.IsDir():
		return time.Time{}, fmt.Errorf("there is a folder of the name %s; choose another name", filepath.Base(path))
	case !info.Mode().IsRegular():
		return time.Time{}, fmt.Errorf("what is called %s there is no file; choose another name", filepath.Base(path))
	}
	return info.ModTime(), nil
}

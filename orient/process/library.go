package process

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
)

// Library holds all records: the built-in ones, overlaid by those in the user's
// own folder, where a file of the same name takes the place of a built-in one.
type Library struct {
	Materials *Shelf[Material]
	Printers  *Shelf[Printer]
	Furnaces  *Shelf[Furnace]
}

// UserFolder gives the folder that holds the user's own records in material/,
// printer/ and furnace/: kilnpoise/records in the user's configuration folder.
// It need not exist.
func UserFolder() (string, error) {
	dir, err := os.UserConfigDir()
	if err != nil {
		return "", err
	}
	return filepath.Join(dir, "kilnpoise", "records"), nil
}

// OpenLibrary reads the records of builtin (folders material, printer, furnace)
// and then those of the folder user; an empty user means none are read or kept.
// A bad file never hides the others: see Problems.
func OpenLibrary(builtin fs.FS, user string) *Library {
	return &Library{
		Materials: openShelf(materialKind(), builtin, user),
		Printers:  openShelf(printerKind(), builtin, user),
		Furnaces:  openShelf(furnaceKind(), builtin, user),
	}
}

// Problems lists what was wrong with record files when the library was opened,
// each with file, line, and what is used in its stead; nil when all were sound.
func (l *Library) Problems() error {
	return errors.Join(l.Materials.Problems(), l.Printers.Problems(), l.Furnaces.Problems())
}

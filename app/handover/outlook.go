package handover

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
)

// Outlook is what handing over a set would do to the files that are in its folder, by
// their names.
type Outlook struct {
	// Replaced and Removed are those that Kilnpoise wrote and nobody has changed
	// since: of an earlier set of the same name, those that the new one has too and
	// those that it has not. With leave, what is left of another set that would be
	// torn goes as well.
	Replaced, Removed []string
	// InTheWay are files that are replaced only with leave: not written by
	// Kilnpoise, changed since, or of the set of another part.
	InTheWay []string
	torn     map[string]bool // the names of other sets
}

// InTheWayError says that files would be replaced that nobody gave leave for.
type InTheWayError struct {
	Folder string
	Files  []string
}

// Error names the first of them.
func (e *InTheWayError) Error() string {
	const most = 3
	shown, more := e.Files, ""
	if len(shown) > most {
		shown, more = shown[:most], fmt.Sprintf(" and %d more", len(e.Files)-most)
	}
	return fmt.Sprintf("%s holds %s%s, not written by Kilnpoise for this part or changed since; choose another folder, or replace them with --force",
		e.Folder, strings.Join(shown, ", "), more)
}

// Look tells what handing over a set of that name with these files would do in a
// folder, which need not exist; see Begin for the inputs. It changes nothing. A name
// that cannot be written at all is an error.
func Look(folder, name string, files []string, inputs ...string) (Outlook, error) {
	return (&place{folder, name, inputs}).look(files)
}

func (p *place) look(files []string) (Outlook, error) {
	out := Outlook{torn: map[string]bool{}}
	kept := readManifest(p.folder)
	for _, f := range files {
		info, err := os.Lstat(filepath.Join(p.folder, f))
		switch {
		case os.IsNotExist(err):
			continue
		case err != nil:
			return out, fmt.Errorf("%s cannot be written into %s (%w); choose another folder", f, p.folder, withoutPath(err))
		case info.IsDir():
			return out, fmt.Errorf("%s in %s is a folder; move it, or choose another folder", f, p.folder)
		case p.isInput(f):
			return out, fmt.Errorf("%s in %s is what was given to work on; choose another folder", f, p.folder)
		}
		switch r, known := kept.find(f); {
		case known && r.Set == p.name && r.unchanged(p.folder):
			out.Replaced = append(out.Replaced, f)
		case known && r.Set != p.name:
			out.torn[r.Set] = true
			fallthrough
		default:
			out.InTheWay = append(out.InTheWay, f)
		}
	}
	for _, r := range kept.Files {
		stale := r.Set == p.name || out.torn[r.Set]
		if stale && !slices.Contains(files, r.File) && r.ours() && !p.isInput(r.File) && r.unchanged(p.folder) {
			out.Removed = append(out.Removed, r.File)
		}
	}
	return out, nil
}

// isInput reports whether the file of that name is one of the inputs, by whatever name
// or link.
func (p *place) isInput(file string) bool {
	info, err := os.Stat(filepath.Join(p.folder, file))
	if err != nil {
		return false
	}
	return slices.ContainsFunc(p.inputs, func(path string) bool {
		input, err := os.Stat(path)
		return err == nil && os.SameFile(info, input)
	})
}

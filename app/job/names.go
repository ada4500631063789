package job

import (
	"errors"
	"fmt"
	"io/fs"
	"path"
	"strings"
	"unicode"
	"unicode/utf8"
)

// The entries of a job file.
const (
	kindEntry      = "mimetype"
	documentEntry  = "job.json"
	materialEntry  = "records/material.toml"
	printerEntry   = "records/printer.toml"
	furnaceEntry   = "records/furnace.toml"
	adviceEntry    = "advice.json"
	notesEntry     = "notes.txt"
	thumbnailEntry = "thumbnail.png"
	autosaveEntry  = "autosave.json"
	partFolder     = "part/"
)

// What the entry mimetype holds.
const (
	jobKind      = "application/x-kilnpoise-job"
	autosaveKind = "application/x-kilnpoise-autosave"
)

// Bounds on a job file, in bytes. Saving keeps within them too, so that what is
// saved can be read.
const (
	mostEntries   = 32
	mostDirectory = 64 << 10
	mostDocument  = 8 << 20
	mostRecord    = 1 << 20
	mostAdvice    = 64 << 20
	mostNotes     = 4 << 20
	mostThumbnail = 4 << 20
	mostKind      = 100
	mostPart      = 2 << 30
	mostName      = 200
	// All entries together unpack to at most mostTimes the file and freeUnpacked.
	mostTimes    = 4
	freeUnpacked = 256 << 20
	// mostDeflated is a little above how tightly deflate can pack at all.
	mostDeflated = 1040
)

// limitOf gives how long an entry may be; 0 for one that is not known.
func limitOf(entry string) uint64 {
	switch entry {
	case kindEntry:
		return mostKind
	case documentEntry:
		return mostDocument
	case materialEntry, printerEntry, furnaceEntry:
		return mostRecord
	case adviceEntry:
		return mostAdvice
	case notesEntry:
		return mostNotes
	case thumbnailEntry:
		return mostThumbnail
	case autosaveEntry:
		return mostRecord
	}
	if isPartEntry(entry) {
		return mostPart
	}
	return 0
}

// isPartEntry reports whether the entry is the part file.
func isPartEntry(entry string) bool {
	name, ok := strings.CutPrefix(entry, partFolder)
	return ok && name == CleanName(name)
}

// checkEntryName refuses names that lead out of the package.
func checkEntryName(name string) error {
	plain := strings.TrimSuffix(name, "/") // a folder
	if !fs.ValidPath(plain) || plain == "." || strings.ContainsAny(name, `\:`) || !utf8.ValidString(name) {
		return fmt.Errorf("holds an entry with the name %.60q, which no job has; get the file from another source", name)
	}
	return nil
}

// CleanName gives a name of a part file that is a plain file name on every
// system: without folders, control characters and marks that some system forbids,
// at most 200 bytes long with its extension kept. It is never empty.
func CleanName(name string) string {
	name = strings.ToValidUTF8(name, "_")
	name = name[strings.LastIndexAny(name, `/\`)+1:]
	name = strings.Map(func(r rune) rune {
		if unicode.IsControl(r) || unicode.Is(unicode.Cf, r) || strings.ContainsRune(`<>:"|?*`, r) {
			return '_'
		}
		return r
	}, name)
	name = strings.Trim(name, ". ") // hidden files, and what some systems cut off
	switch stem, _, _ := strings.Cut(strings.ToLower(name), "."); strings.TrimRight(stem, "0123456789¹²³ ") {
	case "con", "conin$", "conout$", "prn", "aux", "nul", "com", "lpt":
		name = "_" + name // no file names on Windows
	}
	if len(name) > mostName {
		name = shortened(name)
	}
	if name == "" {
		return "part"
	}
	return name
}

// shortened cuts a name to mostName bytes before its extension.
func shortened(name string) string {
	ext := path.Ext(name)
	if len(ext) > 10 {
		ext = ""
	}
	return strings.TrimRight(strings.ToValidUTF8(name[:mostName-len(ext)], ""), ". ") + ext
}

// checkNames refuses entries that lead out of the package and two of one name;
// some systems do not tell cases apart.
func checkNames(names []string) error {
	if len(names) > mostEntries {
		return fmt.Errorf("holds %d entries, more than a job has; get the file from another source", len(names))
	}
	seen := map[string]bool{}
	for _, name := range names {
		if err := checkEntryName(name); err != nil {
			return err
		}
		key := strings.ToLower(name)
		if seen[key] {
			return fmt.Errorf("holds the entry %.60q twice; get the file from another source", name)
		}
		seen[key] = true
	}
	return nil
}

var errNotJob = errors.New("is no job of Kilnpoise; open a file that ends in " + Extension)
